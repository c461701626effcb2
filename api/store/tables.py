"""The tables. Documents are kept whole, as JSON; columns repeat only what is asked for.

Instants are whole minutes since 1970 in UTC, the same in SQLite and PostgreSQL: windows on the book
fall on whole minutes, and integers compare and index alike in both. `to_timestamp(starts_at * 60)`
and `datetime(starts_at * 60, 'unixepoch')` make them readable.

The migrations are the truth; a test compares them with this description. The guard against double
booking (an exclusion constraint or triggers on `occupancy`) is written in the first migration.
"""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.dialects.postgresql import JSONB

metadata = sa.MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(referred_table_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

JSON = sa.JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")
NAME = sa.String(64)
ROW = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
LONGEST_STRETCH = 1500
"""Minutes: a day, and the hour that a clock change may add. It bounds the scan of the guard."""


def _documents(name: str, *further: sa.schema.SchemaItem, names: sa.String = NAME) -> sa.Table:
    return sa.Table(
        name,
        metadata,
        sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), primary_key=True),
        sa.Column("id", names, primary_key=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("document", JSON, nullable=False),
        *further,
    )


def _span(name: str, owner: str, owners: str) -> sa.Table:
    return _documents(
        name,
        sa.Column(owner, NAME, nullable=False),
        sa.Column("starts_at", sa.Integer, nullable=False),
        sa.Column("ends_at", sa.Integer, nullable=False),
        sa.ForeignKeyConstraint(["salon_id", owner], [f"{owners}.salon_id", f"{owners}.id"]),
        sa.CheckConstraint("ends_at > starts_at", name="ends_after_start"),
        sa.Index(None, "salon_id", "starts_at"),
    )


