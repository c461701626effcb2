"""Part of `work-done`: every visit that asks is placed once or declined, and no stranger is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from solver.rules.reading import Reading, is_cancelled, is_promised
from solver.rules.rule import Breach


def unanswered(reading: Reading) -> Iterator[Breach]:
    """Visits placed twice, placed and declined, forgotten, or unknown to the day book."""
    declined = Counter(reading.plan.declined)
    yield from _placed(reading, declined)
    for visit_id, times in declined.items():
        if visit_id not in reading.visits:
            yield Breach(
                detail=f"The plan declines {reading.client(visit_id)}.",
                remedy="Decline only visits of the day book.",
                visits=(visit_id,),
            )
        elif times > 1:
            yield Breach(
                detail=f"{reading.client(visit_id)} is declined {times} times.",
                remedy="Decline a visit once.",
                visits=(visit_id,),
            )
    for visit_id, visit in reading.visits.items():
        forgotten = visit_id not in reading.placed and visit_id not in declined
        # promise-kept speaks for confirmed bookings; cancelled ones ask for nothing.
        if forgotten and not is_promised(visit) and not is_cancelled(visit):
            yield Breach(
                detail=f"{reading.client(visit_id)} is neither placed nor declined.",
                remedy="Give the visit a place, or say that it is declined.",
                visits=(visit_id,),
            )


def _placed(reading: Reading, declined: Counter[str]) -> Iterator[Breach]:
    for visit_id, places in reading.placed.items():
        start, end = reading.occupied(places[0])
        client, when = reading.client(visit_id), reading.when(start, end)
        if visit_id not in reading.visits:
            detail = f"The plan places {client}, {when}."
            remedy = "Place only visits of the day book."
        elif visit_id in declined:
            detail = f"{client} is declined and also placed, {when}."
            remedy = "Do one of the two."
        elif len(places) > 1:
            others = ", ".join(reading.at(reading.occupied(place)[0]) for place in places[1:4])
            detail = f"{client} is placed {len(places)} times: {when}, and again from {others}."
            remedy = "Keep one place."
        else:
            continue
        yield Breach(
            detail=detail, remedy=remedy, visits=(visit_id,), window=reading.window(start, end)
        )
