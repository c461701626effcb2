"""Where a request fits, as the book stands."""

from __future__ import annotations

import asyncio

from api.clock import Clock
from api.services.asking import (
    below,
    local_request,
    reckoned,
    require_bounded,
    require_known,
    require_sound,
    upcoming,
)
from api.services.day_books import Snapshot, days_of
from api.services.errors import NotSetUpError, UnprocessableError
from api.services.kept_books import KeptBooks
from api.services.ports import Store
from api.services.salon import salon_of
from schemas.booking import Request
from schemas.openings import Obstacle, OpeningsAnswer, OpeningsQuestion
from solver.errors import Fault


class Openings:
    """Asks nothing of the solver, and changes nothing."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock
        self.books = KeptBooks()

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
        return await self.find_in(snapshot, question.model_copy(update={"request": request}))

    async def prepare(self, request: Request) -> tuple[Snapshot, Request]:
        """The book of the days in question, and the request reckoned and in the salon's time."""
        async with self.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            request = upcoming(local_request(request, zone), self.clock.now(), "/windows")
            first, last = days_of(request, zone)
            require_bounded(first, last, "/windows")
            snapshot = await self.books.read(unit, first, last)
        require_known(request, snapshot)
        return snapshot, await asyncio.to_thread(reckoned, request, snapshot)

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
