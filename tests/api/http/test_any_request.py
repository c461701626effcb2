"""Requests drawn from the description itself, good and bad, held to every check of schemathesis.

One check is widened: a good request may be refused with 422, 412 or 428. That a window ends after
it starts, that a lead is on the staff, which version is the newest: a schema cannot say. That a 422
names the field at fault is checked here for every answer.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from itertools import count, cycle
from pathlib import Path
from typing import Any

import anyio
import pytest
import schemathesis
from schemathesis.config import SchemathesisConfig

from api.bootstrap import open_store
from api.description.document import describe
from api.once import QUESTIONS
from api.services.callers import Role
from api.services.tokens import Tokens
from api.settings import Settings
from tests.api.databases import a_shared_postgresql
from tests.api.served import a_served, a_served_book
from tests.api.studio_kit import StoppedClock, a_service, furnish

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
FEW: dict[str, Any] = {
    "checks": CONFIG["checks"],
    "phases": {"coverage": {"enabled": False}},
    "generation": {"max-examples": 1, "deterministic": True, "database": "none"},
}
"""What the stores do alike is tried on one of them; on the other a request of each that writes."""


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
def tokens(book: Path) -> dict[Role, str]:
    """One of each role; the owner is the one who may ask for everything."""
    return anyio.run(_tokens, Settings(database=f"sqlite:///{book}"))


async def _tokens(settings: Settings) -> dict[Role, str]:
    store = open_store(settings)
    try:
        kept = Tokens(store, StoppedClock())
        return {
            role: await kept.make(
                f"the-{role}", role, staff="lead-1" if role is Role.STYLIST else None, days=1
            )
            for role in Role
        }
    finally:
        await store.close()


schema = schemathesis.openapi.from_dict(describe(), config=SchemathesisConfig.from_dict(CONFIG))


OTHERS = cycle(role for role in Role if role is not Role.OWNER)
TURNS = count()


@schema.parametrize()
def test_any_request_is_answered_as_described(
    case: schemathesis.Case, address: str, tokens: dict[Role, str]
) -> None:
    """By the owner; and some of them by the other roles in turn, whether they may or not."""
    roles = (Role.OWNER,) if next(TURNS) % 8 else (Role.OWNER, next(OTHERS))
    for role in roles:
        _ask(case, address, tokens[role])


few = (
    schemathesis.openapi.from_dict(describe(), config=SchemathesisConfig.from_dict(FEW))
    .include(method=["POST", "PUT", "PATCH", "DELETE"])
    .exclude(operation_id=sorted(QUESTIONS))
)


@pytest.fixture(scope="module")
def beside_postgresql() -> Iterator[tuple[str, dict[Role, str]]]:
    """A service over PostgreSQL whose studio is furnished, and a token of each role."""
    with a_shared_postgresql() as settings:

        async def lay() -> dict[Role, str]:
            async with a_service(settings) as client:
                await furnish(client)
            return await _tokens(settings)

        told = anyio.run(lay)
        with a_served(settings.model_copy(update={"tokens": "required"}), StoppedClock()) as where:
            yield where, told


@pytest.mark.service
@few.parametrize()
def test_postgresql_answers_as_described_too(
    case: schemathesis.Case, beside_postgresql: tuple[str, dict[Role, str]]
) -> None:
    address, told = beside_postgresql
    _ask(case, address, told[Role.OWNER if next(TURNS) % 4 else next(OTHERS)])


def _ask(case: schemathesis.Case, address: str, token: str) -> None:
    response = case.call_and_validate(
        base_url=address, headers={"Authorization": f"Bearer {token}"}
    )
    if response.status_code == 422:
        problem = response.json()
        assert problem["status"] == 422
        assert problem["errors"], "a refusal names what is wrong"
        assert all({"pointer", "detail"} <= set(error) for error in problem["errors"])
