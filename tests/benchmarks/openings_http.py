"""How fast openings are found through the HTTP API: `python -m tests.benchmarks.openings_http`.

The book of `openings` is laid into a SQLite file; then a client in the same loop asks random
questions over all of it for the ranked ten. `asked` finds the book as it was at the last question,
`changed` comes after somebody booked. Times are on the clock, from the request's bytes to the
answer's, without a network. `--json` prints a list, `--cases` as in `openings`.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from time import perf_counter

from api.bootstrap import open_store
from api.services.occupancy import occupied_by
from api.services.promising import promised
from api.settings import Settings
from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.salon import Salon
from tests.api.studio_kit import Client, a_service
from tests.benchmarks.full_books import full_book, request
from tests.benchmarks.openings import CASES, milliseconds, over_all, questions

NOW = datetime(2026, 11, 1, 12, tzinfo=UTC)


async def lay(book: DayBook, settings: Settings) -> None:
    """Write the book into the store, past the API."""
    store = open_store(settings)
    await store.prepare(migrate_first=True)
    async with store.writing() as unit:
        hours = [{"weekday": day, "opens": "09:00", "closes": "20:00"} for day in range(1, 7)]
        salon = {"name": "Studio", "zone": book.zone, "currency": "EUR", "hours": hours}
        await unit.put_salon(Salon.model_validate({**salon, "basins": book.basins}))
        for documents, table in (
            (book.chairs, unit.chairs),
            (book.staff, unit.staff),
            (book.shifts, unit.shifts),
        ):
            for document in documents:
                await table.add(document)
        for booking in book.bookings:
            assert booking.placed is not None
            facts = {
                name: getattr(booking, name)
                for name in Request.model_fields
                if name in type(booking).model_fields
            }
            asked = Request(**facts, windows=(booking.placed.window,))
            record = promised(asked, booking.placed, take_off=None, created_at=NOW, now=NOW)
            await unit.bookings.add(record)
            await unit.bookings.occupy(booking.id, occupied_by(booking.placed, book.breaks))
        await unit.breaks.add(book.breaks)
    await store.close()


async def ask(client: Client, question: dict[str, object]) -> tuple[float, dict[str, object]]:
    begun = perf_counter()
    answer = await client.post("/v1/openings", json=question)
    taken = perf_counter() - begun
    if answer.status_code != 200:
        raise SystemExit(answer.text)
    return taken, answer.json()


async def measure(case: str, count: int, seed: int) -> list[dict[str, object]]:
    book = full_book(CASES[case], seed)
    asked = [
        over_all(book, question).model_dump(mode="json") for question in questions(book, count)
    ]
    rows: list[dict[str, object]] = []
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(database=f"sqlite:///{Path(folder)}/book.db")
        await lay(book, settings)
        async with a_service(settings, NOW) as client:
            for question in asked:
                await ask(client, question)
            warm = [(await ask(client, question))[0] for question in asked]
            changed, random = [], Random("changed")
            for number, question in enumerate(asked[: count // 2]):
                wanted = request(random, f"sold-{number}", (book.open[0], *book.open[1:]))
                body = {"request": wanted.model_dump(mode="json"), "limit": 1}
                openings = (await ask(client, body))[1]["openings"]
                if openings:
                    sale = {"request": body["request"], "opening": openings[0]}
                    sold = await client.post("/v1/bookings", json=sale)
                    if sold.status_code != 201:
                        raise SystemExit(sold.text)
                    changed.append((await ask(client, question))[0])
    for name, times in (("asked", warm), ("changed", changed)):
        row = {"case": f"{case} http {name}", "questions": len(times), **milliseconds(times)}
        rows.append({**row, "bookings": len(book.bookings)})
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print a JSON list")
    parser.add_argument("--cases", default="4w", help=f"out of {','.join(CASES)}")
    parser.add_argument("--questions", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    rows = [
        row
        for case in options.cases.split(",")
        for row in asyncio.run(measure(case, options.questions, options.seed))
    ]
    if options.json:
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
        return
    for row in rows:
        sys.stdout.write("  ".join(f"{key} {value}" for key, value in row.items()) + "\n")


if __name__ == "__main__":
    main()
