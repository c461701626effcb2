"""The shelf of hair: what is to be bought, what is there, and the ledger of each material."""

from __future__ import annotations

from api.pages.hair.shelf import HairPages

__all__ = ["HairPages"]
