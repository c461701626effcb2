"""Holds, which take of the salon what a booking takes, and offers to those who wait.

What a hold takes stands in `occupancy` beside what bookings take, so that the guard against double
booking holds for both; it goes with its hold.

Revision ID: 0005
Revises: 0004
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")
ROW = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
DAY = 1500

BEFORE = "(booking_id IS NULL) <> (break_id IS NULL)"
AFTER = (
    "(CASE WHEN booking_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN break_id IS NULL THEN 0 ELSE 1 "
    "END) + (CASE WHEN hold_id IS NULL THEN 0 ELSE 1 END) = 1"
)

# As in the first migration: SQLite cannot change a check, so the table is laid anew.
TRIGGER = """
CREATE TRIGGER occupancy_no_double_booking_on_{event}
BEFORE {what} ON occupancy
BEGIN
    SELECT RAISE(ABORT, 'double booking') FROM occupancy AS taken
    WHERE taken.salon_id = NEW.salon_id AND taken.resource = NEW.resource
      AND taken.starts_at < NEW.ends_at AND taken.starts_at > NEW.starts_at - {day}
      AND taken.ends_at > NEW.starts_at {other_than};
END
"""


def upgrade() -> None:
    _holds()
    _offers()
    if op.get_bind().dialect.name == "postgresql":
        op.add_column("occupancy", sa.Column("hold_id", NAME))
        op.create_foreign_key(
            "fk_occupancy_hold",
            "occupancy",
            "hold",
            ["salon_id", "hold_id"],
            ["salon_id", "id"],
            ondelete="CASCADE",
        )
        op.drop_constraint(op.f("ck_occupancy_either_a_visit_or_a_break"), "occupancy")
        op.create_check_constraint(op.f("ck_occupancy_one_owner"), "occupancy", AFTER)
    else:
        _lay_anew(hold=True)
    op.create_index("ix_occupancy_salon_id_hold_id", "occupancy", ["salon_id", "hold_id"])


def downgrade() -> None:
    """Places that are held are let go."""
    op.execute("DELETE FROM hold")
    if op.get_bind().dialect.name == "postgresql":
        op.drop_constraint(op.f("ck_occupancy_one_owner"), "occupancy")
        op.create_check_constraint(
            op.f("ck_occupancy_either_a_visit_or_a_break"), "occupancy", BEFORE
        )
        op.drop_index("ix_occupancy_salon_id_hold_id", "occupancy")
        op.drop_column("occupancy", "hold_id")
    else:
        _lay_anew(hold=False)
    op.drop_table("waiting_offer")
    op.drop_table("hold")


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


def _holds() -> None:
    op.create_table(
        "hold",
        *_document_columns(),
        sa.Column("starts_at", sa.Integer(), nullable=False),
        sa.Column("ends_at", sa.Integer(), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        *_keys("hold"),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_hold_ends_after_start")),
    )
    op.create_index("ix_hold_salon_id_expires_at", "hold", ["salon_id", "expires_at"])


def _offers() -> None:
    op.create_table(
        "waiting_offer",
        *_document_columns(),
        sa.Column("visit_id", NAME, nullable=False),
        *_keys("waiting_offer"),
        sa.ForeignKeyConstraint(
            ["salon_id", "visit_id"],
            ["booking.salon_id", "booking.id"],
            name="fk_waiting_offer_booking",
        ),
    )
    op.create_index("ix_waiting_offer_salon_id_visit_id", "waiting_offer", ["salon_id", "visit_id"])


def _lay_anew(*, hold: bool) -> None:
    """SQLite: the same rows in a table with, or without, the column for holds."""
    columns = "id, salon_id, resource, starts_at, ends_at, booking_id, break_id"
    held = (sa.Column("hold_id", NAME),) if hold else ()
    key = sa.ForeignKeyConstraint(
        ["salon_id", "hold_id"],
        ["hold.salon_id", "hold.id"],
        name="fk_occupancy_hold",
        ondelete="CASCADE",
    )
    check = sa.CheckConstraint(
        AFTER if hold else BEFORE,
        name=op.f(f"ck_occupancy_{'one_owner' if hold else 'either_a_visit_or_a_break'}"),
    )
    op.create_table(
        "occupancy_anew",
        sa.Column("id", ROW, autoincrement=True, nullable=False),
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("resource", sa.String(80), nullable=False),
        sa.Column("starts_at", sa.Integer(), nullable=False),
        sa.Column("ends_at", sa.Integer(), nullable=False),
        sa.Column("booking_id", NAME),
        sa.Column("break_id", ROW),
        *held,
        sa.PrimaryKeyConstraint("id", name="pk_occupancy"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_occupancy_salon"),
        sa.ForeignKeyConstraint(
            ["salon_id", "booking_id"],
            ["booking.salon_id", "booking.id"],
            name="fk_occupancy_booking",
        ),
        sa.ForeignKeyConstraint(
            ["break_id"], ["staff_break.id"], name="fk_occupancy_staff_break", ondelete="CASCADE"
        ),
        *((key,) if hold else ()),
        sa.CheckConstraint(
            f"ends_at > starts_at AND ends_at - starts_at <= {DAY}",
            name=op.f("ck_occupancy_a_stretch_of_a_day"),
        ),
        check,
    )
    op.execute(f"INSERT INTO occupancy_anew ({columns}) SELECT {columns} FROM occupancy")  # noqa: S608
    op.drop_table("occupancy")
    op.rename_table("occupancy_anew", "occupancy")
    op.create_index(
        "ix_occupancy_salon_id_resource_starts_at",
        "occupancy",
        ["salon_id", "resource", "starts_at"],
    )
    op.create_index("ix_occupancy_salon_id_booking_id", "occupancy", ["salon_id", "booking_id"])
    op.create_index("ix_occupancy_break_id", "occupancy", ["break_id"])
    op.execute(TRIGGER.format(event="insert", what="INSERT", day=DAY, other_than=""))
    changed = "UPDATE OF id, salon_id, resource, starts_at, ends_at"
    other = "AND taken.id <> OLD.id"
    op.execute(TRIGGER.format(event="update", what=changed, day=DAY, other_than=other))
