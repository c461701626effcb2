"""Tokens, kept as digests.

Revision ID: 0008
Revises: 0007
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

NAME = sa.String(64)


def upgrade() -> None:
    op.create_table(
        "token",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("id", NAME, nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("staff_id", NAME),
        sa.Column("digest", NAME, nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.Column("revoked_at", sa.BigInteger()),
        sa.PrimaryKeyConstraint("salon_id", "id", name="pk_token"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_token_salon"),
        sa.ForeignKeyConstraint(
            ["salon_id", "staff_id"], ["staff.salon_id", "staff.id"], name="fk_token_staff"
        ),
        sa.CheckConstraint(
            "(role = 'stylist') = (staff_id IS NOT NULL)",
            name=op.f("ck_token_a_stylist_is_somebody"),
        ),
    )
    op.create_index("ix_token_salon_id_digest", "token", ["salon_id", "digest"], unique=True)


def downgrade() -> None:
    op.drop_table("token")
