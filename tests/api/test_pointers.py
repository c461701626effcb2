"""JSON Pointers from what pydantic found wrong. Source of the pointer syntax: RFC 6901."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from api.pointers import faults, pointer, where
from schemas.daybook import Grid
from schemas.rules import RuleSetting
from schemas.style import RowPattern, Section, Style


def found(model: Any, data: Any, base: str = "") -> dict[str, str]:
    with pytest.raises(ValidationError) as raised:
        model.model_validate(data)
    return {
        fault.pointer: fault.detail for fault in faults(raised.value, data, model=model, base=base)
    }


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ((), ""),  # RFC 6901, 5: the empty string is the whole document
        (("foo", 0), "/foo/0"),
        (("a/b",), "/a~1b"),
        (("m~n",), "/m~0n"),
        (("~1",), "/~01"),  # RFC 6901, 4: ~ is escaped first, so ~01 never becomes /
        (("",), "/"),
    ],
)
def test_parts_are_escaped_as_rfc_6901_says(parts: Any, expected: str) -> None:
    assert pointer(parts) == expected


@given(st.lists(st.text(alphabet="~/01ab", max_size=4), max_size=4))
def test_a_pointer_leads_back_to_its_parts(parts: list[str]) -> None:
    steps = pointer(parts).split("/")[1:]
    assert [step.replace("~1", "/").replace("~0", "~") for step in steps] == parts


def test_the_branch_of_a_union_is_not_part_of_the_pointer() -> None:
    told = found(RuleSetting, {"code": "turnaround", "parameters": {"minutes": [1]}})
    assert list(told) == ["/parameters/minutes"]


def test_a_bad_key_of_an_object_is_named() -> None:
    told = found(RuleSetting, {"code": "turnaround", "parameters": {"Bad Key": 1}})
    assert list(told) == ["/parameters/Bad Key"]
    assert "lower-case letters" in told["/parameters/Bad Key"]


def test_a_missing_field_is_pointed_at_where_it_belongs() -> None:
    told = found(Section, {"rows": [2, 2]})
    assert told == {"/name": "is missing: add it"}


def test_an_unknown_field_is_answered_with_the_one_it_resembles() -> None:
    told = found(Grid, {"minuts": 5})
    assert told == {"/minuts": "is not a known field: did you mean minutes?"}


def test_an_unknown_field_deep_down_is_answered_with_its_neighbours() -> None:
    style = {"name": "x", "technique": "t", "size": "s", "length_cm": 60, "wearer": {"zzz": 1}}
    told = found(Style, style)
    assert "child, tender_scalp" in told["/wearer/zzz"]


def test_a_fault_of_the_whole_keeps_the_pointer_of_the_whole() -> None:
    told = found(Grid, {"minutes": 7, "arrivals": 15}, base="/day_book/grid")
    assert told == {"/day_book/grid": "arrivals must be a multiple of minutes"}


def test_a_location_that_leads_nowhere_ends_where_the_data_end() -> None:
    assert where({"a": [1]}, ("a", 5, "b")) == ("a",)


def test_a_list_is_not_called_short_because_its_members_are_bad() -> None:
    assert list(found(RowPattern, {"first": [0], "rows": 3})) == ["/first/0"]


def test_a_list_that_is_short_is_called_so() -> None:
    told = found(RowPattern, {"first": [], "rows": 3})
    assert told == {"/first": "must hold at least 1, holds 0"}
