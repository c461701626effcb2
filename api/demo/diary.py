"""Who rings the demo studio, and what they want. Seeded: the same seed brings the same clients."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from api.demo.menu import LONG_INSTALLS, SHOWPIECE
from api.demo.studio import DAYS, OPEN_WEEKDAYS, window
from schemas.openings import Wish
from schemas.windows import TimeWindow

_FIRST_NAMES = (
    "Abeni Adia Amira Anika Asha Ayo Bela Bintu Calla Cleo Dela Dina Ebele Edda Elin Ema Esi Fara "
    "Fia Gala Ginny Hila Ilse Ines Iva Jana Jemi Juno Kaya Keli Lani Lela Lina Lulu Mai Maren Mika "
    "Mona Naia Neva Nia Nilu Oda Ola Pia Rabi Rena Rika Runa Sade Sefa Sela Siri Tala Tami Thea "
    "Tolu Uma Vera Wanda Yara Yemi Yola Zadie Zola"
)
_WANTED = {
    # Menu line: how often it is asked for.
    SHOWPIECE: 3,
    "knotless-medium": 5,
    "knotless-small": 2,
    "knotless-bob": 5,
    "box-large": 5,
    "box-medium": 4,
    "twists-natural": 5,
    "twists-rope": 3,
    "cornrows-back": 6,
    "feed-in-eight": 4,
    "faux-locs": 2,
    "soft-locs": 2,
    "sew-in": 4,
    "crochet": 3,
    "cornrows-child": 4,
}
_TIMES = (("09:00", "19:00"), ("09:00", "14:30"), ("12:00", "19:00"))
_PREFERENCE = {"knotless-medium": ("ada", "bisi", "chika"), "box-medium": ("dara", "efe")}
CALLS_A_DAY = (13, 10)
"""In the first week and in the second, which still has more room."""
WAITING_DAY = 2
"""The Wednesday of the first week: most of its clients wait for the planner."""
_BOOKED_ON_WAITING_DAY, _CALLS_ON_WAITING_DAY = 3, 11


@dataclass(frozen=True)
class Call:
    """One client on the telephone."""

    visit: str
    client: str
    menu: str
    window: TimeWindow
    wish: Wish
    preferred_lead: str | None
    waits: bool
    """She takes whatever time the planner finds on that day."""


def calls(first: date, seed: int) -> Iterator[Call]:
    """The calls about two weeks from the Monday `first`, day by day; long installs ring first."""
    dice = random.Random(seed)  # noqa: S311  # a demo diary, not a secret
    names = _FIRST_NAMES.split()
    dice.shuffle(names)
    number = 0
    for index in range(DAYS):
        day = first + timedelta(days=index)
        if day.isoweekday() not in OPEN_WEEKDAYS:
            continue
        waiting_day = index == WAITING_DAY
        count = _CALLS_ON_WAITING_DAY if waiting_day else CALLS_A_DAY[index // 7]
        wanted = dice.choices(list(_WANTED), list(_WANTED.values()), k=count)
        for call, menu in enumerate(sorted(wanted, key=lambda menu: menu not in LONG_INSTALLS)):
            long = menu in LONG_INSTALLS
            start, end = dice.choices(_TIMES, (1, 0, 0) if long else (3, 2, 2))[0]
            leads = _PREFERENCE.get(menu, ())
            yield Call(
                visit=f"visit-{day:%m%d}-{call + 1:02d}",
                client=names[number % len(names)],
                menu=menu,
                window=window(day, start, end),
                wish=Wish.SHORTEST if long else Wish.SOONEST,
                preferred_lead=dice.choice(leads) if leads and dice.random() < 0.5 else None,
                waits=waiting_day and call >= _BOOKED_ON_WAITING_DAY,
            )
            number += 1
