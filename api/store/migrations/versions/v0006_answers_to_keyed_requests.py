"""Answers to requests with a key, so that one that is told twice is carried out once.

Revision ID: 0006
Revises: 0005
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

NAME = sa.String(64)


def upgrade() -> None:
    op.create_table(
        "answered",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("who", NAME, nullable=False),
        sa.Column("key", sa.String(200), nullable=False),
        sa.Column("fingerprint", NAME, nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("status", sa.Integer(), nullable=False),
        sa.Column("headers", sa.JSON().with_variant(JSONB(), "postgresql"), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("salon_id", "who", "key", name="pk_answered"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_answered_salon"),
    )
    op.create_index("ix_answered_salon_id_at", "answered", ["salon_id", "at"])


def downgrade() -> None:
    op.drop_table("answered")
