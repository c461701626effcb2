"""The record of changes, read."""

from __future__ import annotations

from datetime import date

from api.services.errors import UnprocessableError
from api.services.ports import Store
from api.services.rota import span_of_days
from schemas.changes import ChangePage
from solver.errors import Fault

LAST = 9_223_372_036_854_775_807
"""The largest number of a row."""


class Changes:
    def __init__(self, store: Store) -> None:
        self.store = store

    async def page(
        self,
        *,
        kind: str | None,
        name: str | None,
        who: str | None,
        days: tuple[date | None, date | None],
        after: str | None,
        limit: int,
    ) -> ChangePage:
        """The newest first; of the days from `days[0]` to `days[1]` by the salon's clock."""
        number = None if after is None else row_number(after)
        async with self.store.reading() as unit:
            window = await span_of_days(unit, *days)
            found = await unit.changes.page(
                kind=kind, name=name, who=who, window=window, after=number, limit=limit + 1
            )
        items = found[:limit]
        return ChangePage(items=items, next=items[-1].id if len(found) > limit else None)


def row_number(text: str) -> int:
    """The number of a row that a page ended with. Raises UnprocessableError for anything else."""
    if not text.isascii() or not text.isdigit() or int(text) > LAST:
        raise UnprocessableError(Fault("after", "must be the `next` of the page before"))
    return int(text)
