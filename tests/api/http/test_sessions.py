"""Browsers that sign in: what their cookies are worth, and what nobody else can do with them."""

from __future__ import annotations

import re
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta
from pathlib import Path
from typing import ClassVar

import pytest
from httpx import Response
from litestar import Controller, get, post
from litestar.response import Template

from api import app as application
from api.headers import PAGE_POLICY
from api.pages import ROUTES
from api.pages.onward import sign_in_path, within
from api.paths import needs
from api.services.callers import Role
from api.services.sessions import Sessions, proof_of
from api.services.tokens import Tokens, digest_of
from api.settings import Settings
from api.store.unit_of_work import SqlStore
from tests.api.databases import a_database
from tests.api.studio_kit import NOW, SALON, Client, StoppedClock, a_service, body, ok
from tests.builders import a_chair, a_lead

pytestmark = pytest.mark.anyio
FROM_HERE = {"Origin": "http://localhost"}


class Looks(Controller):
    """Pages as others may write them."""

    opt: ClassVar = {"page": True}

    @get("/looks/salon", operation_id="readSalon")
    async def look(self) -> Template:
        said = "{{ csrf_token() }} {{ csrf_input | safe }}"
        return Template(template_str=said, media_type="text/html")

    @post("/looks/chairs", operation_id="readSalon", opt=needs("addChair"))
    async def add(self) -> str:
        return "added"

    @get("/looks/people/{id:str}", operation_id="readStaff")
    async def person(self) -> str:
        return "her own"

    @get("/looks/nothing")
    async def unmarked(self) -> str:
        return "for nobody"


class Studio:
    def __init__(self, client: Client, clock: StoppedClock, tokens: dict[Role, str]) -> None:
        self.client = client
        self.clock = clock
        self.tokens = tokens

    async def sign_in(self, role: Role, **further: str) -> Response:
        answer: Response = await self.client.post(
            "/sign-in", data={"token": self.tokens[role], **further}, headers=FROM_HERE
        )
        return answer

    @property
    def session(self) -> str:
        return str(self.client.cookies["partline"])

    def proof(self) -> dict[str, str]:
        return {"X-CSRF-Token": proof_of(self.session), **FROM_HERE}


@asynccontextmanager
async def a_studio(settings: Settings) -> AsyncIterator[Studio]:
    async with a_service(settings, tokens="required") as client:
        desk = client.app.state.desk
        told = {
            role: await desk.tokens.make(
                f"the-{role}", role, staff="lead-1" if role is Role.STYLIST else None, days=2
            )
            for role in Role
        }
        yield Studio(client, desk.tokens.clock, told)


@pytest.fixture
async def studio(
    furnished_book: Path, tmp_path: Path, anyio_backend: str, monkeypatch: pytest.MonkeyPatch
) -> AsyncIterator[Studio]:
    monkeypatch.setattr(application, "PAGES", (*ROUTES, Looks))
    shutil.copy(furnished_book, tmp_path / "book.db")
    async with a_studio(Settings(database=f"sqlite:///{tmp_path}/book.db")) as studio:
        yield studio


def _set_cookie(answer: Response) -> list[str]:
    return [part.strip() for part in answer.headers["set-cookie"].split(";")]


async def test_a_token_becomes_a_session_that_pages_and_the_api_take(studio: Studio) -> None:
    answer = await studio.sign_in(Role.DESK, next="/looks/salon")
    assert (answer.status_code, answer.headers["location"]) == (303, "/looks/salon")
    seen = await studio.client.get("/looks/salon")
    proof = proof_of(studio.session)
    assert seen.text == f'{proof} <input type="hidden" name="_csrf_token" value="{proof}" />'
    assert ok(await studio.client.get("/v1/salon"))["name"] == "Studio"


async def test_the_cookie_is_for_this_service_alone_and_for_no_script(studio: Studio) -> None:
    told = _set_cookie(await studio.sign_in(Role.DESK))
    assert {"HttpOnly", "Path=/", "SameSite=lax", "Max-Age=43200"} <= set(told)
    assert not [part for part in told if part.startswith("Domain")]
    assert len(studio.session) == 43


