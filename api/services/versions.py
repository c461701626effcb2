"""Edits made on what one has seen: If-Match (RFC 9110, 13.1.1), asked for by 428 (RFC 6585)."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from api.services.errors import StaleError, UnseenError
from schemas.base import Document

LONGEST_HEADER = 400


def tag(version: int) -> str:
    """The strong entity tag of a version."""
    return f'"{version}"'


def tag_of(document: Document) -> str:
    """The strong entity tag of what is put together from several rows, or from none: its digest."""
    return f'"{hashlib.sha256(document.model_dump_json().encode()).hexdigest()[:20]}"'


@dataclass(frozen=True)
class Expectation:
    """What the one who edits has seen; without tags she has not said.

    Tags compare strongly: a weak one never matches. `*` matches whatever is there.
    """

    tags: frozenset[str] | None = None

    @classmethod
    def of(cls, header: str | None) -> Expectation:
        if header is None:
            return cls()
        return cls(frozenset(part.strip() for part in header[:LONGEST_HEADER].split(",")))

    def require(self, version: int | None) -> None:
        """Raises StaleError where `version`, None for nothing, is not one that was seen.

        Raises UnseenError where there is something and nothing was said of what was seen.
        """
        self.require_tag(None if version is None else tag(version))

    def require_tag(self, current: str | None, *, own: bool = True) -> None:
        """As `require`; where it is not the salon's `own` but a default, nothing can be lost."""
        if self.tags is None:
            if current is not None and own:
                raise UnseenError(
                    "say what you have seen: read it, and send its ETag as If-Match, or * to "
                    "overwrite whatever is there"
                )
            return
        if current is not None and ("*" in self.tags or current in self.tags):
            return
        raise StaleError("it has been changed since you read it: read it again")
