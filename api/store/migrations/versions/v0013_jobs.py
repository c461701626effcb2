"""Plans and repairs as jobs, of which whoever carries them out has a lease.

Revision ID: 0013
Revises: 0012
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "job",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("id", NAME, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.Column("owner", NAME),
        sa.Column("leased_until", sa.BigInteger()),
        sa.Column("unwanted", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("caller", JSON, nullable=False),
        sa.Column("heard", JSON),
        sa.Column("asked_by", NAME),
        sa.Column("asked_key", sa.String(200)),
        sa.Column("fingerprint", NAME),
        sa.PrimaryKeyConstraint("salon_id", "id", name="pk_job"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_job_salon"),
        sa.CheckConstraint(
            "state IN ('waiting', 'running', 'ended')", name=op.f("ck_job_state_is_known")
        ),
        sa.CheckConstraint(
            "(state = 'running') = (leased_until IS NOT NULL)",
            name=op.f("ck_job_a_run_is_leased"),
        ),
    )
    op.create_index("ix_job_salon_id_state", "job", ["salon_id", "state"])
    op.create_index(
        "ix_job_salon_id_asked_by_asked_key", "job", ["salon_id", "asked_by", "asked_key"]
    )


def downgrade() -> None:
    op.drop_table("job")
