"""`partline token`: made once and shown once, listed without its secret, revoked."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from api.services.tokens import PREFIX, digest_of
from tests.api.cli.cli_run import Ran, run


@pytest.fixture
def database(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'book.db'}"


def token(database: str, *arguments: str) -> Ran:
    return run("token", *arguments, "--database", database)


def test_a_token_is_printed_alone_on_standard_output_and_kept_as_a_digest(
    database: str, tmp_path: Path
) -> None:
    made = token(database, "make", "ines", "--role", "owner", "--days", "7")
    assert made.code == 0
    text = made.out.strip()
    assert text.startswith(PREFIX)
    assert "\n" not in text
    assert "owner" in made.err
    assert text not in made.err
    with closing(sqlite3.connect(tmp_path / "book.db")) as book:
        rows = book.execute("SELECT digest FROM token").fetchall()
    assert rows == [(digest_of(text),)]


def test_the_list_tells_everything_but_the_secret(database: str) -> None:
    made = token(database, "make", "ines", "--role", "desk").out.strip()
    listed = token(database, "list", "--json")
    only = listed.json["tokens"][0]
    assert (only["name"], only["role"], only["revoked_at"]) == ("ines", "desk", None)
    for text in (listed.out, token(database, "list").out):
        assert made.removeprefix(PREFIX) not in text
        assert digest_of(made) not in text


def test_a_revoked_token_stays_on_the_list_and_its_name_is_not_given_again(database: str) -> None:
    token(database, "make", "ines", "--role", "desk")
    assert token(database, "revoke", "ines").code == 0
    assert token(database, "revoke", "ines").code == 0
    assert token(database, "list", "--json").json["tokens"][0]["revoked_at"] is not None
    again = token(database, "make", "ines", "--role", "desk")
    assert again.code == 2
    assert "already" in again.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("make", "Ines K", "--role", "owner"), "lower-case"),
        (("make", "ines", "--role", "stylist"), "staff"),
        (("make", "ines", "--role", "desk", "--staff", "lead-1"), "staff"),
        (("make", "ines", "--role", "stylist", "--staff", "nobody"), "no person nobody"),
        (("make", "ines", "--role", "king"), "king"),
        (("make", "ines", "--role", "owner", "--days", "0"), "--days"),
        (("revoke", "nobody"), "no token nobody"),
    ],
)
def test_what_cannot_be_is_a_sentence(
    database: str, arguments: tuple[str, ...], words: str
) -> None:
    ran = token(database, *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert words in ran.err
