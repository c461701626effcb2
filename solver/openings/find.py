"""Answers "when can we do it?": the ranked places of a request, or the rules in the way."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from itertools import zip_longest

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.openings import Opening, OpeningsAnswer, OpeningsQuestion, Wish
from schemas.plan import PlannedBreak
from schemas.ranking import RankingWeights
from schemas.windows import TimeWindow
from solver.bits import span
from solver.errors import DayBookError, Fault
from solver.openings.comparing import before, best_of_all
from solver.openings.composed import Composed
from solver.openings.crews import Way
from solver.openings.harm import Harm
from solver.openings.index import BookIndex
from solver.openings.obstacles import obstacles
from solver.openings.offers import Offer, Offers
from solver.openings.ranking import Candidate, Ranking
from solver.openings.reasons import reasons
from solver.openings.search import Search
from solver.openings.wants import Wants
from solver.takeoff.work import with_work

Within = Callable[[Way], int]


def find_openings(
    day_book: DayBook, question: OpeningsQuestion, *, index: BookIndex | None = None
) -> OpeningsAnswer:
    """Where the question's request fits the book as it stands.

    Placed bookings stay where they are; meal breaks between duties may move within the rule. Pass
    the `index` of the same book to ask it again without building it anew. Every opening given back
    has passed the checker on the days it touches; places that it refuses under a rule the search
    does not know are left out and named among the obstacles. With no opening, all the rules in the
    way are named.
    Raises RuleError or StyleError where the book or the request makes no sense, DayBookError where
    the request's id belongs to a booking that has a place.
    """
    return openings_in(index or BookIndex.of(day_book), question)


def openings_in(
    index: BookIndex, question: OpeningsQuestion, near: TimeWindow | None = None
) -> OpeningsAnswer:
    """As `find_openings`; with `near`, only places of which some minute lies in that window."""
    within: Within | None = None
    if near is not None:
        first, last = index.raster.outward(near)

        def within(way: Way) -> int:
            return span(first - way.layout.length + 1, last)

    offers = offers_for(index, question.request, question.wish, within, question.weights)
    chosen = offers.choose(question.limit)
    return OpeningsAnswer(
        request=question.request.id,
        openings=tuple(
            written(offers.ranking, offer, after.candidate if after else None)
            for offer, after in zip_longest(chosen, chosen[1:])
        ),
        found=offers.starts.bit_count(),
        obstacles=()
        if near is not None
        else obstacles(offers.search, offers.refused.values(), nothing=not chosen),
    )


def offers_for(
    index: BookIndex,
    request: Request,
    wish: Wish,
    within: Within | None = None,
    weights: RankingWeights | None = None,
) -> Offers:
    """The places of a request, ready to be chosen from, by the book's weights or others.

    Raises as `find_openings`.
    """
    if request.id in index.facts.placed:
        at = Fault("/request/id", f"{request.id} has a place in the book already")
        raise DayBookError(at)
    request = worked(index.day_book, request)
    index.trim()
    ranking = Ranking(Wants(index, request, wish), Harm.of_request(index, request, weights))
    search = Search(index, request)
    return Offers(search, ranking) if within is None else Offers(search, ranking, within)


def worked(day_book: DayBook, request: Request) -> Request:
    """The request with its phases, from its take-off where it states one."""
    if request.take_off is None:
        return request
    alone = day_book.model_copy(update={"bookings": (), "requests": (request,)})
    return with_work(alone).requests[0]


def written(ranking: Ranking, offer: Offer, after: Candidate | None = None) -> Opening:
    """The offer as a document, with its reasons; `after` is the next in the answer."""
    candidate, composed = offer.candidate, offer.composed
    index, way = ranking.wants.index, candidate.way
    return Opening(
        id=_identity(composed),
        start=composed.visit.window.start,
        finish=composed.visit.window.end,
        chair=composed.visit.chair,
        lead=composed.visit.lead,
        assistant=None if way.assistant is None else way.assistant.person.id,
        help_minutes=way.layout.help * index.raster.unit,
        visit=composed.visit,
        breaks=(*composed.breaks, *_elsewhere(index, composed, candidate.start)),
        cost=candidate.cost.minutes + candidate.off + candidate.bent,
        reasons=(
            *best_of_all(ranking, candidate),
            *reasons(ranking, candidate, composed),
            *before(ranking, candidate, after),
        ),
    )


def _elsewhere(index: BookIndex, composed: Composed, start: int) -> tuple[PlannedBreak, ...]:
    """Breaks of the crew on the same local day in other blocks, which stay as they are."""
    local_day = index.raster.frame.local_day
    day = local_day(composed.visit.window.start)
    near = index.neighbours(index.block_at(start), day)
    if not near:
        return ()
    crew = {composed.visit.lead, *composed.visit.assistants}
    found = (each for number in near for each in index.days[number][1].breaks if each.staff in crew)
    return tuple(each for each in found if local_day(each.window.start) == day)


def _identity(composed: Composed) -> str:
    content = composed.visit.visit.join(composed.content)
    return "opening-" + hashlib.sha256(content.encode()).hexdigest()[:20]
