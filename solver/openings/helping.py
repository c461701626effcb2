"""The starts at which an assistant can help: her help may lie anywhere in the shared phase.

The phase is `[s + j0, s + j1)`; help of `h` slots starts at some `x` with `s + j0 <= x` and
`x + h <= s + j1`. Her fixed pieces (phases she performs) lie outside the shared phase. The break
`p` of length `m` must be clear of the pieces and of `[x, x + h)`.
"""

from __future__ import annotations

from itertools import pairwise

from solver.bits import moved, within
from solver.openings.hands import Hands
from solver.openings.layouts import Piece

Float = tuple[int, int, int]
"""`(j0, j1, h)`."""


def help_starts(hands: Hands, pieces: tuple[Piece, ...], help_: Float, on_grid: int) -> int:
    """The starts at which she is free for pieces and help, whatever her break."""
    j0, j1, h = help_
    starts = within(helps(hands, h, on_grid), j0, j1 - h)
    return starts & hands.works(pieces) if pieces else starts


def helps(hands: Hands, h: int, on_grid: int) -> int:
    """The slots from which she could help for `h` slots on end."""
    key = ("helps", h)
    if key not in hands.memo:
        hands.memo[key] = hands.free_for(h) & on_grid & (on_grid >> h)
    return hands.memo[key]


def help_with_rest(hands: Hands, pieces: tuple[Piece, ...], help_: Float, on_grid: int) -> int:
    """The starts at which she is free for pieces and help, and her break stays possible."""
    key = ("help", pieces, help_)
    if key not in hands.memo:
        hands.memo[key] = _help_with_rest(hands, pieces, help_, on_grid)
    return hands.memo[key]


def _help_with_rest(hands: Hands, pieces: tuple[Piece, ...], help_: Float, on_grid: int) -> int:
    j0, j1, h = help_
    at = helps(hands, h, on_grid)
    before = [piece for piece in pieces if piece[1] <= j0]
    after = [piece for piece in pieces if piece[0] >= j1]
    able = within(at, j0, j1 - h) & hands.works(pieces) if pieces else within(at, j0, j1 - h)
    if not able:
        return 0
    # The break lies before her first piece, after her last, or in a gap without the shared phase.
    apart = 0
    if before:
        apart |= moved(hands.easy | hands.early, -before[0][0])
    if after:
        apart |= moved(hands.late, -after[-1][1])
    for side in (before, after):
        for (_, b), (a, _) in pairwise(side):
            apart |= within(hands.places, b, a - hands.meal)
    starts = able & apart
    # Or in the gap that holds the shared phase: before the help, or after it.
    if before:
        starts |= able & _before_help(hands, before[-1][1], help_, at, able & ~starts)
    else:
        starts |= able & within(at & (hands.easy | hands.early), j0, j1 - h)
    if after:
        starts |= able & _after_help(hands, after[0][0], help_, at, able & ~starts)
    else:
        starts |= able & within(at & (hands.late >> h), j0, j1 - h)
    return starts


def _before_help(hands: Hands, gap: int, help_: Float, at: int, open_: int) -> int:
    """Starts of `open_` with a break in `[s + gap, x]` before some help at `x`."""
    j0, j1, h = help_
    first, found = max(j0, gap + hands.meal), 0
    if not open_ or first > j1 - h:
        return 0
    rests = within(hands.places, gap, first - hands.meal)
    for x in range(first, j1 - h + 1):
        # Each help a slot later leaves one more place for the break.
        rests |= moved(hands.places, hands.meal - x)
        found |= (at >> x) & rests
        if not open_ & ~found:
            break
    return found & open_


def _after_help(hands: Hands, gap: int, help_: Float, at: int, open_: int) -> int:
    """Starts of `open_` with a break in `[x + h, s + gap]` after some help at `x`."""
    j0, j1, h = help_
    last, found = min(j1, gap - hands.meal) - h, 0
    if not open_ or last < j0:
        return 0
    rests = within(hands.places, last + h, gap - hands.meal)
    for x in range(last, j0 - 1, -1):
        rests |= moved(hands.places, -x - h)
        found |= (at >> x) & rests
        if not open_ & ~found:
            break
    return found & open_
