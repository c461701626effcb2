"""What a path is: an operation of the API, a page of the salon, or open to everybody.

A page bears the operation of the API that it shows or does, and may name further ones: it is for
those who may do all of them. There is one table of who may do what, and no line for pages in it.
"""

from __future__ import annotations

from typing import Any

from litestar.enums import ScopeType
from litestar.types import Scope

from api.services.permits import OPEN

EVERYBODY: dict[str, Any] = {"everybody": True}
"""The `opt` of a handler that tells nothing of the salon."""
WHOEVER_IS_KNOWN: dict[str, Any] = {"known": True}
"""The `opt` of a handler that concerns the caller alone."""
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
"""Methods that change nothing (RFC 9110, 9.2.1)."""


def needs(*operations: str) -> dict[str, Any]:
    """The `opt` of a page that shows or does more than the operation it bears."""
    return {"needs": operations}


def is_page(scope: Scope) -> bool:
    return bool(_opt(scope).get("page"))


def operation_of(scope: Scope) -> str | None:
    """The operation id of the path that was found; None of what is no operation."""
    name = getattr(scope.get("route_handler"), "operation_id", None)
    return name if isinstance(name, str) else None


def asked_of(scope: Scope) -> tuple[str, ...] | None:
    """The operations that the caller must be allowed; None of what everybody may have.

    A path that says nothing of itself is for nobody.
    """
    opt, operation = _opt(scope), operation_of(scope)
    describes = scope["type"] == ScopeType.HTTP and scope["method"] == "OPTIONS"
    if describes or operation in OPEN or "everybody" in opt:
        return None
    if "known" in opt:
        return ()
    return (operation or "", *opt.get("needs", ()))


def _opt(scope: Scope) -> dict[str, Any]:
    return getattr(scope.get("route_handler"), "opt", {})
