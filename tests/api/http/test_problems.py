"""Refusals: each has a type, and each type a page that says what to do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from api.description.document import describe
from api.problem_kinds import KINDS, OF_ERROR, OF_STATUS, kind_of
from api.problems import SENTENCES, problem_of
from api.services import errors
from solver.errors import Fault, InputError
from tests.api.studio_kit import Client

pytestmark = pytest.mark.anyio


def _errors(root: type[errors.ServiceError]) -> set[type[errors.ServiceError]]:
    below = set(root.__subclasses__())
    return below.union(*(_errors(each) for each in below))


def test_every_error_of_the_services_is_of_a_kind() -> None:
    ours = {each for each in _errors(errors.ServiceError) if "api.services.errors" in str(each)}
    assert ours == set(OF_ERROR)
    for error in _errors(errors.ServiceError):
        assert kind_of(error.__new__(error)) is not OF_STATUS[500]


def test_names_are_told_apart_and_statuses_are_as_described() -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS)
    assert set(SENTENCES) <= set(OF_STATUS)
    answered = {
        int(status)
        for methods in describe()["paths"].values()
        for operation in methods.values()
        for status in operation["responses"]
        if status >= "400"
    }
    assert answered <= {kind.status for kind in KINDS}


def test_problems_are_made_in_one_place_alone() -> None:
    """So none can be raised with a type of its own."""
    root = Path(__file__).parents[3]
    makers = {
        path.relative_to(root).as_posix()
        for folder in ("api", "solver", "schemas")
        for path in (root / folder).rglob("*.py")
        if re.search(r"\b(Problem|OpeningTaken)\(", path.read_text())
    }
    assert makers == {"api/problems.py", "schemas/problems.py", "schemas/dealings.py"}


def test_no_problem_is_about_blank() -> None:
    wrong = Fault("/a", "b")
    for error in (ValueError("x"), InputError(wrong), errors.UnprocessableError(wrong)):
        assert problem_of(error).type.startswith("/problems/")


async def test_every_type_leads_to_its_page(empty: Client) -> None:
    listed = (await empty.get("/problems")).text
    for kind in KINDS:
        told = await empty.get(kind.type)
        assert told.status_code == 200
        for text in (told.text, listed):
            assert f"<code>{kind.type}</code>, status {kind.status}" in text
        assert f'id="{kind.name}"' in listed
    assert (await empty.get("/problems/nothing")).status_code == 404


async def test_a_refusal_names_a_type_that_is_there(empty: Client) -> None:
    asked = (
        ("GET", "/v1/chairs/nothing"),
        ("GET", "/nowhere"),
        ("PATCH", "/v1/chairs"),
        ("GET", "/v1/chairs?x=1"),
        ("GET", "/v1/days/2026-12-01"),
        ("POST", "/v1/chairs"),
    )
    told = [(await empty.request(method, path)).json() for method, path in asked]
    types = [problem["type"] for problem in told]
    assert types == [
        *("/problems/not-found", "/problems/no-such-path", "/problems/method-not-allowed"),
        *("/problems/unprocessable", "/problems/not-set-up", "/problems/unprocessable"),
    ]
