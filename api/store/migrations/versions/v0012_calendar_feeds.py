"""Calendar feeds, kept by the digests of their addresses.

Revision ID: 0012
Revises: 0011
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

NAME = sa.String(64)


def upgrade() -> None:
    op.create_table(
        "calendar_feed",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("id", NAME, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("subject", NAME),
        sa.Column("digest", NAME, nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("revoked_at", sa.BigInteger()),
        sa.PrimaryKeyConstraint("salon_id", "id", name="pk_calendar_feed"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_calendar_feed_salon"),
        sa.CheckConstraint(
            "(kind = 'salon') = (subject IS NULL)", name=op.f("ck_calendar_feed_of_somebody")
        ),
    )
    op.create_index(
        "ix_calendar_feed_salon_id_digest", "calendar_feed", ["salon_id", "digest"], unique=True
    )


def downgrade() -> None:
    op.drop_table("calendar_feed")
