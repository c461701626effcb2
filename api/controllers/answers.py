"""Small helps of the controllers: dates out of text, documents with their ETag."""

from __future__ import annotations

from datetime import date
from typing import TypeVar

from litestar import Response

from api.services.errors import UnprocessableError
from api.services.ports import Versioned
from api.services.versions import Expectation, tag, tag_of
from schemas.base import Document
from solver.errors import Fault

D = TypeVar("D", bound=Document)


def day(text: str, name: str) -> date:
    """The date that `text` is. Raises UnprocessableError for the 31st of June and its like."""
    try:
        return date.fromisoformat(text)
    except ValueError as wrong:
        raise UnprocessableError(Fault(name, "there is no such date")) from wrong


def day_or_none(text: str | None, name: str) -> date | None:
    return None if text is None else day(text, name)


def shown(document: D, status: int = 200, location: str | None = None) -> Response[D]:
    """A document that has no version of its own, with the tag of what it says."""
    headers = {"ETag": tag_of(document)}
    if location is not None:
        headers["Location"] = location
    return Response(document, status_code=status, headers=headers)


def seen(if_match: str) -> Expectation:
    """What the header says that was read."""
    return Expectation.of(if_match or None)


def tagged(found: Versioned[D], status: int = 200, location: str | None = None) -> Response[D]:
    """The document, with the tag that If-Match wants to see again."""
    headers = {"ETag": tag(found.version)}
    if location is not None:
        headers["Location"] = location
    return Response(found.document, status_code=status, headers=headers)
