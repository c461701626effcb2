"""What held a week back most, in one sentence with its evidence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from schemas.week_reports import Bottleneck, BottleneckCause
from solver.bits import span
from solver.figures.minutes import Counts, as_array
from solver.figures.weeks import Week

BRIDGED = 15
"""Minutes of a gap that does not part two stretches."""
WORTH_A_WORD = 30
"""Minutes below which nothing is called a bottleneck."""
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True)
class Wanted:
    """A technique that was asked for in vain, minute by minute."""

    technique: str
    windows: tuple[int, ...]
    """For each request the minutes in which she could have been there, as bits."""
    asked: Counts
    """1 where it lies in the windows of one of the requests."""
    leads_in: Counts
    """Leads on shift who do it."""
    leads_free: Counts
    leads_working: Counts


@dataclass(frozen=True)
class Moments:
    """How many chairs and hands there were in each minute of a week."""

    idle_chairs: Counts
    """Idle, in a hole long enough to sell."""
    open_chairs: Counts
    taken_chairs: Counts
    leads_in: Counts
    leads_free: Counts
    leads_working: Counts
    assistants_in: Counts
    assistants_free: Counts
    has_assistants: bool
    wanted: tuple[Wanted, ...] = ()


@dataclass(frozen=True)
class _Stretch:
    start: int
    end: int
    lost: int
    wanted: Wanted | None = None


def bottleneck(moments: Moments, no_lead: Counts, no_assistant: Counts, week: Week) -> Bottleneck:
    """The stretch of one day that cost most; a word that there was none where none did."""
    # Where nobody works there is a rota to look at, not hands too few for the work there is.
    busy_leads = no_lead * (moments.leads_free == 0) * (moments.leads_working > 0)
    busy_assistants = no_assistant * (moments.assistants_free == 0)
    full = (moments.open_chairs > 0) & (moments.taken_chairs == moments.open_chairs)
    lost = {
        BottleneckCause.NO_LEAD: busy_leads,
        BottleneckCause.NO_ASSISTANT: busy_assistants,
        BottleneckCause.NO_CHAIR: moments.leads_free * full,
    }
    found = [
        (stretch.lost, cause, stretch)
        for cause, counts in lost.items()
        for stretch in _stretches(counts, week)
        if stretch.lost >= WORTH_A_WORD
    ]
    for each in moments.wanted:
        # Others are free, and do something else.
        none = (each.leads_free == 0) & (each.leads_working > 0) & (moments.leads_free > 0)
        counts = moments.idle_chairs * none * each.asked
        found += [
            (stretch.lost, BottleneckCause.NO_SKILL, replace(stretch, wanted=each))
            for stretch in _stretches(counts, week)
            if stretch.lost >= WORTH_A_WORD
        ]
    if not found and moments.open_chairs.any() and not moments.leads_in.any():
        sentence = "No lead is on the rota while the salon is open, so nothing can be sold."
        return Bottleneck(cause=BottleneckCause.NO_LEAD, sentence=sentence)
    if not found:
        sentence = (
            "Nothing held the chairs back for half an hour or more: idle chairs had no client."
        )
        return Bottleneck(cause=BottleneckCause.NONE, sentence=sentence)
    _, cause, stretch = max(found, key=lambda each: (each[0], -each[2].start))
    return _told(cause, stretch, moments, week)


def _stretches(counts: Counts, week: Week) -> Iterator[_Stretch]:
    for bits in week.days.values():
        minutes = np.flatnonzero(counts * as_array(bits, week.minutes))
        if not minutes.size:
            continue
        parts = np.split(minutes, np.flatnonzero(np.diff(minutes) > BRIDGED) + 1)
        for part in parts:
            start, end = int(part[0]), int(part[-1]) + 1
            yield _Stretch(start, end, int(counts[start:end].sum()))


def _told(cause: BottleneckCause, stretch: _Stretch, moments: Moments, week: Week) -> Bottleneck:
    within = slice(stretch.start, stretch.end)
    idle = stretch.lost / (stretch.end - stretch.start)
    if cause is BottleneckCause.NO_LEAD:
        hands = int(moments.leads_in[within].max())
        what = f"{_all(hands, 'lead')} at work or in a break, {_count(idle, 'chair')} idle"
    elif stretch.wanted is not None:
        hands = int(stretch.wanted.leads_in[within].max())
        who = _all(hands, "lead") + f" for {stretch.wanted.technique.replace('-', ' ')}"
        minutes = span(stretch.start, stretch.end)
        asked = sum(bool(each & minutes) for each in stretch.wanted.windows)
        vain = f"{'one client' if asked == 1 else f'{_number(asked)} clients'} asked in vain"
        what = f"{who} at work or in a break, {_count(idle, 'chair')} idle, {vain}"
    elif cause is BottleneckCause.NO_ASSISTANT:
        hands = int(moments.assistants_in[within].max())
        who = (
            "no assistant in" if not hands else f"{_all(hands, 'assistant')} at work or in a break"
        )
        what = f"{who}, {_count(idle, 'chair')} idle with a lead free"
    else:
        hands = int(moments.open_chairs[within].max())
        what = f"{_all(hands, 'chair')} taken, {_count(idle, 'lead')} idle"
    begin, end = week.frame.instant(stretch.start), week.frame.instant(stretch.end)
    when = f"{WEEKDAYS[begin.weekday()]} {begin:%H:%M}-{end:%H:%M}"
    unit = "lead minutes" if cause is BottleneckCause.NO_CHAIR else "chair minutes"
    return Bottleneck(
        cause=cause,
        sentence=f"{when}: {what} ({stretch.lost} {unit}).",
        window=week.frame.window(stretch.start, stretch.end),
        lost=stretch.lost,
        hands=hands,
        idle=idle,
    )


def _all(count: int, what: str) -> str:
    if count == 1:
        return f"the one {what}"
    if count == 2:
        return f"both {what}s"
    return f"all {_number(count)} {what}s"


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def _count(mean: float, what: str) -> str:
    """About how many, on average: said as a whole number where it is one."""
    whole = round(mean)
    if abs(mean - whole) < 0.05 and 0 < whole < len(NUMBERS):
        return f"{NUMBERS[whole]} {what}{'' if whole == 1 else 's'}"
    return f"{mean:.1f} {what}s on average"
