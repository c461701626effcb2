"""The shelf: every material the salon knows, with what is on hand and on order."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.hair import Material, StockLine, StockOrder
from schemas.units import Number

ShelfGrams = Annotated[float, Field(ge=0, le=1_000_000), Number]


class ShelfLine(Document):
    """One material and its stock."""

    material: Material
    stock: StockLine
    house: bool
    """True for a plain material of the house that the salon has not described otherwise."""


class StockSetting(Document):
    """What a stocktake says of one material.

    A material the house does not know is described along with it.
    """

    on_hand_grams: ShelfGrams
    on_order: Annotated[tuple[StockOrder, ...], Field(max_length=50)] = ()
    material: Material | None = None
