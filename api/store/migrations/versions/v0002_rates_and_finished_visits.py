"""Rates the salon sets itself, and finished visits to learn a lead's pace from.

Revision ID: 0002
Revises: 0001
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table("rate", *_document_columns(), *_keys("rate"))
    op.create_table(
        "finished_visit",
        *_document_columns(),
        sa.Column("staff_id", NAME, nullable=False),
        *_keys("finished_visit"),
        sa.ForeignKeyConstraint(
            ["salon_id", "staff_id"],
            ["staff.salon_id", "staff.id"],
            name="fk_finished_visit_staff",
        ),
    )
    op.create_index(
        "ix_finished_visit_salon_id_staff_id", "finished_visit", ["salon_id", "staff_id"]
    )


def downgrade() -> None:
    op.drop_table("finished_visit")
    op.drop_table("rate")


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
