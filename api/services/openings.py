"""Where a request fits, as the book stands."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence

from api.clock import Clock
from api.services.asking import (
    below,
    local_request,
    reckoned,
    require_bounded,
    require_known,
    require_sound,
    told_below,
    upcoming,
)
from api.services.day_books import Snapshot, days_of
from api.services.errors import NotSetUpError, UnprocessableError
from api.services.kept_books import KeptBooks
from api.services.ports import Store
from api.services.refusals_noted import RefusalsNoted
from api.services.salon import salon_of
from schemas.booking import Request
from schemas.openings import (
    GroupAnswer,
    GroupQuestion,
    Obstacle,
    OpeningsAnswer,
    OpeningsQuestion,
)
from solver.errors import Fault
from solver.figures.turned_away import work_of
from solver.openings import find_group_openings


class Openings:
    """Asks nothing of the solver, and changes nothing of the book.

    What was asked in vain is noted for the figures.
    """

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock
        self.books = KeptBooks()
        self.refusals = RefusalsNoted(store, clock)

    async def find(self, question: OpeningsQuestion) -> OpeningsAnswer:
        """Ranked openings from now on; with none, what is in the way.

        Raises UnprocessableError with pointers into the question.
        """
        try:
            snapshot, request = await self.prepare(question.request)
        except UnprocessableError as wrong:
            raise below("/request", wrong) from wrong
        if snapshot.has_place(request.id):
            raise UnprocessableError(
                Fault("/request/id", f"{request.id} has a place already: change the booking")
            )
        answer = await self.find_in(snapshot, question.model_copy(update={"request": request}))
        await self.refusals.note(question.request, answer, work_of(request))
        return answer

    async def prepare(self, request: Request) -> tuple[Snapshot, Request]:
        """The book of the days in question, and the request reckoned and in the salon's time."""
        snapshot, requests = await self.prepare_all((request,), lambda _: "")
        return snapshot, requests[0]

    async def prepare_all(
        self, asked: Sequence[Request], pointer: Callable[[int], str]
    ) -> tuple[Snapshot, tuple[Request, ...]]:
        """As `prepare`, for requests that are looked at in one book.

        Raises UnprocessableError; `pointer` says where each of them lies in the question.
        """
        done = []
        async with self.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            now = self.clock.now()
            for number, each in enumerate(asked):
                with told_below(pointer(number)):
                    done.append(upcoming(local_request(each, zone), now, "/windows"))
            days = [day for request in done for day in days_of(request, zone)]
            require_bounded(min(days), max(days), pointer(0) + "/windows")
            snapshot = await self.books.read(unit, min(days), max(days))
        for number, request in enumerate(done):
            with told_below(pointer(number)):
                require_known(request, snapshot)
                done[number] = await asyncio.to_thread(reckoned, request, snapshot)
        return snapshot, tuple(done)

    async def find_together(self, question: GroupQuestion) -> GroupAnswer:
        """Places for all of a group; with none, who would find no place even alone.

        Raises UnprocessableError with pointers into the question, ConflictError as `find`.
        """
        snapshot, requests = await self.prepare_all(question.requests, lambda n: f"/requests/{n}")
        for number, request in enumerate(requests):
            with told_below(f"/requests/{number}"):
                require_sound(request, snapshot)
                if snapshot.has_place(request.id):
                    raise UnprocessableError(Fault("/id", f"{request.id} has a place already"))
        asked = question.model_copy(update={"requests": requests})
        return await asyncio.to_thread(self._find_together, snapshot, asked)

    def _find_together(self, snapshot: Snapshot, question: GroupQuestion) -> GroupAnswer:
        try:
            return self.books.ask(
                snapshot, lambda index: find_group_openings(index.day_book, question, index=index)
            )
        except NotSetUpError:
            nobody = tuple(request.id for request in question.requests)
            return GroupAnswer(openings=(), without_place=nobody)

    async def find_in(self, snapshot: Snapshot, question: OpeningsQuestion) -> OpeningsAnswer:
        """As `find`, in a book already read, for a request already reckoned."""
        return await asyncio.to_thread(self._find, snapshot, question)

    def _find(self, snapshot: Snapshot, question: OpeningsQuestion) -> OpeningsAnswer:
        try:
            require_sound(question.request, snapshot)
        except UnprocessableError as wrong:
            raise below("/request", wrong) from wrong
        try:
            return self.books.answer(snapshot, question)
        except NotSetUpError as closed:
            nobody = Obstacle(rule="opening-hours", sentence=str(closed), places=0)
            return OpeningsAnswer(
                request=question.request.id, openings=(), found=0, obstacles=(nobody,)
            )
