"""People who come together: places for all of them, side by side or one after another.

The first one's places are ranked as if she came alone, among those starts at which each of the
others has some place by herself. For each place that would be offered, the index follows the book
with that place sold, and the next one is sought in it where the manner puts her. So the places of a
group never share hands, chair or basin, and each has passed the checker with those before it in the
book. Of those who follow only the best place is taken: a group of three or four is missed where no
but a worse place of the second would leave room for the third.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.openings import (
    GroupAnswer,
    GroupOpening,
    GroupQuestion,
    Manner,
    Opening,
    Wish,
)
from solver.bits import span, within
from solver.errors import DayBookError, Fault
from solver.openings.crews import Way
from solver.openings.find import offers_for, written
from solver.openings.index import BookIndex
from solver.openings.offers import Offer
from solver.openings.sale import booking_of

MOST_TRIED = 60
"""Places of the first one that are tried in vain before a question looks no further."""


def find_group_openings(
    day_book: DayBook, question: GroupQuestion, *, index: BookIndex | None = None
) -> GroupAnswer:
    """Where the requests fit the book together, as it stands.

    Pass the `index` of the same book to spare building it. Raises DayBookError where one of them
    has a place already, and what `find_openings` raises.
    """
    index = index or BookIndex.of(day_book)
    placed = [
        Fault(f"/requests/{number}/id", f"{request.id} has a place in the book already")
        for number, request in enumerate(question.requests)
        if request.id in index.facts.placed
    ]
    if placed:
        raise DayBookError(*placed)
    group = _Group(question, -(-question.most_wait // index.raster.unit))
    chances = group.chances(index)
    lost = [
        request.id
        for request, chance in zip(question.requests, chances, strict=True)
        if not chance.alone
    ]
    found = () if lost else group.openings(index, chances[0].joined)
    return GroupAnswer(openings=found, without_place=tuple(lost))


@dataclass(frozen=True)
class _Chance:
    """One request: the starts she has by herself, and those that leave the others a chance."""

    alone: int
    joined: Callable[[Way], int]


@dataclass(frozen=True)
class _Group:
    question: GroupQuestion
    wait: int
    """Slots that may pass between two of them."""

    def openings(self, index: BookIndex, within: Callable[[Way], int]) -> tuple[GroupOpening, ...]:
        first, *others = self.question.requests
        offers = offers_for(index, first, self.question.wish, within)
        offers.along = self._along(index, first, others)
        offers.most = MOST_TRIED
        found = []
        for offer in offers.choose(self.question.limit):
            every = (written(offers.ranking, offer), *offer.others)
            found.append(
                GroupOpening(
                    start=every[0].start,
                    finish=max(each.finish for each in every),
                    openings=every,
                    cost=sum(each.cost for each in every),
                )
            )
        return tuple(found)

    def _along(
        self, index: BookIndex, request: Request, others: Sequence[Request]
    ) -> Callable[[Offer], Offer | None] | None:
        """Finds the others' places once `request` has hers."""
        if not others:
            return None

        def along(offer: Offer) -> Offer | None:
            visit = offer.composed.visit
            sold = index.with_booking(booking_of(request, visit), offer.composed.breaks)
            following = self._following(sold, offer, others)
            return None if following is None else replace(offer, others=following)

        return along

    def _following(
        self, index: BookIndex, before: Offer, requests: Sequence[Request]
    ) -> tuple[Opening, ...] | None:
        """The best places of `requests` that follow `before`, or None where one has none."""
        request, *others = requests
        candidate = before.candidate
        start = candidate.start
        if self.question.manner is Manner.ONE_AFTER_ANOTHER:
            start += candidate.way.layout.length
            starts = span(start, start + self.wait + 1)
        else:
            starts = 1 << start
        offers = offers_for(index, request, Wish.EARLY_FINISH, lambda _: starts)
        offers.along = self._along(index, request, others)
        offers.most = MOST_TRIED
        chosen = offers.choose(1)
        if not chosen:
            return None
        return (written(offers.ranking, chosen[0]), *chosen[0].others)

    def chances(self, index: BookIndex) -> list[_Chance]:
        """Of each request in order, her starts by herself and with the others'."""
        found: list[_Chance] = []
        joined = -1
        for request in reversed(self.question.requests):
            offers = offers_for(index, request, self.question.wish)
            joins = self._joins(joined, last=not found)
            joined = 0
            for way, starts in offers.found:
                joined |= starts & joins(way)
            found.append(_Chance(offers.starts, joins))
        return found[::-1]

    def _joins(self, others: int, *, last: bool) -> Callable[[Way], int]:
        """The starts of a way at which those after her, who have `others`, could join her."""
        if last or self.question.manner is Manner.SIDE_BY_SIDE:
            return lambda _: others
        return lambda way: within(others, way.layout.length, way.layout.length + self.wait)
