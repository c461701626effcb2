"""Alembic's entry: it runs on the connection it is handed, never on one of its own."""

from __future__ import annotations

from alembic import context

from api.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
    render_as_batch=True,
)
context.run_migrations()
