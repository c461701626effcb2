"""Answers in gzip, for those who take it.

Not pages: they hold the proof that changes carry, beside words of others, and the length of what is
squeezed would tell one by the other (BREACH, CVE-2013-3587). Not streams either: what is said would
wait in the buffer.
"""

from __future__ import annotations

from typing import Any

from litestar.config.compression import CompressionConfig
from litestar.middleware import DefineMiddleware
from litestar.middleware.compression import CompressionMiddleware

AS_IT_IS: dict[str, Any] = {"as_it_is": True}
"""The `opt` of what is never squeezed."""

# First among the middleware: those within see answers as they are, and keep them so.
squeezed = DefineMiddleware(
    CompressionMiddleware,
    config=CompressionConfig(
        backend="gzip",
        gzip_compress_level=4,
        minimum_size=1_000,
        exclude_opt_key=next(iter(AS_IT_IS)),
    ),
)
