"""The record of changes, which nobody changes or deletes.

Revision ID: 0007
Revises: 0006
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")
ROW = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

KEPT = """
CREATE FUNCTION change_is_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the record of changes is kept' USING ERRCODE = 'restrict_violation';
END $$
"""
GUARD = """
CREATE TRIGGER change_is_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON change
FOR EACH STATEMENT EXECUTE FUNCTION change_is_kept()
"""
# SQLite's REPLACE deletes without asking the triggers on deletion (sqlite.org/lang_conflict.html).
TRIGGER = """
CREATE TRIGGER change_is_kept_on_{event} BEFORE {event} ON change {when}
BEGIN
    SELECT RAISE(ABORT, 'the record of changes is kept');
END
"""


def upgrade() -> None:
    op.create_table(
        "change",
        sa.Column("id", ROW, autoincrement=True, nullable=False),
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("who", NAME, nullable=False),
        sa.Column("role", sa.String(16)),
        sa.Column("operation", NAME),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("name", sa.String(129), nullable=False),
        sa.Column("act", sa.String(16), nullable=False),
        sa.Column("before", JSON),
        sa.Column("after", JSON),
        sa.PrimaryKeyConstraint("id", name="pk_change"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_change_salon"),
    )
    op.create_index("ix_change_salon_id_id", "change", ["salon_id", "id"])
    op.create_index("ix_change_salon_id_kind_name_id", "change", ["salon_id", "kind", "name", "id"])
    if op.get_bind().dialect.name == "postgresql":
        op.execute(KEPT)
        op.execute(GUARD)
        return
    exists = "WHEN EXISTS (SELECT 1 FROM change WHERE id = NEW.id)"
    for event, when in (("UPDATE", ""), ("DELETE", ""), ("INSERT", exists)):
        op.execute(TRIGGER.format(event=event, when=when))


def downgrade() -> None:
    op.drop_table("change")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION change_is_kept()")
