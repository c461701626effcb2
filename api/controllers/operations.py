"""Which refusals an operation can answer with; `api.description` writes them into the document."""

from __future__ import annotations

from typing import Any

from api.squeezing import AS_IT_IS

READS = (422, 503)
FINDS = (404, 422, 503)
ADDS = (400, 409, 413, 415, 422, 503)
ADDS_BELOW = (400, 404, 409, 413, 415, 422, 503)
EDITS = (400, 404, 409, 412, 413, 415, 422, 428, 503)
RETIRES = (404, 409, 412, 422, 428, 503)
REMOVES = (404, 409, 422, 503)


def refuses(statuses: tuple[int, ...], **further: Any) -> dict[str, Any]:
    """The `opt` of a handler: its refusals."""
    streams = AS_IT_IS if "events" in further else {}
    return {"refuses": statuses, **streams, **further}
