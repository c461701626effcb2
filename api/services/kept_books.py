"""Books read and indexed of late, kept for as long as the book on record does not change.

Every question reads the book's revision; what was read at the same revision is used again. The
menu of rates, the materials and the stock are not counted in the revision: they are small and read
each time.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from api.services.day_books import Snapshot, aside_of, read_snapshot
from api.services.errors import ConflictError
from api.services.ports import UnitOfWork
from schemas.daybook import DayBook
from schemas.openings import OpeningsAnswer, OpeningsQuestion
from solver.cross_check import cross_check
from solver.errors import InputError
from solver.openings import BookIndex, find_openings
from solver.openings.changes import MAY_CHANGE

MOST_BOOKS = 4
"""Spans of days that are kept at one time; the one used longest ago goes first."""
T = TypeVar("T")


@dataclass(frozen=True)
class _Kept:
    snapshot: Snapshot
    index: BookIndex


class KeptBooks:
    """Snapshots with their indexes, by their days. One question at a time uses an index."""

    def __init__(self) -> None:
        self._read: dict[tuple[date, date], Snapshot] = {}
        self._books: dict[tuple[date, date], _Kept] = {}
        self._lock = threading.Lock()

    async def read(self, unit: UnitOfWork, first: date, last: date) -> Snapshot:
        """As `read_snapshot`; the very same snapshot while nothing has changed."""
        kept = self._read.pop((first, last), None)
        if kept is None or kept.revision != unit.revision:
            snapshot = await read_snapshot(unit, first, last)
        else:
            now = replace(kept.at(unit.now), **await aside_of(unit))
            snapshot = kept if now == kept else now
        _keep(self._read, (first, last), snapshot)
        return snapshot

    def answer(self, snapshot: Snapshot, question: OpeningsQuestion) -> OpeningsAnswer:
        """The openings in this snapshot's book. Runs for some milliseconds: call it in a thread.

        Raises NotSetUpError where there is nothing to index, ConflictError where the book is at
        fault, and what `find_openings` raises.
        """
        return self.ask(
            snapshot, lambda index: find_openings(index.day_book, question, index=index)
        )

    def ask(self, snapshot: Snapshot, question: Callable[[BookIndex], T]) -> T:
        """What `question` answers of this snapshot's index. Raises as `answer`."""
        with self._lock:
            return question(self._index(snapshot))

    def _index(self, snapshot: Snapshot) -> BookIndex:
        days = snapshot.first, snapshot.last
        kept = self._books.get(days)
        if kept is not None and kept.snapshot is snapshot:
            _keep(self._books, days, kept)
            return kept.index
        try:
            book = snapshot.day_book()
            if kept is None or not _same_house(kept.index.day_book, book):
                # Bookings and breaks were checked when they got there.
                cross_check(book.model_copy(update={"bookings": (), "breaks": ()}))
            index = BookIndex.of(book) if kept is None else kept.index.changed(book)
        except InputError as wrong:
            raise ConflictError(f"the salon's own book is at fault: {wrong}") from wrong
        if self._read.get(days) is snapshot:
            # Not one in which somebody asks "what if": those are not on record.
            _keep(self._books, days, _Kept(snapshot, index))
        return index


def _same_house(known: DayBook, book: DayBook) -> bool:
    """Whether two books differ in nothing but what is booked and how places are ranked."""
    return all(
        getattr(known, name) == getattr(book, name)
        for name in DayBook.model_fields
        if name not in MAY_CHANGE
    )


def _keep(kept: dict[tuple[date, date], T], days: tuple[date, date], what: T) -> None:
    """Puts it last, and drops what was used longest ago."""
    kept.pop(days, None)
    kept[days] = what
    while len(kept) > MOST_BOOKS:
        kept.pop(next(iter(kept)), None)
