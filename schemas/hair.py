"""Hair: the materials a salon stocks, what a style asks of them, what is on hand."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.units import (
    Centimetres,
    Count,
    Currency,
    Day,
    Grams,
    Identifier,
    MinorUnits,
    Share,
    Text,
)


class HairRole(StrEnum):
    """What the hair is for."""

    FILL = "fill"
    """Braiding hair fed in for length and body, sold in packs."""
    BULK = "bulk"
    """Loose hair with no weft, sold in bundles, for the curls."""
    WEFT = "weft"
    """Hair on a weft, for a sew-in."""


class Material(Document):
    """One thing on the shelf, told apart by role, texture, colour and length."""

    id: Identifier
    role: HairRole
    texture: Identifier
    colour: Identifier
    length_cm: Centimetres
    pack_grams: Annotated[float, Field(gt=0, le=5000)]
    """Grams in one pack or bundle."""
    pack_price: MinorUnits
    currency: Currency
    supplier_days: Annotated[int, Field(ge=0, le=365)] = 7
    """Days from order to shelf."""
    name: Text


class HairChoice(Document):
    """Which material plays a role in a style; `share` splits a role between colours."""

    role: HairRole
    material: Identifier
    share: Annotated[float, Field(gt=0, le=1)] = 1.0
    brought_by_client: bool = False


class HairQuantity(Document):
    """Hair one visit takes of one material."""

    material: Identifier
    role: HairRole
    grams: Grams
    """Grams used, waste included, before rounding up to packs."""
    strands: Annotated[int, Field(ge=0)]
    packs: Count
    """Whole packs or bundles."""
    left_over_grams: Grams
    brought_by_client: bool = False


class StockLine(Document):
    """What is on the shelf and on its way, of one material."""

    material: Identifier
    on_hand_grams: Annotated[float, Field(ge=0, le=1_000_000)]
    on_order: Annotated[tuple[StockOrder, ...], Field(max_length=50)] = ()


class StockOrder(Document):
    """Hair under way."""

    grams: Annotated[float, Field(gt=0, le=1_000_000)]
    arrives: Day


class ColourShares(Document):
    """Checks that the shares of one role come to one."""

    choices: tuple[HairChoice, ...]

    @model_validator(mode="after")
    def _whole(self) -> Self:
        for role in {choice.role for choice in self.choices}:
            total = sum(choice.share for choice in self.choices if choice.role is role)
            if abs(total - 1) > 1e-6:
                raise ValueError(f"the shares of {role} come to {total:g}, not 1")
        return self


__all__ = [
    "ColourShares",
    "HairChoice",
    "HairQuantity",
    "HairRole",
    "Material",
    "Share",
    "StockLine",
    "StockOrder",
]
