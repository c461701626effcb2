"""The way from an empty database to this version's, step by step (Alembic)."""
