"""Words of care that travel with a take-off, each with the figure that caused it.

General information; a licensed professional decides. What stands behind them: tension, added
weight and relaxed hair raise the risk of hair loss by traction, which affects about a third of
Black women (review by Johns Hopkins, 2016, as reported); thicker braids pull less, braids should
not stay longer than two to three months, and be loosened at the hairline (American Academy of
Dermatology); hot-water setting was behind 1.6 % of the female burn patients of one series, most of
them children (Journal of Burn Care and Research 2016, 2018; Burns Open 2022); over 75 % of 101
braiders interviewed had discomfort in fingers, wrists or back (Sy and Phillips 2016). The limits at
which a caution begins are house figures, `care-...` among the rates.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import fsum

from schemas.hair import HairRole, Material
from schemas.style import Style
from schemas.takeoff import Caution
from solver.takeoff.case import Case
from solver.takeoff.hair import Need, Reckoned
from solver.takeoff.sizes import boxes_on_head
from solver.takeoff.techniques import Layout

_ADVICE = "A dermatologist or licensed professional can advise."
_WEEKS = 8


def cautions(
    case: Case, units: int, found: Sequence[Need], hair: Reckoned, handwork: float
) -> Iterator[Caution]:
    """The cautions a style draws, the weightiest for the scalp first.

    `handwork` is the minutes of braiding at the booked percentile.
    """
    hung = fsum(need.hung_grams for need in found)
    yield from _weight(case, hung, units)
    yield from _wearer(case.style, hung)
    yield from _set(case.style)
    yield from _boxes(case, units)
    yield from _lengths(hair.chosen)
    rest = case.rates["care-handwork"]
    if handwork > rest:
        yield Caution(
            code="handwork",
            sentence=f"Plan rests for the braider: that is more than {rest:g} min of handwork.",
            figure=handwork,
            unit="min of handwork",
        )


def _weight(case: Case, hung: float, units: int) -> Iterator[Caution]:
    technique, rates = case.technique, case.rates
    each = hung / units
    if each > rates["care-braid"]:
        sentence = (
            f"Each {technique.unit} hangs {each:.1f} g on the hair it grows from: added weight "
            f"pulls at the root; shorter or fewer curls is lighter. {_ADVICE}"
        )
        yield Caution(code="weight-per-braid", sentence=sentence, figure=each, unit="g per braid")
    if hung > rates["care-head"]:
        sentence = f"{hung:.0f} g on the head in all: neck and scalp carry it day and night."
        yield Caution(code="weight-on-head", sentence=sentence, figure=hung, unit="g")


def _wearer(style: Style, hung: float) -> Iterator[Caution]:
    wearer = style.wearer
    if hung:
        sentence = (
            "Leave edges and nape loose and their braids light, and take the style down within "
            f"{_WEEKS} weeks."
        )
        yield Caution(code="edges-and-nape", sentence=sentence, figure=_WEEKS, unit="weeks")
    if wearer.child:
        sentence = (
            f"A child's hairline is fine and she cannot always say that it hurts: no tight braids, "
            f"pauses, and as little added weight as can be (here {hung:.0f} g). {_ADVICE}"
        )
        yield Caution(code="child", sentence=sentence, figure=hung, unit="g")
    if wearer.tender_scalp:
        sentence = (
            f"She mentions a sore scalp, thinning edges or a scalp condition: {hung:.0f} g of "
            "added hair may make it worse. See a dermatologist or licensed professional first."
        )
        yield Caution(code="tender-scalp", sentence=sentence, figure=hung, unit="g")
    if wearer.relaxed_hair:
        sentence = (
            f"Relaxed hair breaks sooner under tension: {hung:.0f} g of added hair asks for larger "
            f"boxes and a loose grip. {_ADVICE}"
        )
        yield Caution(code="relaxed-hair", sentence=sentence, figure=hung, unit="g")


def _set(style: Style) -> Iterator[Caution]:
    if not style.hot_water_set:
        return
    sentence = (
        f"Ends {style.length_cm:g} cm down are set in hot water, which scalds: towel over lap and "
        "back, dip away from the body, let the ends cool before they fall."
    )
    if style.wearer.child:
        sentence += " Do not do it on a child in the chair: set the ends another way."
    yield Caution(code="hot-water", sentence=sentence, figure=style.length_cm, unit="cm")


def _boxes(case: Case, units: int) -> Iterator[Caution]:
    style, technique, size, rates = case
    if technique.layout is not Layout.BOXES or not technique.sized:
        return
    ratio = style.length_cm / size.box_cm
    if ratio > rates["care-length-per-box"]:
        sentence = (
            f"{style.length_cm:g} cm of length on boxes of {size.box_cm:g} cm is {ratio:.0f} times "
            "the box: small boxes bear less; larger boxes or shorter braids pull less."
        )
        yield Caution(code="small-box-long-hair", sentence=sentence, figure=ratio, unit="cm per cm")
    fitting = boxes_on_head(size.box_cm, case.around_cm, rates["scalp-area"])
    if not fitting / 2 <= units <= fitting * 2:
        sentence = (
            f"{units} braids and boxes of {size.box_cm:g} cm do not fit together: a head of "
            f"{case.around_cm:g} cm takes about {fitting:.0f}. Check size or count."
        )
        yield Caution(code="size-and-count", sentence=sentence, figure=fitting, unit="braids")


def _lengths(chosen: Sequence[tuple[Need, Material, float]]) -> Iterator[Caution]:
    for need, material, _ in chosen:
        lacking = need.length_cm - material.length_cm
        if lacking > 0 and need.overlap_cm is None:
            what = "curl" if need.role is HairRole.BULK else "hair"
            sentence = f"{material.name} is too short: each {what} ends {lacking:.1f} cm higher."
            yield Caution(code="short-hair", sentence=sentence[:400], figure=lacking, unit="cm")
