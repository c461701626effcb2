"""Who may do what: every operation by every role, and by those who are nobody here."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path

import pytest
from httpx import Response

from api.bootstrap import open_store
from api.description.document import describe
from api.once import QUESTIONS
from api.services.callers import Role
from api.services.permits import HER_OWN, MAY, OPEN
from api.services.tokens import PREFIX, Tokens, digest_of
from api.settings import Settings
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import NOW, Client, StoppedClock, a_service, body, book, furnish, ok
from tests.builders import DAY, a_chair, a_closure

pytestmark = pytest.mark.anyio
OPERATIONS = {
    operation["operationId"]: (method.upper(), path)
    for path, operations in describe()["paths"].items()
    for method, operation in operations.items()
}
STYLIST = "lead-1"


def bearer(token: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {token}"}


class Studio:
    """A furnished service that asks for tokens, and one of each kind."""

    def __init__(self, client: Client, settings: Settings, tokens: dict[str, str]) -> None:
        self.client = client
        self.settings = settings
        self.tokens = tokens

    async def ask(self, operation: str, token: str | None) -> Response:
        """The operation with an empty body, on things that are there where the path names any."""
        method, path = OPERATIONS[operation]
        named = path.replace("{id}", STYLIST).replace("{item}", "none").replace("{date}", str(DAY))
        stated = {} if method in {"GET", "DELETE"} else {"json": {}}
        headers = {} if token is None else bearer(token)
        answer: Response = await self.client.request(method, named, headers=headers, **stated)
        return answer


@pytest.fixture(params=KINDS)
async def studio(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Studio]:
    async with a_database(request.param, tmp_path) as settings:
        async with a_service(settings) as client:
            await furnish(client)
            await book(client, "one")
        tokens = await _tokens(settings)
        async with a_service(settings, tokens="required") as client:
            yield Studio(client, settings, tokens)


async def _tokens(settings: Settings) -> dict[str, str]:
    store = open_store(settings)
    other = open_store(settings.model_copy(update={"salon": "other"}))
    clock = StoppedClock()
    made = Tokens(store, clock)
    told = {
        role.value: await made.make(
            f"the-{role}", role, staff=STYLIST if role is Role.STYLIST else None, days=30
        )
        for role in Role
    }
    told["revoked"] = await made.make("the-revoked", Role.OWNER, staff=None, days=30)
    await made.revoke("the-revoked")
    early = Tokens(store, StoppedClock(NOW - timedelta(days=2)))
    told["expired"] = await early.make("the-expired", Role.OWNER, staff=None, days=2)
    await other.prepare(migrate_first=False)
    told["of another salon"] = await Tokens(other, clock).make(
        "ines", Role.OWNER, staff=None, days=30
    )
    told["unknown"] = PREFIX + "x" * 43
    await other.close()
    await store.close()
    return told


def test_every_operation_has_its_line_in_the_table_of_roles() -> None:
    assert set(MAY) | OPEN == set(OPERATIONS)
    assert not set(MAY) & OPEN
    assert set(MAY) >= HER_OWN


def test_whoever_only_reads_changes_nothing() -> None:
    for operation, (method, _) in OPERATIONS.items():
        if operation in MAY and Role.READ_ONLY in MAY[operation]:
            assert method == "GET" or operation in QUESTIONS


def test_the_owner_may_do_everything() -> None:
    assert all(Role.OWNER in roles for roles in MAY.values())


async def test_every_operation_lets_in_its_roles_and_no_other(studio: Studio) -> None:
    """All operations by all roles; a body that is empty is refused only once the role is right."""
    for operation in OPERATIONS:
        for role in Role:
            answer = await studio.ask(operation, studio.tokens[role])
            allowed = operation in OPEN or role in MAY[operation]
            where = f"{operation} by {role}: {answer.status_code} {answer.text[:200]}"
            assert answer.status_code != 401, where
            assert (answer.status_code == 403) is not allowed, where
            if not allowed:
                needed = " ".join(each for each in Role if each in MAY[operation])
                assert answer.headers["www-authenticate"] == (
                    f'Bearer realm="partline", error="insufficient_scope", scope="{needed}"'
                )
                assert answer.headers["content-type"] == "application/problem+json"
                assert needed.replace(" ", " or ") in answer.json()["detail"]


async def test_nobody_else_is_let_in_anywhere(studio: Studio) -> None:
    """All operations by nobody, and by tokens that are no good (any more) or not of this salon."""
    for operation in OPERATIONS:
        for kind in (None, "revoked", "expired", "of another salon", "unknown"):
            answer = await studio.ask(operation, None if kind is None else studio.tokens[kind])
            if operation in OPEN:
                assert answer.status_code == 200
                continue
            assert answer.status_code == 401, f"{operation} by {kind}"
            asked = answer.headers["www-authenticate"]
            assert asked == 'Bearer realm="partline"' + (
                "" if kind is None else ', error="invalid_token"'
            )


async def test_what_is_no_bearer_token_is_refused(studio: Studio) -> None:
    bad = ("Basic aW5lczp4", "Bearer", "Bearer ", "Bearer a b", "token", 'Bearer "x"', "")
    for stated in bad:
        answer = await studio.client.get("/v1/salon", headers={"Authorization": stated})
        assert answer.status_code == 401, stated


async def test_the_name_of_the_scheme_is_read_in_any_case(studio: Studio) -> None:
    """RFC 9110, section 11.1."""
    headers = {"Authorization": f"bEARER {studio.tokens['owner']}"}
    assert (await studio.client.get("/v1/salon", headers=headers)).status_code == 200


async def test_the_description_and_options_need_no_token(studio: Studio) -> None:
    for path in ("/schema", "/schema/openapi.json"):
        assert (await studio.client.get(path)).status_code == 200
    assert (await studio.client.options("/v1/chairs")).status_code == 204


async def test_a_stylist_sees_what_is_her_own_and_of_others_nothing(studio: Studio) -> None:
    mine = bearer(studio.tokens["stylist"])
    for operation in HER_OWN:
        path = OPERATIONS[operation][1].replace("{item}", "none")
        for person, refused in ((STYLIST, False), ("lead-2", True), ("nobody", True)):
            answer = await studio.client.get(path.replace("{id}", person), headers=mine)
            assert (answer.status_code == 403) is refused, f"{operation} of {person}"


async def test_a_stylist_sees_her_own_part_of_a_day(studio: Studio) -> None:
    path = f"/v1/days/{DAY}"
    whole = ok(await studio.client.get(path, headers=bearer(studio.tokens["owner"])))
    hers = ok(await studio.client.get(path, headers=bearer(studio.tokens["stylist"])))
    assert {person["staff"] for person in whole["staff"]} > {STYLIST}
    assert [person["staff"] for person in hers["staff"]] == [STYLIST]
    assert len(whole["visits"]) == 1
    crew = {whole["visits"][0]["lead"], *whole["visits"][0]["assistants"]}
    assert (whole["visits"] == hers["visits"]) is (STYLIST in crew)
    others = {"lead-1", "lead-2", "assistant-1"} - {STYLIST}
    if STYLIST not in crew:
        assert not re.search("|".join(others | {"one"}), str(hers))


async def test_the_record_names_the_token(studio: Studio) -> None:
    desk, owner = (bearer(studio.tokens[role]) for role in ("desk", "owner"))
    closure = {"id": "pump", **body(a_closure("17:00", "18:00"))}
    ok(await studio.client.post("/v1/chairs/chair-1/closures", json=closure, headers=desk))
    told = ok(await studio.client.get("/v1/changes?kind=closure", headers=owner))["items"][0]
    assert (told["who"], told["role"], told["operation"]) == ("the-desk", "desk", "closeChair")
    made = ok(await studio.client.get("/v1/changes?kind=token", headers=owner))["items"]
    assert {each["name"] for each in made} >= {"the-owner", "the-revoked"}
    assert {each["who"] for each in made} == {"service"}


async def test_a_key_is_the_callers_own_and_asks_for_a_token_first(studio: Studio) -> None:
    key = {"Idempotency-Key": '"a"'}
    chair = body(a_chair("third"))
    owner = bearer(studio.tokens["owner"]) | key
    first = await studio.client.post("/v1/chairs", json=chair, headers=owner)
    assert first.status_code == 201
    assert (await studio.client.post("/v1/chairs", json=chair, headers=key)).status_code == 401
    desk = bearer(studio.tokens["desk"]) | key
    assert (await studio.client.post("/v1/chairs", json=chair, headers=desk)).status_code == 403
    closure = {"id": "pump", **body(a_closure("17:00", "18:00"))}
    path = "/v1/chairs/chair-1/closures"
    assert (await studio.client.post(path, json=closure, headers=desk)).status_code == 201
    assert (await studio.client.post(path, json=closure, headers=owner)).status_code == 422


async def test_no_token_is_kept_anywhere_in_the_database(studio: Studio) -> None:
    store = open_store(studio.settings)
    async with store.reading() as unit:
        found = await unit.tokens.find(digest_of(studio.tokens["owner"]))
        record = await unit.changes.page(
            kind=None, name=None, who=None, window=None, after=None, limit=500
        )
    await store.close()
    assert found is not None
    text = studio.tokens["owner"].removeprefix(PREFIX)
    assert len(text) == 43
    assert text not in str(record) + str(found)
    assert digest_of(studio.tokens["owner"]) not in str(record)
    if "sqlite" in studio.settings.database:
        path = Path(studio.settings.database.removeprefix("sqlite:///"))
        for file in path.parent.iterdir():
            assert text.encode() not in file.read_bytes()


def test_the_description_says_who_may_do_what() -> None:
    document = describe()
    assert document["components"]["securitySchemes"]["token"]["scheme"] == "bearer"
    assert document["security"] == [{"token": []}]
    for operations in document["paths"].values():
        for operation in operations.values():
            name = operation["operationId"]
            if name in OPEN:
                assert operation["security"] == []
                continue
            assert {"401", "403"} <= set(operation["responses"])
            told = re.search(r"For: (.+)\.$", operation["description"])
            assert told is not None
            assert set(told[1].split(", ")) == MAY[name]
