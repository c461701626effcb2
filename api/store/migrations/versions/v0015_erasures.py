"""Erasures of clients: the only way in which the record of changes changes, and on record itself.

While an erasure is under way, in its own transaction, the name of a client may be replaced in what
is recorded, and nothing else. It cannot be committed under way: it then refers to a row that may
not be there.

Revision ID: 0015
Revises: 0014
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

NAME = sa.String(64)
WHOSE = ("id", "salon_id", "at", "who", "role", "operation", "kind", "name", "act")

# PostgreSQL
FORGETS = """
CREATE FUNCTION change_forgets_a_client() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT 1 FROM erasure WHERE salon_id = OLD.salon_id AND under_way = 1)
       AND ROW({new}) IS NOT DISTINCT FROM ROW({old})
       AND NEW.before #- '{{request,client}}' IS NOT DISTINCT FROM
           OLD.before #- '{{request,client}}'
       AND NEW.after #- '{{request,client}}' IS NOT DISTINCT FROM
           OLD.after #- '{{request,client}}'
    THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'the record of changes is kept' USING ERRCODE = 'restrict_violation';
END $$
"""
ERASURE_KEPT = """
CREATE FUNCTION erasure_is_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.under_way = 1 AND NEW.under_way IS NULL
       AND ROW(NEW.salon_id, NEW.id, NEW.at, NEW.who)
           IS NOT DISTINCT FROM ROW(OLD.salon_id, OLD.id, OLD.at, OLD.who)
    THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'erasures are kept' USING ERRCODE = 'restrict_violation';
END $$
"""
FOR_ROWS = "CREATE TRIGGER {name} BEFORE {events} ON {table} FOR EACH ROW EXECUTE FUNCTION {call}()"
FOR_ALL = (
    "CREATE TRIGGER {name} BEFORE {events} ON {table} FOR EACH STATEMENT EXECUTE FUNCTION {call}()"
)

# SQLite
SQLITE_CHANGE = """
CREATE TRIGGER change_is_kept_on_UPDATE BEFORE UPDATE ON change {when}
BEGIN
    SELECT RAISE(ABORT, 'the record of changes is kept');
END
"""
SQLITE_FORGETS = """WHEN NOT (
    EXISTS (SELECT 1 FROM erasure WHERE salon_id = OLD.salon_id AND under_way = 1)
    AND {same}
    AND json_remove(NEW.before, '$.request.client') IS json_remove(OLD.before, '$.request.client')
    AND json_remove(NEW.after, '$.request.client') IS json_remove(OLD.after, '$.request.client')
)"""
SQLITE_ERASURE = """
CREATE TRIGGER erasure_is_kept_on_{event} BEFORE {event} ON erasure WHEN {when}
BEGIN
    SELECT RAISE(ABORT, 'erasures are kept');
END
"""
SQLITE_CLOSED = (
    "NOT (OLD.under_way IS 1 AND NEW.under_way IS NULL AND NEW.id IS OLD.id AND NEW.at IS OLD.at "
    "AND NEW.who IS OLD.who AND NEW.salon_id IS OLD.salon_id)"
)
SQLITE_AGAIN = "EXISTS (SELECT 1 FROM erasure WHERE salon_id = NEW.salon_id AND id = NEW.id)"


def upgrade() -> None:
    op.create_table(
        "never",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_never"),
        sa.CheckConstraint("id <> 1", name=op.f("ck_never_is_never_there")),
    )
    op.create_table(
        "erasure",
        sa.Column("salon_id", NAME, nullable=False),
        sa.Column("id", NAME, nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("who", NAME, nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("under_way", sa.Integer()),
        sa.PrimaryKeyConstraint("salon_id", "id", name="pk_erasure"),
        sa.ForeignKeyConstraint(["salon_id"], ["salon.id"], name="fk_erasure_salon"),
        sa.ForeignKeyConstraint(
            ["under_way"],
            ["never.id"],
            name="fk_erasure_never",
            deferrable=True,
            initially="DEFERRED",
        ),
        sa.CheckConstraint("under_way = 1", name=op.f("ck_erasure_under_way_or_done")),
    )
    if op.get_bind().dialect.name == "postgresql":
        new, old = (", ".join(f"{side}.{each}" for each in WHOSE) for side in ("NEW", "OLD"))
        op.execute(FORGETS.format(new=new, old=old))
        op.execute(ERASURE_KEPT)
        op.execute("DROP TRIGGER change_is_kept ON change")
        _guard(FOR_ALL, "change_is_kept", "DELETE OR TRUNCATE", "change", "change_is_kept")
        _guard(FOR_ROWS, "change_forgets", "UPDATE", "change", "change_forgets_a_client")
        _guard(FOR_ROWS, "erasure_is_kept", "UPDATE OR DELETE", "erasure", "erasure_is_kept")
        _guard(FOR_ALL, "erasures_are_kept", "TRUNCATE", "erasure", "erasure_is_kept")
        return
    same = " AND ".join(f"NEW.{each} IS OLD.{each}" for each in WHOSE)
    op.execute("DROP TRIGGER change_is_kept_on_UPDATE")
    op.execute(SQLITE_CHANGE.format(when=SQLITE_FORGETS.format(same=same)))
    for event, when in (("UPDATE", SQLITE_CLOSED), ("DELETE", "1"), ("INSERT", SQLITE_AGAIN)):
        op.execute(SQLITE_ERASURE.format(event=event, when=when))


def downgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP TRIGGER change_forgets ON change")
        op.execute("DROP TRIGGER change_is_kept ON change")
        _guard(
            FOR_ALL, "change_is_kept", "UPDATE OR DELETE OR TRUNCATE", "change", "change_is_kept"
        )
        op.drop_table("erasure")
        op.execute("DROP FUNCTION change_forgets_a_client()")
        op.execute("DROP FUNCTION erasure_is_kept()")
    else:
        op.execute("DROP TRIGGER change_is_kept_on_UPDATE")
        op.execute(SQLITE_CHANGE.format(when=""))
        op.drop_table("erasure")
    op.drop_table("never")


def _guard(words: str, name: str, events: str, table: str, call: str) -> None:
    op.execute(words.format(name=name, events=events, table=table, call=call))
