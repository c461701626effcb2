"""Hair: the materials a salon stocks, what a style asks of them, what is on hand."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.units import (
    Centimetres,
    Count,
    Currency,
    Day,
    Flag,
    Grams,
    Identifier,
    MinorUnits,
    Number,
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
    pack_grams: Annotated[float, Field(gt=0, le=5000), Number]
    """Grams in one pack or bundle."""
    pack_price: MinorUnits
    currency: Currency
    supplier_days: Annotated[int, Field(ge=0, le=365), Number] = 7
    """Days from order to shelf."""
    name: Text


class HairChoice(Document):
    """Which material plays a role in a style; `share` splits a role between colours."""

    role: HairRole
    material: Identifier
    share: Annotated[float, Field(gt=0, le=1), Number] = 1.0
    brought_by_client: Flag = False


class HairQuantity(Document):
    """Hair one visit takes of one material."""

    material: Identifier
    role: HairRole
    grams: Grams
    """Grams used, waste included, before rounding up to packs."""
    strands: Annotated[int, Field(ge=0, le=10_000_000), Number]
    packs: Count
    """Whole packs or bundles."""
    left_over_grams: Grams
    brought_by_client: Flag = False
    """The client brings it: no demand on the shelf and no money."""
    price: MinorUnits = 0
    """Whole packs at the pack's price, in minor units of `currency`; 0 where she brings it."""
    currency: Currency | None = None


class HairSubstitute(Document):
    """What could stand in for a material that the shelf is short of.

    Same role, texture and colour; another length or another pack.
    """

    instead_of: Identifier
    short_grams: Grams
    """Grams that the shelf lacks of the material asked for."""
    material: Identifier
    grams: Grams
    packs: Count
    extra_grams: Annotated[float, Field(ge=-20_000, le=20_000), Number]
    """Grams more than the material asked for would take; negative where it takes less."""
    extra_price: Annotated[int, Field(ge=-2_000_000_000, le=2_000_000_000), Number] | None
    """Minor units more; none where the currencies differ."""
    on_hand: Flag
    """The shelf holds enough of it today."""
    sentence: Text


class StockLine(Document):
    """What is on the shelf and on its way, of one material."""

    material: Identifier
    on_hand_grams: Annotated[float, Field(ge=0, le=1_000_000), Number]
    on_order: Annotated[tuple[StockOrder, ...], Field(max_length=50)] = ()


class StockOrder(Document):
    """Hair under way."""

    grams: Annotated[float, Field(gt=0, le=1_000_000), Number]
    arrives: Day
