"""The parting map: every box of a style on a head seen from above and behind, as SVG.

`headmap` says where the boxes lie. The map is one string with no script, no style sheet and no
outside reference. Colours differ in lightness as well as in hue, and everything the picture shows
is also in its description.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from math import cos, pi, sin
from xml.sax.saxutils import escape

from schemas.style import Style
from solver.takeoff.case import Case
from solver.takeoff.headmap import (
    BOTTOM,
    CENTRE,
    HALF_WIDTH,
    MIDDLE,
    TOP,
    Box,
    Point,
    boxes_of,
    on_outline,
)
from solver.takeoff.parting import LaidSection, lay_out
from solver.takeoff.rates import RateBook, rate_book
from solver.takeoff.reckoning import technique_of
from solver.takeoff.sizes import size_figures

WIDTH = 720
_NO_CHARACTER = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_FEWEST_PX = 14.0
"""Boxes narrower than this carry neither curl dots nor their row's number."""
_FILLS = ("#f6e3c5", "#d9e6f2", "#e3efd3", "#f3d9dc", "#e4dcf1", "#d6ece8",
          "#f2e6f0", "#eceacb", "#dfe0e2", "#f7dcc2")  # fmt: skip
_LINE, _ROOT, _CURL, _TEXT = "#5a4632", "#3a2a1c", "#a33b20", "#1d1712"


def parting_map(style: Style, rates: RateBook | None = None) -> str:
    """The parting of `style` as an SVG image, with each box, its row's number and its curls.

    Raises StyleError as the take-off of the style does.
    """
    book = rates if rates is not None else rate_book()
    technique = technique_of(style)
    case = Case(style, technique, size_figures(style.size, style.box_width_cm, book), book)
    laid = lay_out(case)
    units, curls = sum(part.braids for part in laid), sum(sum(part.curls) for part in laid)
    title = f"Parting of {style.name}: {units} {technique.unit}s"
    title += f", {curls} curls" if curls else ""
    height = BOTTOM + 92 + 22 * ((len(laid) - 1) // 3)
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height:.0f}" '
            'role="img" aria-labelledby="parting-title parting-words" font-family="sans-serif">',
            f'<title id="parting-title">{_escaped(title)}</title>',
            f'<desc id="parting-words">{_escaped(_words(laid))}</desc>',
            f'<rect width="{WIDTH}" height="{height:.0f}" fill="#ffffff"/>',
            *_heading(style.name, units, technique.unit, curls),
            *_head(),
            *_sections(laid),
            *_legend(laid, technique.unit),
            "</svg>\n",
        )
    )


def _heading(name: str, units: int, unit: str, curls: int) -> Iterator[str]:
    said = f"{units} {unit}s" + (f", {curls} curls" if curls else "")
    yield _text(24, 34, name if len(name) <= 48 else name[:47] + "\u2026", 20, weight="bold")
    yield _text(24, 56, said, 15)


def _head() -> Iterator[str]:
    """The outline, nose and ears, so that one sees at once where the face is."""
    rim = [on_outline(0, 2 * pi * step / 120) for step in range(120)]
    nose = f"M {CENTRE - 20:.1f} {TOP + 3:.1f} Q {CENTRE:.1f} {TOP - 34:.1f} "
    nose += f"{CENTRE + 20:.1f} {TOP + 3:.1f}"
    yield f'<path d="{nose}" fill="#fbf3e8" stroke="{_LINE}" stroke-width="2"/>'
    for side in (-1, 1):
        x = CENTRE + side * (HALF_WIDTH + 3)
        yield (
            f'<ellipse cx="{x:.1f}" cy="{MIDDLE:.1f}" rx="14" ry="40" fill="#fbf3e8" '
            f'stroke="{_LINE}" stroke-width="2"/>'
        )
    yield (f'<polygon points="{_points(rim)}" fill="#fbf3e8" stroke="{_LINE}" stroke-width="2.5"/>')
    yield _text(CENTRE + 34, TOP - 10, "forehead", 13)
    yield _text(CENTRE, BOTTOM + 20, "nape", 13, anchor="middle")
    yield _text(20, MIDDLE + 4, "left ear", 13)
    yield _text(WIDTH - 20, MIDDLE + 4, "right ear", 13, anchor="end")


