"""Several settings of one rule, told apart by their labels: rows by code and label.

Revision ID: 0004
Revises: 0003
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

NAME, LONG_NAME = sa.String(64), sa.String(129)
RULE = sa.table(
    "rule",
    sa.column("salon_id", NAME),
    sa.column("id", LONG_NAME),
    sa.column("document", sa.JSON().with_variant(JSONB(), "postgresql")),
)


def upgrade() -> None:
    with op.batch_alter_table("rule") as rule:
        rule.alter_column("id", existing_type=NAME, type_=LONG_NAME, existing_nullable=False)
    for salon, name, document in _rows():
        if document.get("label") is not None:
            _rename(salon, name, f"{document['code']}/{document['label']}")


def downgrade() -> None:
    """One setting of each rule stays: the one without a label, or else the first."""
    taken = {(salon, name) for salon, name, _ in _rows() if "/" not in name}
    for salon, name, document in _rows():
        kept = salon, document["code"]
        if "/" in name and kept in taken:
            op.get_bind().execute(sa.delete(RULE).where(*_is(salon, name)))
        elif "/" in name:
            _rename(salon, name, document["code"])
            taken.add(kept)
    with op.batch_alter_table("rule") as rule:
        rule.alter_column("id", existing_type=LONG_NAME, type_=NAME, existing_nullable=False)


def _rows() -> list[tuple[str, str, dict[str, Any]]]:
    ordered = sa.select(RULE).order_by(RULE.c.salon_id, RULE.c.id)
    return [(row.salon_id, row.id, row.document) for row in op.get_bind().execute(ordered)]


def _rename(salon: str, name: str, new: object) -> None:
    op.get_bind().execute(sa.update(RULE).where(*_is(salon, name)).values(id=new))


def _is(salon: str, name: str) -> tuple[sa.ColumnElement[bool], ...]:
    return RULE.c.salon_id == salon, RULE.c.id == name
