"""Problem details (RFC 9457)."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from schemas.base import Document


class InvalidParameter(Document):
    """What is wrong with one field."""

    pointer: Annotated[str, Field(max_length=500)]
    """JSON Pointer (RFC 6901) into the body, or the name of a path or query parameter."""
    detail: Annotated[str, Field(max_length=500)]


class Problem(Document):
    """A refusal that says what to do."""

    type: str = "about:blank"
    """A path of the service, relative to the answer, with a page about this kind of problem."""
    title: str
    status: Annotated[int, Field(ge=400, le=599)]
    detail: str
    errors: tuple[InvalidParameter, ...] = ()