async def test_the_cookie_asks_for_tls_but_within_this_machine(studio: Studio) -> None:
    for address, safely in (
        ("http://localhost", False),
        ("http://127.0.0.1:8137", False),
        ("http://[::1]:8137", False),
        ("https://localhost", True),
        ("https://salon.example", True),
        ("http://salon.example", True),  # a proxy may have ended TLS; a browser will know
    ):
        told = _set_cookie(
            await studio.client.post(f"{address}/sign-in", data={"token": studio.tokens[Role.DESK]})
        )
        assert ("Secure" in told) is safely, address
        assert told[0].startswith("__Host-partline=" if safely else "partline="), address


async def test_a_token_that_is_no_good_signs_nobody_in(studio: Studio) -> None:
    for token in ("", "x", "partline_" + "x" * 43, "<script>", "\x00", "a" * 5000):
        answer = await studio.client.post("/sign-in", data={"token": token}, headers=FROM_HERE)
        assert answer.status_code == 403
        assert "set-cookie" not in answer.headers
        assert "not known here" in answer.text
        assert "<script>" not in answer.text


async def test_whoever_is_not_signed_in_is_led_to_it_and_back(studio: Studio) -> None:
    sent = await studio.client.get("/looks/salon?x=1&y=2")
    assert sent.status_code == 303
    path = sent.headers["location"]
    assert path == "/sign-in?next=%2Flooks%2Fsalon%3Fx%3D1%26y%3D2"
    form = await studio.client.get(path)
    onward = re.search(r'name="next" value="([^"]*)"', form.text)
    assert onward is not None
    assert onward[1] == "/looks/salon?x=1&amp;y=2"
    script = await studio.client.get("/looks/salon", headers={"HX-Request": "true"})
    assert (script.status_code, script.headers["hx-redirect"]) == (401, "/sign-in")
    assert (await studio.client.post("/looks/chairs")).headers["location"] == "/sign-in"
    refused = await studio.client.get("/v1/salon")
    assert (refused.status_code, refused.headers["content-type"]) == (
        401,
        "application/problem+json",
    )


@pytest.mark.parametrize(
    "onward",
    [
        "//evil.example",
        "/\\evil.example",
        "https://evil.example",
        "evil",
        "",
        "/a\r\nb",
        "/ü",
        "/ b",
    ],
)
def test_signing_in_leads_to_nobody_else(onward: str) -> None:
    assert within(onward) == "/"
    assert sign_in_path(onward) == "/sign-in"


