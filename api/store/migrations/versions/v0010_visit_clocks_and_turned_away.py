"""What was tapped of visits, and requests that found no opening.

Revision ID: 0010
Revises: 0009
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "visit_clock",
        *_document_columns(),
        *_keys("visit_clock"),
        sa.ForeignKeyConstraint(
            ["salon_id", "id"], ["booking.salon_id", "booking.id"], name="fk_visit_clock_booking"
        ),
    )
    op.create_table(
        "turned_away",
        *_document_columns(),
        sa.Column("asked_from", sa.Integer(), nullable=False),
        *_keys("turned_away"),
    )
    op.create_index("ix_turned_away_salon_id_asked_from", "turned_away", ["salon_id", "asked_from"])


def downgrade() -> None:
    op.drop_table("turned_away")
    op.drop_table("visit_clock")


def _document_columns() -> tuple[sa.Column[object], ...]:
    return (
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("id", NAME, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("document", JSON, nullable=False),
    )


def _keys(table: str) -> tuple[sa.Constraint, ...]:
    return (
        sa.PrimaryKeyConstraint("salon_id", "id", name=f"pk_{table}"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name=f"fk_{table}_salon"),
    )
