"""Thin: a typed question in, a service asked, a document out."""
