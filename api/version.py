"""The version of the service."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version


def _version() -> str:
    try:
        return version("partline")
    except PackageNotFoundError:
        return "0.0.0"  # Run from the sources, without being installed.


VERSION = _version()