def _sections(laid: Sequence[LaidSection]) -> Iterator[str]:
    boxes = boxes_of(laid)
    for index, section in enumerate(laid):
        fill = _FILLS[index % len(_FILLS)]
        yield f'<g stroke-linejoin="round" data-section="{section.name}">'
        rows = zip(boxes[section.name], section.rows, section.curls, strict=True)
        for number, (row, count, curls) in enumerate(rows, 1):
            yield from _row(row, fill, curls / count, number if len(section.rows) > 1 else None)
        yield "</g>"


def _row(row: Sequence[Box], fill: str, curls_each: float, number: int | None) -> Iterator[str]:
    room = min(box.room for box in row)
    root = max(1.8, min(5.0, room * 0.28))
    for place, box in enumerate(row):
        yield (
            f'<polygon points="{_points(box.corners)}" fill="{fill}" stroke="{_LINE}" '
            'stroke-width="1.2"/>'
        )
        x, y = box.root
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{root:.1f}" fill="{_ROOT}"/>'
        # A row with 4.25 curls a braid has one braid in four with a fifth: dots say which.
        here = int((place + 1) * curls_each + 1e-9) - int(place * curls_each + 1e-9)
        if here and 2 * room >= _FEWEST_PX:
            yield from _curl_dots((x, y), here, room)
    if number is not None and 2 * row[0].room >= _FEWEST_PX:
        size = round(max(7.0, min(11.0, row[0].room * 0.7)))
        x, y = row[0].label
        yield _text(x - (11 - size) / 2, y - (11 - size), str(number), size, weight="bold")


def _curl_dots(root: Point, curls: int, room: float) -> Iterator[str]:
    """A dot for each curl in a circle about the root, up to twelve; from there on a figure."""
    x, y = root
    if curls > 12:
        yield _text(x + 6, y + 4, f"{curls}", 10)
        return
    away, dot = min(15.0, room * 0.72), max(1.0, min(2.8, room * 0.14))
    for curl in range(curls):
        angle = 2 * pi * curl / curls - pi / 2
        yield (
            f'<circle cx="{x + away * cos(angle):.1f}" cy="{y + away * sin(angle):.1f}" '
            f'r="{dot:.1f}" fill="{_CURL}"/>'
        )


def _legend(laid: Sequence[LaidSection], unit: str) -> Iterator[str]:
    y = BOTTOM + 50
    yield f'<circle cx="30" cy="{y - 4:.1f}" r="5" fill="{_ROOT}"/>'
    yield _text(42, y, f"{unit}", 13)
    if any(any(part.curls) for part in laid):
        yield f'<circle cx="112" cy="{y - 4:.1f}" r="2.8" fill="{_CURL}"/>'
        yield _text(121, y, "curl", 13)
    yield _text(170, y, "1, 2, 3 \u2026 rows from the hairline", 13)
    for index, section in enumerate(laid):
        x, line = 24 + index % 3 * 228, y + 26 + index // 3 * 22
        fill = _FILLS[index % len(_FILLS)]
        yield (
            f'<rect x="{x}" y="{line - 11:.1f}" width="13" height="13" fill="{fill}" '
            f'stroke="{_LINE}"/>'
        )
        name = section.name if len(section.name) <= 18 else section.name[:17] + "\u2026"
        yield _text(x + 20, line, f"{name}: {section.braids}", 13)


def _words(laid: Iterable[LaidSection]) -> str:
    """What the picture shows, for who does not see it."""
    said = []
    for part in laid:
        rows = ", ".join(map(str, part.rows))
        curls = f"; curls by row {', '.join(map(str, part.curls))}" if any(part.curls) else ""
        said.append(f"{part.name}, {part.lay.value} lay: boxes by row {rows}{curls}.")
    return " ".join(("Rows are counted from the hairline.", *said))


def _points(corners: Iterable[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)


def _escaped(words: str) -> str:
    """`words` as character data. What no XML document may hold becomes U+FFFD (XML 1.0, 2.2)."""
    return escape(_NO_CHARACTER.sub("\ufffd", words))


def _text(
    x: float, y: float, words: str, size: int, *, anchor: str = "start", weight: str = "normal"
) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" font-weight="{weight}" '
        f'text-anchor="{anchor}" fill="{_TEXT}">{_escaped(words)}</text>'
    )
