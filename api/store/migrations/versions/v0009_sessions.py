"""Sessions of browsers, kept as digests.

Revision ID: 0009
Revises: 0008
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

NAME = sa.String(64)


def upgrade() -> None:
    op.create_table(
        "session",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("digest", NAME, nullable=False),
        sa.Column("token_id", NAME, nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("salon_id", "digest", name="pk_session"),
        sa.ForeignKeyConstraint(
            ["salon_id", "token_id"], ["token.salon_id", "token.id"], name="fk_session_token"
        ),
    )
    op.create_index("ix_session_salon_id_expires_at", "session", ["salon_id", "expires_at"])


def downgrade() -> None:
    op.drop_table("session")
