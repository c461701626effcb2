"""Webhooks, and what is on its way to them.

Revision ID: 0014
Revises: 0013
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")
ROW = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "webhook",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("id", NAME, nullable=False),
        sa.Column("document", JSON, nullable=False),
        sa.Column("secret", sa.String(100), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("salon_id", "id", name="pk_webhook"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_webhook_salon"),
    )
    op.create_table(
        "delivery",
        sa.Column("id", ROW, autoincrement=True, nullable=False),
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("webhook_id", NAME, nullable=False),
        sa.Column("document", JSON, nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.Column("due_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_delivery"),
        sa.ForeignKeyConstraint(
            ["salon_id", "webhook_id"],
            ["webhook.salon_id", "webhook.id"],
            name="fk_delivery_webhook",
            ondelete="CASCADE",
        ),
        sa.CheckConstraint(
            "state IN ('waiting', 'given-up')", name=op.f("ck_delivery_state_is_known")
        ),
    )
    op.create_index(
        "ix_delivery_salon_id_state_due_at", "delivery", ["salon_id", "state", "due_at"]
    )
    op.create_index("ix_delivery_salon_id_webhook_id", "delivery", ["salon_id", "webhook_id"])


def downgrade() -> None:
    op.drop_table("delivery")
    op.drop_table("webhook")
