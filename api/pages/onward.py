"""The way to signing in, and from there to where somebody was going."""

from __future__ import annotations

import re
from urllib.parse import urlencode

SIGN_IN = "/sign-in"
# A path of this service: two slashes, or a backslash, would lead elsewhere.
_WITHIN = re.compile(r"^/(?!/)[!-\[\]-~]{0,499}$", re.ASCII)


def within(onward: str) -> str:
    """Where to go on; never to somebody else."""
    return onward if _WITHIN.fullmatch(onward) else "/"


def sign_in_path(onward: str) -> str:
    """The path that asks who it is, and leads on to `onward` from there."""
    return SIGN_IN if within(onward) == "/" else f"{SIGN_IN}?{urlencode({'next': onward})}"
