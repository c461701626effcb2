"""The book on disk: the only place that knows SQLAlchemy."""
