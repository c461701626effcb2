"""The demo studio: its hours, chairs, people and shifts. All of it is invented."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from schemas.resources import Basin, Chair, Role, Shift, Skill, StaffMember
from schemas.salon import OpeningHours, Salon
from schemas.windows import TimeWindow

ZONE = "Europe/Lisbon"
CURRENCY = "EUR"
DAYS = 14
OPEN_WEEKDAYS = (1, 2, 3, 4, 5, 6)

SALON = Salon(
    name="Demo studio",
    zone=ZONE,
    currency=CURRENCY,
    hours=tuple(
        OpeningHours(weekday=day, opens="09:00", closes="19:00" if day < 6 else "18:00")
        for day in OPEN_WEEKDAYS
    ),
    basins=(Basin(id="basin-1", name="Basin 1"), Basin(id="basin-2", name="Basin 2")),
)

CHAIRS = (
    Chair(id="chair-1", name="Chair 1", features=("quiet",)),
    Chair(id="chair-2", name="Chair 2"),
    Chair(id="chair-3", name="Chair 3"),
    Chair(id="chair-4", name="Chair 4", features=("step-free",)),
    Chair(id="chair-5", name="Chair 5", features=("child-height",)),
    Chair(id="chair-6", name="Chair 6", features=("quiet", "step-free")),
)


_CARE = {"wash": 3, "hair-prep": 3, "finish": 3, "take-down": 3}
"""What everybody in the studio does; braiding is where they differ."""


def _lead(name: str, pace: float, **levels: int) -> StaffMember:
    return _person(name, Role.LEAD, pace, 0.5, levels)


def _assistant(name: str, help_rate: float, **levels: int) -> StaffMember:
    return _person(name, Role.ASSISTANT, 1.0, help_rate, levels)


def _person(
    name: str, role: Role, pace: float, help_rate: float, levels: dict[str, int]
) -> StaffMember:
    known = {tag.replace("_", "-"): level for tag, level in levels.items()}
    skills = tuple(Skill(tag=tag, level=level) for tag, level in {**_CARE, **known}.items())
    return StaffMember(
        id=name.lower(), name=name, roles=(role,), skills=skills, pace=pace, help_rate=help_rate
    )


STAFF = (
    _lead("Ada", 0.95, knotless=5, knotted_box=5, rope_twist=4, faux_locs=4, soft_locs=4),
    _lead("Bisi", 1.0, knotless=4, knotted_box=4, two_strand_twist=5, rope_twist=5, crochet=3),
    _lead("Chika", 1.05, knotless=4, cornrow=5, feed_in=5, sew_in=4, crochet=4),
    _lead("Dara", 0.9, knotted_box=5, knotless=4, cornrow=4, feed_in=4, two_strand_twist=4),
    _lead("Efe", 1.1, sew_in=5, crochet=5, cornrow=4, feed_in=4, knotted_box=3),
    _lead("Folu", 1.0, soft_locs=5, faux_locs=5, two_strand_twist=5, rope_twist=4, cornrow=3),
    _assistant("Gia", 0.6, assist=4),
    _assistant("Hana", 0.5, assist=3),
    _assistant("Ife", 0.45, assist=2, wash=5),
    _assistant("Jomi", 0.55, assist=3, hair_prep=5),
    _assistant("Kemi", 0.4, assist=2, finish=4),
)


def instant(day: date, clock: str) -> datetime:
    """`HH:MM` of the studio's clock on `day`."""
    hour, minute = (int(part) for part in clock.split(":"))
    return datetime.combine(day, time(hour, minute), ZoneInfo(ZONE))


def window(day: date, start: str, end: str) -> TimeWindow:
    return TimeWindow(start=instant(day, start), end=instant(day, end))


_EARLY, _LATE, _SATURDAY = ("09:00", "17:30"), ("10:30", "19:00"), ("09:00", "18:00")
_ROTA = {
    # Monday to Saturday: e early, l late, - off. Week two swaps early and late.
    "ada": "eeel-e",
    "bisi": "ll-eee",
    "chika": "-lelle",
    "dara": "ee-lee",
    "efe": "l-eele",
    "folu": "eel-le",
    "gia": "ee-eee",
    "hana": "-eelle",
    "ife": "lle-le",
    "jomi": "elle-e",
    "kemi": "e-llee",
}


def shifts(first: date) -> Iterator[Shift]:
    """The shifts of two weeks from the Monday `first`."""
    for index in range(DAYS):
        day = first + timedelta(days=index)
        if day.isoweekday() not in OPEN_WEEKDAYS:
            continue
        for person, week in _ROTA.items():
            letter = week[day.weekday()]
            if letter == "-":
                continue
            late = (letter == "l") != (index >= 7)
            hours = _SATURDAY if day.isoweekday() == 6 else _LATE if late else _EARLY
            yield Shift(id=f"{person}-{day:%Y%m%d}", staff=person, window=window(day, *hours))
