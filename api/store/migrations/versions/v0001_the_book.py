"""The book: a salon, what it works with, its bookings, and the guard against double booking.

Revision ID: 0001
Revises:
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import JSONB

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

NAME = sa.String(64)
JSON = sa.JSON().with_variant(JSONB(), "postgresql")
ROW = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
DAY = 1500

EXCLUSION = """
ALTER TABLE occupancy ADD CONSTRAINT occupancy_no_double_booking EXCLUDE USING gist (
    salon_id WITH =, resource WITH =, int4range(starts_at, ends_at) WITH &&
) DEFERRABLE INITIALLY IMMEDIATE
"""

# A stretch is at most DAY minutes long, so one that overlaps cannot have begun earlier than that
# before the new one: the index is scanned over a day and a bit, not over the whole history.
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
    _documents_of_a_salon()
    _the_rota()
    _the_book()
    if op.get_bind().dialect.name == "postgresql":
        op.execute("CREATE EXTENSION IF NOT EXISTS btree_gist")
        op.execute(EXCLUSION)
        return
    op.execute(TRIGGER.format(event="insert", what="INSERT", day=DAY, other_than=""))
    columns = "UPDATE OF id, salon_id, resource, starts_at, ends_at"
    other = "AND taken.id <> OLD.id"
    op.execute(TRIGGER.format(event="update", what=columns, day=DAY, other_than=other))


def downgrade() -> None:
    for name in (
        *("occupancy", "staff_break", "booking", "plan", "closure", "shift", "stock", "material"),
        *("rule", "menu_entry", "staff", "chair", "salon"),
    ):
        op.drop_table(name)


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


def _documents_of_a_salon() -> None:
    op.create_table(
        "salon",
        sa.Column("id", NAME, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("document", JSON),
        sa.PrimaryKeyConstraint("id", name="pk_salon"),
    )
    for table in ("chair", "staff", "menu_entry", "rule", "material"):
        op.create_table(table, *_document_columns(), *_keys(table))
    op.create_table(
        "stock",
        *_document_columns(),
        *_keys("stock"),
        sa.ForeignKeyConstraint(
            ["salon_id", "id"], ["material.salon_id", "material.id"], name="fk_stock_material"
        ),
    )
    op.create_table(
        "plan",
        *_document_columns(),
        sa.Column("state", sa.String(16), nullable=False),
        *_keys("plan"),
    )


def _the_rota() -> None:
    for table, owner, owners in (
        ("shift", "staff_id", "staff"),
        ("closure", "chair_id", "chair"),
    ):
        op.create_table(
            table,
            *_document_columns(),
            sa.Column(owner, NAME, nullable=False),
            sa.Column("starts_at", sa.Integer(), nullable=False),
            sa.Column("ends_at", sa.Integer(), nullable=False),
            *_keys(table),
            sa.ForeignKeyConstraint(
                ["salon_id", owner],
                [f"{owners}.salon_id", f"{owners}.id"],
                name=f"fk_{table}_{owners}",
            ),
            sa.CheckConstraint("ends_at > starts_at", name=op.f(f"ck_{table}_ends_after_start")),
        )
        op.create_index(f"ix_{table}_salon_id_starts_at", table, ["salon_id", "starts_at"])


def _the_book() -> None:
    op.create_table(
        "booking",
        *_document_columns(),
        sa.Column("status", sa.String(16), nullable=False),
        sa.Column("starts_at", sa.Integer()),
        sa.Column("ends_at", sa.Integer()),
        sa.Column("asked_from", sa.Integer(), nullable=False),
        sa.Column("asked_to", sa.Integer(), nullable=False),
        *_keys("booking"),
        sa.CheckConstraint(
            "status IN ('TENTATIVE', 'CONFIRMED', 'CANCELLED')",
            name=op.f("ck_booking_status_is_known"),
        ),
        sa.CheckConstraint(
            "(status = 'CONFIRMED') = (starts_at IS NOT NULL)",
            name=op.f("ck_booking_confirmed_has_a_place"),
        ),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_booking_ends_after_start")),
    )
    op.create_index("ix_booking_salon_id_starts_at", "booking", ["salon_id", "starts_at"])
    op.create_index(
        "ix_booking_salon_id_status_asked_from", "booking", ["salon_id", "status", "asked_from"]
    )
    op.create_table(
        "staff_break",
        sa.Column("id", ROW, autoincrement=True, nullable=False),
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("staff_id", NAME, nullable=False),
        sa.Column("inside", NAME),
        sa.Column("starts_at", sa.Integer(), nullable=False),
        sa.Column("ends_at", sa.Integer(), nullable=False),
        sa.Column("document", JSON, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_staff_break"),
        sa.ForeignKeyConstraint(
            ["salon_id", "staff_id"], ["staff.salon_id", "staff.id"], name="fk_staff_break_staff"
        ),
        sa.ForeignKeyConstraint(
            ["salon_id", "inside"],
            ["booking.salon_id", "booking.id"],
            name="fk_staff_break_booking",
        ),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_staff_break_ends_after_start")),
    )
    op.create_index("ix_staff_break_salon_id_starts_at", "staff_break", ["salon_id", "starts_at"])
    op.create_table(
        "occupancy",
        sa.Column("id", ROW, autoincrement=True, nullable=False),
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("resource", sa.String(80), nullable=False),
        sa.Column("starts_at", sa.Integer(), nullable=False),
        sa.Column("ends_at", sa.Integer(), nullable=False),
        sa.Column("booking_id", NAME),
        sa.Column("break_id", ROW),
        sa.PrimaryKeyConstraint("id", name="pk_occupancy"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_occupancy_salon"),
        sa.ForeignKeyConstraint(
            ["salon_id", "booking_id"],
            ["booking.salon_id", "booking.id"],
            name="fk_occupancy_booking",
        ),
        sa.ForeignKeyConstraint(
            ["break_id"],
            ["staff_break.id"],
            name="fk_occupancy_staff_break",
            ondelete="CASCADE",
        ),
        sa.CheckConstraint(
            f"ends_at > starts_at AND ends_at - starts_at <= {DAY}",
            name=op.f("ck_occupancy_a_stretch_of_a_day"),
        ),
        sa.CheckConstraint(
            "(booking_id IS NULL) <> (break_id IS NULL)",
            name=op.f("ck_occupancy_either_a_visit_or_a_break"),
        ),
    )
    op.create_index(
        "ix_occupancy_salon_id_resource_starts_at",
        "occupancy",
        ["salon_id", "resource", "starts_at"],
    )
    op.create_index("ix_occupancy_salon_id_booking_id", "occupancy", ["salon_id", "booking_id"])
    op.create_index("ix_occupancy_break_id", "occupancy", ["break_id"])
