"""Plots drawn by the server as SVG: woven cells for hours, columns for weeks, bands for causes.

Every part is told by its shape and by a figure beside it, never by colour alone. Attributes and
classes only: the policy of the pages allows no inline style.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup, escape

from api.pages.words import short_day
from schemas.reports import ChairMinutes, ChairUtilisation
from schemas.week_reports import WeekTrend

STRANDS = 10
"""Strands of a cell, each a tenth of its open minutes."""
_CELL, _ROW, _LEFT, _TOP = 46, 44, 84, 26


def percent(share: float | None) -> str:
    """`83 %`; a dash where there is no figure."""
    return "-" if share is None else f"{round(share * 100)} %"


def heat_map(report: ChairUtilisation) -> Markup:
    """Days by hours: each cell is woven as far as the chairs were occupied, with the figure."""
    cells: dict[tuple[date, int], ChairMinutes] = {}
    for told in report.hours:
        cells[told.date, told.hour] = told.minutes
    hours = sorted({hour for _, hour in cells})
    days = sorted({day for day, _ in cells})
    if not cells:
        return Markup("")
    parts = [
        _text(_LEFT + number * _CELL + _CELL / 2, _TOP - 9, f"{hour:02d}", "tick middle")
        for number, hour in enumerate(hours)
    ]
    for row, day in enumerate(days):
        top = _TOP + row * _ROW
        parts.append(_text(0, top + 26, short_day(day), "tick"))
        for number, hour in enumerate(hours):
            minutes = cells.get((day, hour))
            if minutes is not None and minutes.open:
                parts.append(_woven(_LEFT + number * _CELL, top, minutes))
    width, height = _LEFT + len(hours) * _CELL, _TOP + len(days) * _ROW
    title = f"Chair utilisation by day and hour in week {report.week}"
    return _plot("heat", width, height, title, parts)


def _woven(left: float, top: float, minutes: ChairMinutes) -> Markup:
    shares = [
        ("hands", minutes.hands_on / minutes.open),
        ("waits", minutes.waiting / minutes.open),
        ("turns", minutes.turnaround / minutes.open),
    ]
    parts = [
        Markup('<rect class="cell" x="{}" y="{}" width="{}" height="{}" rx="4"/>').format(
            _n(left + 1), _n(top + 1), _CELL - 2, _ROW - 2
        ),
        _text(left + _CELL / 2, top + 17, str(round((minutes.utilisation or 0) * 100)), "value"),
    ]
    pitch, at = (_CELL - 10) / STRANDS, 0.0
    for kind, share in shares:
        begin, at = at, at + share * STRANDS
        for strand in range(round(begin), round(at)):
            x = left + 5 + strand * pitch + pitch / 2
            parts.append(
                Markup('<line class="{}" x1="{}" x2="{}" y1="{}" y2="{}"/>').format(
                    kind, _n(x - 1), _n(x + 1), _n(top + 23), _n(top + _ROW - 6)
                )
            )
    return Markup("").join(parts)


def trend_plot(trend: WeekTrend) -> Markup:
    """A column for each week, plaited of hands-on, waiting and turnaround, with its figure."""
    pitch, height, floor = 74, 210, 168
    parts = [
        Markup('<line class="rule" x1="0" x2="{}" y1="{}" y2="{}"/>').format(
            _n(len(trend.weeks) * pitch), _n(floor - 140 * level), _n(floor - 140 * level)
        )
        for level in (0, 0.5, 1)
    ]
    for number, week in enumerate(trend.weeks):
        left, top = number * pitch + 12, float(floor)
        minutes = week.chairs
        for kind, part in (
            ("hands", minutes.hands_on),
            ("waits", minutes.waiting),
            ("turns", minutes.turnaround),
        ):
            tall = 140 * part / minutes.open if minutes.open else 0.0
            top -= tall
            parts.append(_band(left, top, 50, tall, kind))
        parts.append(_text(left + 25, top - 6, percent(minutes.utilisation), "value"))
        parts.append(_text(left + 25, floor + 16, week.week[-3:], "tick middle"))
        change = "" if week.change is None else f"{round(week.change * 100):+d} points"
        parts.append(_text(left + 25, floor + 32, change.replace("-", "\N{MINUS SIGN}"), "small"))
    width = len(trend.weeks) * pitch
    return _plot("trend", width, height, "Chair utilisation week by week", parts)


@dataclass(frozen=True)
class Share:
    """One part of a band: its class, its words, its amount."""

    kind: str
    words: str
    amount: float


def band(title: str, shares: Iterable[Share]) -> Markup:
    """A band parted by amounts, each part with its figure where there is room for it."""
    told = [share for share in shares if share.amount > 0]
    whole = sum(share.amount for share in told)
    if not whole:
        return Markup("")
    width, left, parts = 640.0, 0.0, []
    for share in told:
        wide = width * share.amount / whole
        parts.append(_band(left, 4, wide, 34, share.kind))
        if wide > 40:
            parts.append(_text(left + wide / 2, 58, percent(share.amount / whole), "value"))
        left += wide
    described = ", ".join(f"{share.words} {percent(share.amount / whole)}" for share in told)
    return _plot("band", 640, 66, f"{title}: {described}", parts)


def _band(left: float, top: float, wide: float, tall: float, kind: str) -> Markup:
    """A part of a plot; its pattern lies over its colour."""
    box = Markup('x="{}" y="{}" width="{}" height="{}"').format(
        _n(left), _n(top), _n(wide), _n(max(0.0, tall))
    )
    return Markup('<rect class="part {}" {}/>').format(kind, box) + (
        Markup('<rect class="over" {} fill="url(#weave-{})"/>').format(box, kind)
    )


_PATTERNS = Markup(
    "<defs>"
    '<pattern id="weave-waits" width="7" height="7" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect class="thread" width="2.4" height="7"/></pattern>'
    '<pattern id="weave-turns" width="6" height="6" patternUnits="userSpaceOnUse">'
    '<circle class="thread" cx="3" cy="3" r="1.5"/></pattern>'
    '<pattern id="weave-hands" width="8" height="8" patternUnits="userSpaceOnUse"/>'
    '<pattern id="weave-lead" width="7" height="7" patternUnits="userSpaceOnUse">'
    '<rect class="thread" width="7" height="2.2"/></pattern>'
    '<pattern id="weave-assistant" width="7" height="7" patternUnits="userSpaceOnUse">'
    '<rect class="thread" width="2.2" height="7"/></pattern>'
    '<pattern id="weave-short" width="6" height="6" patternUnits="userSpaceOnUse">'
    '<circle class="thread" cx="3" cy="3" r="1.5"/></pattern>'
    '<pattern id="weave-client" width="8" height="8" patternUnits="userSpaceOnUse"/>'
    "</defs>"
)


def _plot(name: str, width: float, height: float, title: str, parts: Sequence[Markup]) -> Markup:
    # A pattern is found by its id in the whole page, so each plot has its own; what is replaced and
    # what replaces it are our own words.
    body = Markup("").join((_PATTERNS, *parts)).replace("weave-", f"{name}-")
    return Markup(
        '<svg class="plot {}" viewBox="0 0 {} {}" width="{}" height="{}" role="img" '
        'aria-label="{}"><title>{}</title>{}</svg>'
    ).format(name, _n(width), _n(height), _n(width), _n(height), title, title, body)


def _text(x: float, y: float, words: str, kind: str) -> Markup:
    return Markup('<text class="{}" x="{}" y="{}">{}</text>').format(
        kind, _n(x), _n(y), escape(words)
    )


def _n(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")