async def test_a_change_by_cookie_needs_what_only_our_pages_know(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    chair, path = body(a_chair("third")), "/v1/chairs"
    other = proof_of("another session")
    for headers in ({}, {"X-CSRF-Token": ""}, {"X-CSRF-Token": other}, {"X-CSRF-Token": "ü"}):
        raw = {name: value.encode() for name, value in {**headers, **FROM_HERE}.items()}
        answer = await studio.client.post(path, json=chair, headers=raw)
        assert answer.status_code == 403, headers
        assert answer.json()["detail"].startswith("this form is not the newest")
        assert (await studio.client.post("/looks/chairs", headers=raw)).status_code == 403
    assert (await studio.client.post(path, json=chair, headers=studio.proof())).status_code == 201
    assert (await studio.client.post("/looks/chairs", headers=studio.proof())).text == "added"


async def test_a_plain_form_says_it_in_a_field(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    for proof, status in ((proof_of(studio.session), 201), ("x", 403)):
        answer = await studio.client.post(
            "/looks/chairs", data={"_csrf_token": proof}, headers=FROM_HERE
        )
        assert answer.status_code == status
    # The field is read of a form alone, and never of more than a body may hold.
    many = {"_csrf_token": "x" * 1_000_001}
    assert (
        await studio.client.post("/looks/chairs", data=many, headers=FROM_HERE)
    ).status_code == 413


async def test_what_another_page_leads_to_is_refused(studio: Studio) -> None:
    for place, (headers, foreign) in enumerate(
        (
            ({"Origin": "https://evil.example"}, True),
            ({"Origin": "null"}, True),
            ({"Origin": "http://localhost:81"}, True),
            ({"Sec-Fetch-Site": "cross-site"}, True),
            ({"Sec-Fetch-Site": "same-site"}, True),
            ({"Sec-Fetch-Site": "cross-site", "Origin": "http://localhost"}, True),
            ({"Sec-Fetch-Site": "same-origin"}, False),
            ({"Sec-Fetch-Site": "none"}, False),
            ({"Origin": "http://localhost"}, False),
            ({}, False),
        )
    ):
        signing = await studio.client.post(
            "/sign-in", data={"token": studio.tokens[Role.OWNER]}, headers=headers
        )
        assert (signing.status_code == 403) is foreign, headers
        await studio.sign_in(Role.OWNER)
        proof = {"X-CSRF-Token": proof_of(studio.session), **headers}
        chair = body(a_chair(f"chair-{place}0"))
        added = await studio.client.post("/v1/chairs", json=chair, headers=proof)
        assert added.status_code == (403 if foreign else 201), headers
        assert (await studio.client.get("/v1/salon", headers=headers)).status_code == 200


async def test_a_bearer_token_needs_no_proof_and_goes_before_a_cookie(studio: Studio) -> None:
    await studio.sign_in(Role.READ_ONLY)
    bearer = {"Authorization": f"Bearer {studio.tokens[Role.OWNER]}"}
    chair = body(a_chair("third"))
    assert (await studio.client.post("/v1/chairs", json=chair, headers=bearer)).status_code == 201
    wrong = {"Authorization": "Bearer x"}
    assert (await studio.client.get("/v1/salon", headers=wrong)).status_code == 401


async def test_a_session_may_what_its_token_may(studio: Studio) -> None:
    await studio.sign_in(Role.STYLIST)
    assert (await studio.client.get("/v1/chairs")).status_code == 403
    assert (await studio.client.get("/looks/people/lead-1")).text == "her own"
    refused = await studio.client.get("/looks/people/lead-2")
    assert refused.status_code == 403
    assert refused.headers["content-type"].startswith("text/html")
    refused = await studio.client.post("/looks/chairs", headers=studio.proof())
    assert refused.status_code == 403
    assert "his is for owner" in refused.text


async def test_who_signs_out_is_out_everywhere(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    kept = studio.session
    assert (await studio.client.post("/sign-out", headers=FROM_HERE)).status_code == 403
    answer = await studio.client.post("/sign-out", headers=studio.proof())
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")
    assert "partline" not in studio.client.cookies
    studio.client.cookies["partline"] = kept
    assert (await studio.client.get("/v1/salon")).status_code == 401


async def test_a_session_is_over_in_time_and_with_its_token(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    studio.clock.instant = NOW + timedelta(hours=11, minutes=59)
    assert (await studio.client.get("/v1/salon")).status_code == 200
    studio.clock.instant = NOW + timedelta(hours=12)
    assert (await studio.client.get("/v1/salon")).status_code == 401
    await studio.sign_in(Role.DESK)
    assert (await studio.client.get("/v1/salon")).status_code == 200
    await studio.client.app.state.desk.tokens.revoke("the-desk")
    assert (await studio.client.get("/v1/salon")).status_code == 401
    studio.clock.instant = NOW + timedelta(days=2, hours=-1)
    await studio.sign_in(Role.OWNER)
    studio.clock.instant = NOW + timedelta(days=2)
    assert (await studio.client.get("/v1/salon")).status_code == 401


async def test_signing_in_anew_ends_the_session_before(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    first = studio.session
    await studio.sign_in(Role.OWNER)
    assert studio.session != first
    studio.client.cookies["partline"] = first
    assert (await studio.client.get("/v1/salon")).status_code == 401


async def test_a_session_is_this_salons_and_kept_as_a_digest(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    store = studio.client.app.state.desk.sessions.store
    async with store.reading() as unit:
        assert await unit.sessions.find(digest_of(studio.session), NOW) is not None
        rows = (await unit.connection.exec_driver_sql("SELECT * FROM session")).all()
        assert digest_of(studio.session) in str(rows)
        assert studio.session not in str(rows)
    other = SqlStore(store.engines, "other")
    await other.prepare(migrate_first=False)
    async with other.reading() as unit:
        assert await unit.sessions.find(digest_of(studio.session), NOW) is None


@pytest.mark.service
async def test_sessions_begin_hold_and_end_in_postgresql_too(
    tmp_path: Path, anyio_backend: str
) -> None:
    async with (
        a_database("postgresql", tmp_path) as settings,
        a_service(settings) as client,
    ):
        ok(await client.put("/v1/salon", json=SALON))
        ok(await client.post("/v1/staff", json=body(a_lead("lead-1"))))
        async with a_studio(settings) as studio:
            await studio.sign_in(Role.OWNER)
            assert ok(await studio.client.get("/v1/salon"))["name"] == "Studio"
            await studio.client.app.state.desk.tokens.revoke("the-owner")
            assert (await studio.client.get("/v1/salon")).status_code == 401
            await studio.sign_in(Role.DESK)
            kept = studio.session
            await studio.client.post("/sign-out", headers=studio.proof())
            studio.client.cookies["partline"] = kept
            assert (await studio.client.get("/v1/salon")).status_code == 401
            studio.clock.instant = NOW + timedelta(hours=13)
            await studio.sign_in(Role.DESK)
            async with studio.client.app.state.desk.sessions.store.reading() as unit:
                left = await unit.connection.exec_driver_sql("SELECT count(*) FROM session")
                assert left.scalar_one() == 1


async def test_a_page_loads_nothing_from_afar_and_is_kept_nowhere(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    for path in ("/looks/salon", "/sign-in", "/looks/people/NOBODY?x=1"):
        headers = (await studio.client.get(path)).headers
        assert headers["content-security-policy"] == PAGE_POLICY
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert headers["cache-control"] == "no-store"
    headers = (await studio.client.get("/v1/salon")).headers
    assert headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"
    assert headers["cache-control"] == "no-store"


async def test_a_path_that_says_nothing_of_itself_is_for_nobody(studio: Studio) -> None:
    await studio.sign_in(Role.OWNER)
    assert (await studio.client.get("/looks/nothing")).status_code == 403


async def test_without_tokens_only_this_machine_is_answered(empty: Client) -> None:
    for place, (host, headers, status) in enumerate(
        (
            ("localhost", {}, 201),
            ("127.0.0.1:8137", {}, 201),
            ("[::1]:8137", {"Origin": "http://[::1]:8137"}, 201),
            ("localhost", {"Origin": "http://evil.example"}, 403),
            ("localhost", {"Sec-Fetch-Site": "cross-site"}, 403),
            ("evil.example", {"Origin": "http://evil.example"}, 403),  # a name that leads here
            ("evil.example", {}, 403),
            ("", {}, 403),
            ("[", {}, 403),
        )
    ):
        chair = body(a_chair(f"chair-{place}"))
        stated = {"Host": host, **headers}
        added = await empty.post("/v1/chairs", json=chair, headers=stated)
        assert added.status_code == status, stated
        assert (await empty.get("/sign-in", headers={"Host": host})).headers["location"] == "/"
        assert (await empty.get("/v1/health/live", headers={"Host": host})).status_code == 200


async def test_without_tokens_pages_are_open_and_need_no_proof(
    empty_book: Path, empty: Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(application, "PAGES", (*ROUTES, Looks))
    settings = Settings(database=f"sqlite:///{tmp_path}/book.db")
    async with a_service(settings) as client:
        assert (
            await client.get("/looks/salon")
        ).text == ' <input type="hidden" name="_csrf_token" value="" />'
        assert (await client.post("/looks/chairs", headers=FROM_HERE)).text == "added"
        evil = {"Origin": "http://evil.example"}
        assert (await client.post("/looks/chairs", headers=evil)).status_code == 403


async def test_sessions_that_are_over_are_dropped_at_the_next_sign_in(empty: Client) -> None:
    store = empty.app.state.desk.tokens.store
    token = await Tokens(store, StoppedClock()).make("ines", Role.OWNER, staff=None, days=9)
    early = Sessions(store, StoppedClock(), timedelta(hours=1))
    await early.begin(token)
    await Sessions(store, StoppedClock(NOW + timedelta(hours=1)), timedelta(hours=1)).begin(token)
    async with store.reading() as unit:
        left = await unit.connection.exec_driver_sql("SELECT count(*) FROM session")
        assert left.scalar_one() == 1
