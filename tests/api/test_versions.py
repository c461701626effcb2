"""If-Match (RFC 9110, 13.1.1) compares strongly."""

from __future__ import annotations

import pytest

from api.services.errors import StaleError, UnseenError
from api.services.versions import Expectation


@pytest.mark.parametrize("header", ["*", '"3"', '"1", "3"', ' "3" '])
def test_an_edit_of_what_was_seen_goes_through(header: str) -> None:
    Expectation.of(header).require(3)


@pytest.mark.parametrize(
    "header",
    [
        '"2"',
        'W/"3"',  # a weak tag never matches
        "3",  # a tag is quoted
        "",
        '"33"',
    ],
)
def test_an_edit_of_something_older_is_stale(header: str) -> None:
    with pytest.raises(StaleError):
        Expectation.of(header).require(3)


def test_who_has_seen_nothing_overwrites_nothing_but_a_default() -> None:
    unseen = Expectation.of(None)
    with pytest.raises(UnseenError):
        unseen.require(3)
    with pytest.raises(UnseenError):
        unseen.require_tag('"a"')
    unseen.require_tag('"a"', own=False)


def test_what_is_not_there_yet_has_not_been_seen() -> None:
    Expectation.of(None).require(None)
    with pytest.raises(StaleError):
        Expectation.of("*").require(None)
