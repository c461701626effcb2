"""Repairs of a running day, kept as they were shown until they are accepted.

Revision ID: 0003
Revises: 0002
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "repair",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("id", NAME, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("document", JSON, nullable=False),
        sa.PrimaryKeyConstraint("salon_id", "id", name="pk_repair"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_repair_salon"),
    )


def downgrade() -> None:
    op.drop_table("repair")
