"""The figures that take-offs reckon with, each with unit, plausible range and provenance.

No minutes per braid and no grams per style were found published: those are house figures, or the
common practice of the trade, and stay so until a salon overrides them or learns its own. The one
published figure names its text.

Table rows read `code, value, low, high, unit, provenance, sentence`; `h` is a house figure, `c`
common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from schemas.takeoff import Provenance, Rate, RateOverride
from solver.errors import Fault, StyleError
from solver.takeoff.sizes import SIZES
from solver.takeoff.techniques import TECHNIQUES

_PROVENANCE = {"h": Provenance.HOUSE, "c": Provenance.COMMON_PRACTICE}

_GENERAL = (
    # Labour. A row's parting is the comb line; a box's own part is in its braid's start.
    ("parting-row", 0.8, 0.0, 10, "min per row", "h", "Combing and clipping one row"),
    ("tie-off", 0.2, 0.0, 3, "min per braid", "h", "Closing the end of one braid"),
    ("curl-time", 0.2, 0.0, 3, "min per curl", "h", "Leaving one curl out of a braid"),
    ("take-down-base", 5, 0, 60, "min", "h", "Getting ready to take an old install down"),
    ("take-down-braid", 0.6, 0.05, 5, "min per braid", "c", "Taking one old braid down"),
    ("wash", 30, 5, 120, "min", "c", "Wash and blow-dry"),
    ("prep-base", 5, 0, 60, "min", "h", "Laying hair out at the side table"),
    ("prep-hair", 3, 0, 30, "min per 100 g", "h", "Pulling and cutting hair to length"),
    ("finish-base", 10, 0, 60, "min", "c", "Trimming stray ends and foam"),
    ("finish-braid", 0.1, 0, 2, "min per braid", "h", "Trimming and smoothing one braid"),
    ("hot-water", 12, 3, 60, "min", "h", "Setting the ends in hot water, cooling included"),
    ("child-extra", 0.15, 0, 1, "share of the minutes", "h", "Pauses with a child in the chair"),
    ("help-rate", 0.5, 0.05, 1, "min of the lead per min", "h", "Help of one assistant"),
    ("crowding", 0.8, 0.3, 1, "factor", "h", "Worth of each further helper round one head"),
    # Odds. See solver.takeoff.odds for what each does.
    ("cv-take-down", 0.35, 0.02, 1, "ratio", "h", "Spread of take-down"),
    ("cv-wash", 0.2, 0.02, 1, "ratio", "h", "Spread of wash and blow-dry"),
    ("cv-hair-prep", 0.25, 0.02, 1, "ratio", "h", "Spread of hair prep"),
    ("cv-finish", 0.3, 0.02, 1, "ratio", "h", "Spread of the finish"),
    ("cv-braiding", 0.2, 0.02, 1, "ratio", "h", "Spread of braiding that one head shares"),
    ("cv-braid", 0.4, 0.0, 2, "ratio", "h", "Spread from braid to braid on one head"),
    ("cv-hair", 0.1, 0.0, 1, "ratio", "h", "Spread of the hair that one head takes"),
    ("spread-hair", 0.2, 0.02, 1, "of ln grams", "h", "Spread of hair from salon to salon"),
    ("cv-help", 0.25, 0.0, 1, "ratio", "h", "Spread of the help that an assistant gives"),
    ("spread-leads", 0.2, 0.02, 1, "of ln pace", "h", "Spread of pace from lead to lead"),
    ("spread-visits", 0.25, 0.02, 1, "of ln pace", "h", "Spread of one lead's pace by visit"),
    ("common-share", 0.5, 0, 1, "share of the variance", "h", "Spread that all phases share"),
    # The head.
    ("head-grown", 56, 48, 64, "cm", "h", "Circumference of a grown head"),
    ("head-child", 51, 42, 56, "cm", "h", "Circumference of a child's head"),
    ("lane-room", 34, 20, 50, "cm", "h", "Room across a grown head for cornrows or tracks"),
    # Hair.
    ("curl-length", 40, 5, 90, "cm", "h", "Visible length of a curl"),
    ("curl-in-braid", 5.08, 0, 20, "cm", "c", "Other end of a curl, 2 in., kept in the braid"),
    ("curl-density", 0.0225, 0.002, 0.2, "g per cm", "h", "Weight of one curl along its length"),
    ("join-overlap", 8, 0, 20, "cm", "h", "Overlap where a strand is lengthened by another"),
    ("waste-fill", 0.05, 0, 0.5, "share", "h", "Fill hair lost in pulling and feathering"),
    ("waste-bulk", 0.05, 0, 0.5, "share", "h", "Bulk hair lost in parting a bundle"),
    ("waste-weft", 0.03, 0, 0.5, "share", "h", "Weft lost in cutting"),
    # Where a caution begins.
    ("care-braid", 12, 1, 100, "g per braid", "h", "Added weight per braid that asks for a word"),
    ("care-head", 600, 100, 3000, "g", "h", "Added weight on a head that asks for a word"),
    (
        "care-length-per-box",
        30,
        5,
        200,
        "cm per cm",
        "h",
        "Length over box width, as much as bears",
    ),
    ("care-handwork", 120, 30, 480, "min", "h", "Handwork without a rest that asks for a word"),
)
_PUBLISHED = (
    Rate(
        code="scalp-area",
        sentence="Hair-bearing scalp of a grown head",
        unit="cm2",
        value=775,
        low=500,
        high=1000,
        provenance=Provenance.PUBLISHED,
        source="Journal of the Society of Cosmetic Chemists 28 (5), page 222, quoting Behrman",
    ),
)


def _rows() -> Iterable[tuple[str, float, float, float, str, str, str]]:
    yield from _GENERAL
    for size in SIZES:
        name = size.name
        yield f"box-{name}", size.box_cm, 0.5, 10, "cm", "h", f"Box width, size {name}"
        yield f"time-{name}", size.time, 0.2, 4, "factor", "h", f"Time of a {name} braid"
        yield f"fill-{name}", size.fill, 0.002, 2, "g per cm", "h", f"Fill hair in a {name} braid"
    for tech in TECHNIQUES:
        what, unit = f"{tech.name}: ", f"min per {tech.unit}"
        yield f"start-{tech.id}", tech.start, 0.02, 60, unit, tech.provenance, what + "the start"
        per_cm = f"min per cm of {tech.unit}"
        yield f"per-cm-{tech.id}", tech.per_cm, 0, 1, per_cm, tech.provenance, what + "its length"
        if tech.foundation:
            begin = what + "cornrows underneath"
            yield f"foundation-{tech.id}", tech.foundation, 0, 240, "min", "h", begin
        if tech.fill:
            grams = what + "hair, against the size's fill" if tech.sized else what + "hair"
            unit = "factor" if tech.sized else f"g per cm of {tech.unit}"
            yield f"hair-{tech.id}", tech.fill, 0.001, 10, unit, "h", grams


def _table() -> Mapping[str, Rate]:
    rates = [
        Rate(
            code=code,
            sentence=sentence,
            unit=unit,
            value=value,
            low=low,
            high=high,
            provenance=_PROVENANCE[provenance],
        )
        for code, value, low, high, unit, provenance, sentence in _rows()
    ]
    return MappingProxyType({rate.code: rate for rate in (*rates, *_PUBLISHED)})


HOUSE_RATES: Mapping[str, Rate] = _table()


class RateBook:
    """The rates of one salon: `book[code]` is the figure, `book.rate(code)` all about it."""

    def __init__(self, rates: Mapping[str, Rate]) -> None:
        self._rates = rates
        self._values = {code: rate.value for code, rate in rates.items()}

    def __getitem__(self, code: str) -> float:
        return self._values[code]

    def rate(self, code: str) -> Rate:
        return self._rates[code]

    def provenance(self, code: str) -> Provenance:
        return self._rates[code].provenance

    @property
    def codes(self) -> frozenset[str]:
        return frozenset(self._rates)

    def all(self) -> tuple[Rate, ...]:
        return tuple(self._rates.values())


HOUSE_BOOK = RateBook(HOUSE_RATES)


def rate_book(overrides: tuple[RateOverride, ...] = (), house: RateBook = HOUSE_BOOK) -> RateBook:
    """The rates of `house` with `overrides` in their place.

    Raises StyleError with pointers `/rates/0/...` for an unknown code, a code given twice or a
    value outside the rate's plausible range.
    """
    if not overrides:
        return house
    rates, faults = {rate.code: rate for rate in house.all()}, []
    seen: set[str] = set()
    for index, override in enumerate(overrides):
        rate = HOUSE_RATES.get(override.code)
        if rate is None:
            detail = f"there is no rate {override.code}; the list of rates names them all"
            faults.append(Fault(f"/rates/{index}/code", detail))
        elif override.code in seen:
            faults.append(Fault(f"/rates/{index}/code", f"the rate {override.code} is set twice"))
        elif not rate.low <= override.value <= rate.high:
            detail = (
                f"{override.code} must lie between {rate.low:g} and {rate.high:g} {rate.unit}, "
                f"and {override.value:g} does not"
            )
            faults.append(Fault(f"/rates/{index}/value", detail))
        else:
            seen.add(override.code)
            changed = {
                "value": override.value,
                "provenance": override.provenance,
                "source": override.source,
                "note": override.note,
            }
            rates[override.code] = rate.model_copy(update=changed)
    if faults:
        raise StyleError(*faults)
    return RateBook(MappingProxyType(rates))
