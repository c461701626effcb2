"""Edits made on what one has seen: If-Match (RFC 9110, 13.1.1)."""

from __future__ import annotations

from dataclasses import dataclass

from api.services.errors import StaleError

LONGEST_HEADER = 400


def tag(version: int) -> str:
    """The strong entity tag of a version."""
    return f'"{version}"'


@dataclass(frozen=True)
class Expectation:
    """What the one who edits has seen. Without tags she has not said, and any version will do.

    Tags compare strongly: a weak one never matches. `*` matches whatever is there.
    """

    tags: frozenset[str] | None = None

    @classmethod
    def of(cls, header: str | None) -> Expectation:
        if header is None:
            return cls()
        return cls(frozenset(part.strip() for part in header[:LONGEST_HEADER].split(",")))

    def require(self, version: int | None) -> None:
        """Raises StaleError where `version`, None for nothing, is not one that was seen."""
        if self.tags is None:
            return
        if version is not None and ("*" in self.tags or tag(version) in self.tags):
            return
        raise StaleError("it has been changed since you read it: read it again")
