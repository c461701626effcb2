"""The stock ledger: every gram that came, went or was counted, one entry for each."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, ValidationError, model_validator
from pydantic_core import InitErrorDetails, PydanticCustomError

from schemas.base import Document
from schemas.reports import Definition
from schemas.units import Day, Grams, Identifier, Number, Text

SignedGrams = Annotated[float, Field(ge=-1_000_000, le=1_000_000), Number]
EntryNumber = Annotated[str, Field(pattern=r"^[0-9]{1,18}$")]


class EntryKind(StrEnum):
    """What an entry tells."""

    OPENING = "opening"
    """What lay there when the ledger began."""
    STOCKTAKE = "stocktake"
    """The difference that counting the shelf showed."""
    RECEIPT = "receipt"
    """Hair that came in."""
    USE = "use"
    """Hair that one visit took, weighed at its end."""
    CORRECTION = "correction"
    """A difference with its reason: damaged, given away, found."""
    ORDER = "order"
    """Hair that is under way from now on."""
    WITHDRAWN = "order-withdrawn"
    """Hair that does not come after all."""


WRITTEN = (EntryKind.RECEIPT, EntryKind.CORRECTION, EntryKind.ORDER, EntryKind.WITHDRAWN)
"""What people write; the rest comes about by a stocktake or a visit."""


class StockEntry(Document):
    """One entry. What is on hand, and what is under way, is the sum of all entries so far."""

    id: EntryNumber
    """Entries of a salon are numbered in the order in which they were written."""
    at: datetime
    who: Text
    kind: EntryKind
    material: Identifier
    on_hand_grams: SignedGrams
    """The change of what lies on the shelf."""
    on_order_grams: SignedGrams
    """The change of what is under way."""
    arrives: Day | None = None
    """The day of the order it is about."""
    reason: Text | None = None
    booking: Identifier | None = None
    expected_grams: Grams | None = None
    """With a use: what its take-off had reckoned."""


class NewStockEntry(Document):
    """An entry to be written: a receipt, a correction, an order or an order withdrawn."""

    kind: EntryKind
    grams: SignedGrams
    """More than nothing; for a correction, below nothing takes hair off the shelf."""
    arrives: Day | None = None
    """The day the order is due. A receipt that states it is taken off that order."""
    reason: Text | None = None

    @model_validator(mode="after")
    def _says_what_its_kind_needs(self) -> Self:
        wrong: dict[str, str] = {}
        if self.kind not in WRITTEN:
            wrong["kind"] = f"{self.kind} is not written by hand: use {', '.join(WRITTEN)}"
        elif self.kind is EntryKind.CORRECTION:
            if self.reason is None:
                wrong["reason"] = "a correction states its reason"
            if not self.grams:
                wrong["grams"] = "a correction states its grams"
            if self.arrives is not None:
                wrong["arrives"] = "a correction is about the shelf, not about an order"
        else:
            if self.grams <= 0:
                wrong["grams"] = "must be more than nothing"
            if self.kind is not EntryKind.RECEIPT and self.arrives is None:
                wrong["arrives"] = "is needed: the day the order arrives"
        if wrong:
            raise ValidationError.from_exception_data(
                "NewStockEntry",
                [
                    InitErrorDetails(
                        type=PydanticCustomError("entry", "{words}", {"words": words}),
                        loc=(name,),
                        input=getattr(self, name),
                    )
                    for name, words in wrong.items()
                ],
            )
        return self


class UsedHair(Document):
    """What a visit took of one material, by the scales."""

    material: Identifier
    grams: Grams


class HairUse(Document):
    """What a visit took. Told again, the difference is written, and nothing is taken back."""

    hair: Annotated[tuple[UsedHair, ...], Field(min_length=1, max_length=16)]

    @model_validator(mode="after")
    def _each_material_once(self) -> Self:
        if len({each.material for each in self.hair}) < len(self.hair):
            raise ValueError("a material is named twice")
        return self


class HairUseLine(Document):
    """One material of one visit: reckoned, and by the scales."""

    material: Identifier
    expected: Grams
    """Grams the booking's take-off reckoned; 0 for a material that it did not name."""
    used: Grams | None
    """None while nothing was weighed."""
    brought_by_client: bool
    """Not the salon's hair: it takes nothing off the shelf."""


class VisitHair(Document):
    """The hair of one visit."""

    booking: Identifier
    lines: tuple[HairUseLine, ...]


class HairRateEstimate(Document):
    """What visits say of one rate of the take-off."""

    rate: Identifier
    """Its code."""
    in_use: float
    learned: float
    """In the rate's own unit, within its plausible range."""
    low: float
    high: float
    """The 90 % interval, within the same range."""
    visits: Annotated[int, Field(ge=0)]
    set_aside: Annotated[int, Field(ge=0)]
    """Visits so far from the rest that they were weighed down to less than half."""


class StyleHair(Document):
    """Hair of one technique and role: reckoned with the rates of today, and by the scales."""

    technique: Identifier
    role: Identifier
    visits: Annotated[int, Field(ge=0)]
    expected: float
    used: float
    ratio: float | None
    """used / expected."""


class HairUseReport(Document):
    """Expected against used, by style, and what it says of the rates."""

    definitions: tuple[Definition, ...]
    styles: tuple[StyleHair, ...]
    expected: float
    used: float
    rates: tuple[HairRateEstimate, ...]
