"""Requests drawn from the description itself, good and bad, held to every check of schemathesis.

One check is widened: a good request may be refused with 422, 412 or 428. That a window ends after
it starts, that a lead is on the staff, which version is the newest: a schema cannot say. That a 422
names the field at fault is checked here for every answer.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import anyio
import pytest
import schemathesis
from schemathesis.config import SchemathesisConfig

from api.bootstrap import open_store
from api.description.document import describe
from api.services.callers import Role
from api.services.tokens import Tokens
from api.settings import Settings
from tests.api.served import a_served_book
from tests.api.studio_kit import StoppedClock

ACCEPTED = ["2xx", "3xx", "401", "403", "404", "409", "412", "422", "428", "429", "5xx"]
"""What schemathesis grants by itself, and 412, 422 and 428."""
CONFIG: dict[str, Any] = {
    "checks": {"positive_data_acceptance": {"expected-statuses": ACCEPTED}},
    # Every edge of every field of a whole request takes longer than all else together: these draw
    # at random alone. The take-off, which is a style too, and the rest are covered edge by edge.
    "operations": [
        {
            "include-operation-id": [
                *("createBooking", "findOpenings", "changeBooking"),
                *("addStyle", "replaceStyle", "askWhyNot", "repairDays"),
                *("findGroupOpenings", "findSeriesOpenings", "createBookingSet"),
                *("holdOpening", "offerPlace", "rearrangeDays"),
            ],
            "phases": {"coverage": {"enabled": False}},
        }
    ],
    "generation": {"max-examples": 5, "deterministic": True, "database": "none"},
}


@pytest.fixture(scope="module")
def book(furnished_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    book = tmp_path_factory.mktemp("any") / "book.db"
    shutil.copy(furnished_book, book)
    return book


@pytest.fixture(scope="module")
def address(book: Path) -> Iterator[str]:
    with a_served_book(book, StoppedClock(), tokens="required") as address:
        yield address


@pytest.fixture(scope="module")
def token(book: Path) -> str:
    """The owner's: the one who may ask for everything."""
    store = open_store(Settings(database=f"sqlite:///{book}"))

    async def make() -> str:
        try:
            tokens = Tokens(store, StoppedClock())
            return await tokens.make("ines", Role.OWNER, staff=None, days=1)
        finally:
            await store.close()

    return anyio.run(make)


schema = schemathesis.openapi.from_dict(describe(), config=SchemathesisConfig.from_dict(CONFIG))


@schema.parametrize()
def test_any_request_is_answered_as_described(
    case: schemathesis.Case, address: str, token: str
) -> None:
    response = case.call_and_validate(
        base_url=address, headers={"Authorization": f"Bearer {token}"}
    )
    if response.status_code == 422:
        problem = response.json()
        assert problem["status"] == 422
        assert problem["errors"], "a refusal names what is wrong"
        assert all({"pointer", "detail"} <= set(error) for error in problem["errors"])
