"""The take-off itself: a style in, quantities out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import fsum

from schemas.hair import Material
from schemas.style import CurlPlacement, Style
from schemas.takeoff import (
    PhaseMinutes,
    TakeOff,
    TakeOffLine,
    TakeOffRequest,
    VisitMinutes,
)
from schemas.work import BRAIDING
from solver.errors import Fault, StyleError
from solver.takeoff.case import Case
from solver.takeoff.cautions import cautions
from solver.takeoff.crew import Booking, crew_table, phase_work, spread
from solver.takeoff.hair import choices_of, needs, reckon_hair
from solver.takeoff.labour import Line, braid_minutes, labour_lines, phase_means, row_counts
from solver.takeoff.materials import request_shelf
from solver.takeoff.odds import Lognormal, added_up, braiding_cv
from solver.takeoff.parting import lay_out
from solver.takeoff.rates import HOUSE_BOOK, RateBook, rate_book
from solver.takeoff.sizes import SIZE_NAMES, size_figures
from solver.takeoff.substitution import substitutes
from solver.takeoff.techniques import TECHNIQUE_BY_ID, Technique

LONGEST_VISIT = 2880
"""Minutes at the booked percentile beyond which a style is refused as a slip of the pen."""


def take_off(request: TakeOffRequest) -> TakeOff:
    """The quantities of `request.style`.

    Raises StyleError, with JSON pointers into the request, for an unknown technique, size, rate or
    material, a rate out of its range, and a style that no head carries or no day holds.
    """
    return take_off_with(request, request_shelf(request))


def take_off_with(
    request: TakeOffRequest, shelf: Mapping[str, Material], house: RateBook = HOUSE_BOOK
) -> TakeOff:
    """`take_off` with the materials of `shelf` by id, whatever the request lists.

    `house` is the salon's rates, before what the request sets.
    """
    style, rates, pace = request.style, rate_book(request.rates, house), request.pace
    technique = technique_of(style)
    case = Case(style, technique, size_figures(style.size, style.box_width_cm, rates), rates)
    laid = lay_out(case)
    units = sum(section.braids for section in laid)
    curls = sum(sum(section.curls) for section in laid)

    found = needs(case, units, curls)
    hair = reckon_hair(found, choices_of(style, technique, shelf), technique.texture)

    base = braid_minutes(case)
    lines = labour_lines(case, laid, base, hair.grams, (pace, request.pace_provenance))
    odds = _phase_odds(lines, units, rates)
    visit = added_up(tuple(odds.values()), rates["common-share"])
    visit = visit._replace(mean=fsum(line.amount for line in lines))
    booking = Booking(request.percentile, visit.percentile(request.percentile), len(odds))
    if booking.minutes > LONGEST_VISIT:
        detail = (
            f"{booking.minutes / 60:.0f} h of work is no one visit: check braids, size and length"
        )
        raise StyleError(Fault("/style", detail))
    braiding = odds[BRAIDING]
    # A planner multiplies phases by the pace of whoever performs them, so they are of pace 1.
    phases = spread(booking.minutes / pace, {kind: phase.mean for kind, phase in odds.items()})
    return TakeOff(
        style=style.name,
        technique=technique.id,
        braids=units,
        curls=curls,
        rows=row_counts(laid, base, rates),
        phases=phase_work(phases, technique.id),
        pace=pace,
        minutes=VisitMinutes(
            mean=visit.mean,
            cv=visit.cv,
            p50=visit.percentile(50),
            p80=visit.percentile(80),
            p95=visit.percentile(95),
            percentile=request.percentile,
            booked=booking.rounded_up(),
        ),
        phase_minutes=tuple(_phase_minutes(kind, phase) for kind, phase in odds.items()),
        crews=crew_table(visit, odds, booking, request, rates),
        hair=hair.quantities,
        hair_grams=hair.grams,
        hair_prices=hair.prices,
        substitutes=tuple(substitutes(hair, shelf, request.stock)) if request.stock else (),
        cautions=tuple(cautions(case, units, found, hair, braiding.percentile(request.percentile))),
        lines=_documents(lines),
        hair_lines=_documents(hair.lines),
    )


def technique_of(style: Style) -> Technique:
    """The style's technique. Raises StyleError where it, the size or the curls make no sense."""
    technique = TECHNIQUE_BY_ID.get(style.technique)
    faults = []
    if technique is None:
        known = ", ".join(TECHNIQUE_BY_ID)
        faults.append(Fault("/style/technique", f"{style.technique} is not one of {known}"))
    elif style.curls.placement is not CurlPlacement.NONE and not technique.curls:
        detail = f"no curls are left out of a {technique.unit} of {technique.id}"
        faults.append(Fault("/style/curls/placement", detail))
    if style.size not in SIZE_NAMES:
        detail = f"{style.size} is not one of {', '.join(SIZE_NAMES)}"
        faults.append(Fault("/style/size", detail))
    if faults or technique is None:
        raise StyleError(*faults)
    return technique


def _phase_odds(lines: list[Line], units: int, rates: RateBook) -> dict[str, Lognormal]:
    single = rates["cv-braid"]
    return {
        kind: Lognormal(
            mean,
            braiding_cv(rates["cv-braiding"], single, units)
            if kind == BRAIDING
            else rates[f"cv-{kind}"],
        )
        for kind, mean in phase_means(lines).items()
    }


def _phase_minutes(kind: str, phase: Lognormal) -> PhaseMinutes:
    return PhaseMinutes(
        kind=kind,
        mean=phase.mean,
        cv=phase.cv,
        p50=phase.percentile(50),
        p80=phase.percentile(80),
        p95=phase.percentile(95),
    )


def _documents(lines: Iterable[Line]) -> tuple[TakeOffLine, ...]:
    return tuple(
        TakeOffLine(
            phase=line.phase,
            section=line.section,
            label=line.label,
            quantity=line.quantity,
            rate=line.rate,
            unit=line.unit,
            amount=line.amount,
            rate_code=line.rate_code,
            provenance=line.provenance,
            worked=line.worked,
        )
        for line in lines
    )
