"""The stock ledger, which nobody changes or deletes. What lies on the shelf opens it.

Revision ID: 0011
Revises: 0010
"""

from __future__ import annotations

import json
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

NAME = sa.String(64)
ROW = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

KEPT = """
CREATE FUNCTION stock_entry_is_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the stock ledger is kept' USING ERRCODE = 'restrict_violation';
END $$
"""
GUARD = """
CREATE TRIGGER stock_entry_is_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON stock_entry
FOR EACH STATEMENT EXECUTE FUNCTION stock_entry_is_kept()
"""
# SQLite's REPLACE deletes without asking the triggers on deletion (sqlite.org/lang_conflict.html).
TRIGGER = """
CREATE TRIGGER stock_entry_is_kept_on_{event} BEFORE {event} ON stock_entry {when}
BEGIN
    SELECT RAISE(ABORT, 'the stock ledger is kept');
END
"""


def upgrade() -> None:
    op.create_table(
        "stock_entry",
        sa.Column("id", ROW, autoincrement=True, nullable=False),
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("material_id", NAME, nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("who", NAME, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("on_hand", sa.BigInteger(), nullable=False),
        sa.Column("on_order", sa.BigInteger(), nullable=False),
        sa.Column("arrives", sa.String(10)),
        sa.Column("reason", sa.String(200)),
        sa.Column("booking_id", NAME),
        sa.Column("expected", sa.BigInteger()),
        sa.PrimaryKeyConstraint("id", name="pk_stock_entry"),
        sa.ForeignKeyConstraint(
            ["salon_id", "material_id"],
            ["material.salon_id", "material.id"],
            name="fk_stock_entry_material",
        ),
        sa.ForeignKeyConstraint(
            ["salon_id", "booking_id"],
            ["booking.salon_id", "booking.id"],
            name="fk_stock_entry_booking",
        ),
    )
    op.create_index(
        "ix_stock_entry_salon_id_material_id_id", "stock_entry", ["salon_id", "material_id", "id"]
    )
    op.create_index("ix_stock_entry_salon_id_booking_id", "stock_entry", ["salon_id", "booking_id"])
    _open()
    if op.get_bind().dialect.name == "postgresql":
        op.execute(KEPT)
        op.execute(GUARD)
        return
    exists = "WHEN EXISTS (SELECT 1 FROM stock_entry WHERE id = NEW.id)"
    for event, when in (("UPDATE", ""), ("DELETE", ""), ("INSERT", exists)):
        op.execute(TRIGGER.format(event=event, when=when))


def downgrade() -> None:
    op.drop_table("stock_entry")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION stock_entry_is_kept()")


def _open() -> None:
    """What the shelf says so far, at the instant at which it was last said."""
    bind = op.get_bind()
    entry = sa.table(
        "stock_entry",
        *(
            sa.column(name)
            for name in (
                "salon_id",
                "material_id",
                "at",
                "who",
                "kind",
                "on_hand",
                "on_order",
                "arrives",
            )
        ),
    )
    told = sa.text(
        "SELECT coalesce(max(at), 0) FROM change "
        "WHERE salon_id = :salon AND kind = 'stock' AND name = :name"
    )
    for salon, name, stored in bind.execute(
        sa.text("SELECT salon_id, id, document FROM stock ORDER BY salon_id, id")
    ).all():
        line: dict[str, Any] = json.loads(stored) if isinstance(stored, str) else stored
        at = bind.execute(told, {"salon": salon, "name": name}).scalar_one()
        common = {
            "salon_id": salon,
            "material_id": name,
            "at": at,
            "who": "service",
            "kind": "opening",
        }
        rows = [{"on_hand": _milligrams(line["on_hand_grams"]), "on_order": 0, "arrives": None}]
        rows += [
            {"on_hand": 0, "on_order": _milligrams(each["grams"]), "arrives": each["arrives"]}
            for each in line.get("on_order", ())
        ]
        for row in rows:
            if row["on_hand"] or row["on_order"]:
                bind.execute(sa.insert(entry).values(**common, **row))


def _milligrams(grams: float) -> int:
    return round(grams * 1000)