salon = sa.Table(
    "salon",
    metadata,
    sa.Column("id", NAME, primary_key=True),
    sa.Column("revision", sa.Integer, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("document", JSON),
)
chair = _documents("chair")
staff = _documents("staff")
menu_entry = _documents("menu_entry")
rule = _documents("rule", names=sa.String(129))
material = _documents("material")
rate = _documents("rate")
stock = _documents(
    "stock",
    sa.ForeignKeyConstraint(["salon_id", "id"], ["material.salon_id", "material.id"]),
)
shift = _span("shift", "staff_id", "staff")
closure = _span("closure", "chair_id", "chair")
booking = _documents(
    "booking",
    sa.Column("status", sa.String(16), nullable=False),
    sa.Column("starts_at", sa.Integer),
    sa.Column("ends_at", sa.Integer),
    sa.Column("asked_from", sa.Integer, nullable=False),
    sa.Column("asked_to", sa.Integer, nullable=False),
    sa.CheckConstraint("status IN ('TENTATIVE', 'CONFIRMED', 'CANCELLED')", name="status_is_known"),
    sa.CheckConstraint(
        "(status = 'CONFIRMED') = (starts_at IS NOT NULL)", name="confirmed_has_a_place"
    ),
    sa.CheckConstraint("ends_at > starts_at", name="ends_after_start"),
    sa.Index(None, "salon_id", "starts_at"),
    sa.Index(None, "salon_id", "status", "asked_from"),
)
staff_break = sa.Table(
    "staff_break",
    metadata,
    sa.Column("id", ROW, primary_key=True, autoincrement=True),
    sa.Column("salon_id", NAME, nullable=False),
    sa.Column("staff_id", NAME, nullable=False),
    sa.Column("inside", NAME),
    sa.Column("starts_at", sa.Integer, nullable=False),
    sa.Column("ends_at", sa.Integer, nullable=False),
    sa.Column("document", JSON, nullable=False),
    sa.ForeignKeyConstraint(["salon_id", "staff_id"], ["staff.salon_id", "staff.id"]),
    sa.ForeignKeyConstraint(["salon_id", "inside"], ["booking.salon_id", "booking.id"]),
    sa.CheckConstraint("ends_at > starts_at", name="ends_after_start"),
    sa.Index(None, "salon_id", "starts_at"),
)
hold = _documents(
    "hold",
    sa.Column("starts_at", sa.Integer, nullable=False),
    sa.Column("ends_at", sa.Integer, nullable=False),
    sa.Column("expires_at", sa.BigInteger, nullable=False),
    sa.CheckConstraint("ends_at > starts_at", name="ends_after_start"),
    sa.Index(None, "salon_id", "expires_at"),
)
"""`expires_at` is in seconds since 1970."""
waiting_offer = _documents(
    "waiting_offer",
    sa.Column("visit_id", NAME, nullable=False),
    sa.ForeignKeyConstraint(["salon_id", "visit_id"], ["booking.salon_id", "booking.id"]),
    sa.Index(None, "salon_id", "visit_id"),
)
occupancy = sa.Table(
    "occupancy",
    metadata,
    sa.Column("id", ROW, primary_key=True, autoincrement=True),
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), nullable=False),
    sa.Column("resource", sa.String(80), nullable=False),
    sa.Column("starts_at", sa.Integer, nullable=False),
    sa.Column("ends_at", sa.Integer, nullable=False),
    sa.Column("booking_id", NAME),
    sa.Column("break_id", ROW, sa.ForeignKey("staff_break.id", ondelete="CASCADE")),
    sa.Column("hold_id", NAME),
    sa.ForeignKeyConstraint(["salon_id", "booking_id"], ["booking.salon_id", "booking.id"]),
    sa.ForeignKeyConstraint(
        ["salon_id", "hold_id"], ["hold.salon_id", "hold.id"], ondelete="CASCADE"
    ),
    sa.CheckConstraint(
        f"ends_at > starts_at AND ends_at - starts_at <= {LONGEST_STRETCH}",
        name="a_stretch_of_a_day",
    ),
    sa.CheckConstraint(
        "(CASE WHEN booking_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN break_id IS NULL THEN 0 "
        "ELSE 1 END) + (CASE WHEN hold_id IS NULL THEN 0 ELSE 1 END) = 1",
        name="one_owner",
    ),
    sa.Index(None, "salon_id", "resource", "starts_at"),
    sa.Index(None, "salon_id", "booking_id"),
    sa.Index(None, "break_id"),
    sa.Index(None, "salon_id", "hold_id"),
)
finished_visit = _documents(
    "finished_visit",
    sa.Column("staff_id", NAME, nullable=False),
    sa.ForeignKeyConstraint(["salon_id", "staff_id"], ["staff.salon_id", "staff.id"]),
    sa.Index(None, "salon_id", "staff_id"),
)
visit_clock = _documents(
    "visit_clock", sa.ForeignKeyConstraint(["salon_id", "id"], ["booking.salon_id", "booking.id"])
)
turned_away = _documents(
    "turned_away",
    sa.Column("asked_from", sa.Integer, nullable=False),
    sa.Index(None, "salon_id", "asked_from"),
)
stock_entry = sa.Table(
    "stock_entry",
    metadata,
    sa.Column("id", ROW, primary_key=True, autoincrement=True),
    sa.Column("salon_id", NAME, nullable=False),
    sa.Column("material_id", NAME, nullable=False),
    sa.Column("at", sa.BigInteger, nullable=False),
    sa.Column("who", NAME, nullable=False),
    sa.Column("kind", sa.String(16), nullable=False),
    sa.Column("on_hand", sa.BigInteger, nullable=False),
    sa.Column("on_order", sa.BigInteger, nullable=False),
    sa.Column("arrives", sa.String(10)),
    sa.Column("reason", sa.String(200)),
    sa.Column("booking_id", NAME),
    sa.Column("expected", sa.BigInteger),
    sa.ForeignKeyConstraint(["salon_id", "material_id"], ["material.salon_id", "material.id"]),
    sa.ForeignKeyConstraint(["salon_id", "booking_id"], ["booking.salon_id", "booking.id"]),
    sa.Index(None, "salon_id", "material_id", "id"),
    sa.Index(None, "salon_id", "booking_id"),
)
"""The stock ledger, in milligrams, so that sums are exact; the database refuses to change or delete
a row of it. `stock` repeats its sums."""
plan = _documents("plan", sa.Column("state", sa.String(16), nullable=False))
repair = _documents("repair")
webhook = sa.Table(
    "webhook",
    metadata,
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), primary_key=True),
    sa.Column("id", NAME, primary_key=True),
    sa.Column("document", JSON, nullable=False),
    sa.Column("secret", sa.String(100), nullable=False),
    sa.Column("made_at", sa.BigInteger, nullable=False),
)
delivery = sa.Table(
    "delivery",
    metadata,
    sa.Column("id", ROW, primary_key=True, autoincrement=True),
    sa.Column("salon_id", NAME, nullable=False),
    sa.Column("webhook_id", NAME, nullable=False),
    sa.Column("document", JSON, nullable=False),
    sa.Column("state", sa.String(16), nullable=False),
    sa.Column("attempt", sa.Integer, nullable=False),
    sa.Column("due_at", sa.BigInteger, nullable=False),
    sa.ForeignKeyConstraint(
        ["salon_id", "webhook_id"], ["webhook.salon_id", "webhook.id"], ondelete="CASCADE"
    ),
    sa.CheckConstraint("state IN ('waiting', 'given-up')", name="state_is_known"),
    sa.Index(None, "salon_id", "state", "due_at"),
    sa.Index(None, "salon_id", "webhook_id"),
)
"""Events on their way to webhooks; one that is taken is deleted. Instants are those of `job`."""
job = sa.Table(
    "job",
    metadata,
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), primary_key=True),
    sa.Column("id", NAME, primary_key=True),
    sa.Column("kind", sa.String(16), nullable=False),
    sa.Column("state", sa.String(16), nullable=False),
    sa.Column("attempt", sa.Integer, nullable=False),
    sa.Column("owner", NAME),
    sa.Column("leased_until", sa.BigInteger),
    sa.Column("unwanted", sa.Boolean, nullable=False),
    sa.Column("made_at", sa.BigInteger, nullable=False),
    sa.Column("caller", JSON, nullable=False),
    sa.Column("heard", JSON),
    sa.Column("asked_by", NAME),
    sa.Column("asked_key", sa.String(200)),
    sa.Column("fingerprint", NAME),
    sa.CheckConstraint("state IN ('waiting', 'running', 'ended')", name="state_is_known"),
    sa.CheckConstraint("(state = 'running') = (leased_until IS NOT NULL)", name="a_run_is_leased"),
    sa.Index(None, "salon_id", "state"),
    sa.Index(None, "salon_id", "asked_by", "asked_key"),
)
"""Runs to be carried out; instants in milliseconds since 1970 by the clock of the database."""
answered = sa.Table(
    "answered",
    metadata,
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), primary_key=True),
    sa.Column("who", NAME, primary_key=True),
    sa.Column("key", sa.String(200), primary_key=True),
    sa.Column("fingerprint", NAME, nullable=False),
    sa.Column("at", sa.BigInteger, nullable=False),
    sa.Column("status", sa.Integer, nullable=False),
    sa.Column("headers", JSON, nullable=False),
    sa.Column("body", sa.Text, nullable=False),
    sa.Index(None, "salon_id", "at"),
)
"""Answers to requests with a key; `at` in milliseconds since 1970 in UTC."""
change = sa.Table(
    "change",
    metadata,
    sa.Column("id", ROW, primary_key=True, autoincrement=True),
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), nullable=False),
    sa.Column("at", sa.BigInteger, nullable=False),
    sa.Column("who", NAME, nullable=False),
    sa.Column("role", sa.String(16)),
    sa.Column("operation", NAME),
    sa.Column("kind", sa.String(32), nullable=False),
    sa.Column("name", sa.String(129), nullable=False),
    sa.Column("act", sa.String(16), nullable=False),
    sa.Column("before", JSON),
    sa.Column("after", JSON),
    sa.Index(None, "salon_id", "id"),
    sa.Index(None, "salon_id", "kind", "name", "id"),
)
"""The record of changes; the database refuses to change or delete a row of it."""
token = sa.Table(
    "token",
    metadata,
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), primary_key=True),
    sa.Column("id", NAME, primary_key=True),
    sa.Column("role", sa.String(16), nullable=False),
    sa.Column("staff_id", NAME),
    sa.Column("digest", NAME, nullable=False),
    sa.Column("made_at", sa.BigInteger, nullable=False),
    sa.Column("expires_at", sa.BigInteger, nullable=False),
    sa.Column("revoked_at", sa.BigInteger),
    sa.ForeignKeyConstraint(["salon_id", "staff_id"], ["staff.salon_id", "staff.id"]),
    sa.CheckConstraint("(role = 'stylist') = (staff_id IS NOT NULL)", name="a_stylist_is_somebody"),
    sa.Index(None, "salon_id", "digest", unique=True),
)
"""Tokens: their SHA-256 in hexadecimal, never the token itself."""
session = sa.Table(
    "session",
    metadata,
    sa.Column("salon_id", NAME, primary_key=True),
    sa.Column("digest", NAME, primary_key=True),
    sa.Column("token_id", NAME, nullable=False),
    sa.Column("expires_at", sa.BigInteger, nullable=False),
    sa.ForeignKeyConstraint(["salon_id", "token_id"], ["token.salon_id", "token.id"]),
    sa.Index(None, "salon_id", "expires_at"),
)
"""Browsers that are signed in by a token: the SHA-256 of what their cookie says."""
calendar_feed = sa.Table(
    "calendar_feed",
    metadata,
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), primary_key=True),
    sa.Column("id", NAME, primary_key=True),
    sa.Column("kind", sa.String(16), nullable=False),
    sa.Column("subject", NAME),
    sa.Column("digest", NAME, nullable=False),
    sa.Column("made_at", sa.BigInteger, nullable=False),
    sa.Column("revoked_at", sa.BigInteger),
    sa.CheckConstraint("(kind = 'salon') = (subject IS NULL)", name="of_somebody"),
    sa.Index(None, "salon_id", "digest", unique=True),
)
"""Calendar feeds: the SHA-256 of the secret in their address, never the secret itself."""
never = sa.Table(
    "never",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
    sa.CheckConstraint("id <> 1", name="is_never_there"),
)
erasure = sa.Table(
    "erasure",
    metadata,
    sa.Column("salon_id", NAME, sa.ForeignKey("salon.id"), primary_key=True),
    sa.Column("id", NAME, primary_key=True),
    sa.Column("at", sa.BigInteger, nullable=False),
    sa.Column("who", NAME, nullable=False),
    sa.Column("rows", sa.Integer, nullable=False),
    sa.Column(
        "under_way",
        sa.Integer,
        sa.ForeignKey("never.id", deferrable=True, initially="DEFERRED"),
    ),
    sa.CheckConstraint("under_way = 1", name="under_way_or_done"),
)
"""Clients who were erased, without their names. One that is under way lets names be replaced in the
record of changes; it refers to what is never there, so that it cannot be committed like that."""
