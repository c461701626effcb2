"""Nonsense is refused at the door or by the take-off, in one sentence that says what is wrong."""

import pytest
from pydantic import ValidationError

from schemas.takeoff import TakeOffRequest
from solver.errors import StyleError
from solver.takeoff import take_off

SOUND = {"name": "Knotless", "technique": "knotless", "size": "medium", "length_cm": 60}


def section(**facts):
    return {"parting": {"sections": [{"name": "back", **facts}]}}


@pytest.mark.parametrize(
    ("style", "where", "sentence"),
    [
        ({"braids": -3}, "braids", "greater than or equal to 1"),
        ({"braids": 10_000}, "braids", "less than or equal to 2000"),
        ({"braids": 3.5}, "braids", "valid integer"),
        ({"length_cm": 500}, "length_cm", "less than or equal to 200"),
        ({"length_cm": float("nan")}, "length_cm", "finite number"),
        ({"length_cm": "long"}, "length_cm", "must be a number"),
        (section(rows=(3, -1)), "rows", "greater than or equal to 1"),
        (section(rows=(1,) * 1_000_000), "rows", "at most 60 items"),
        (section(pattern={"first": (3, 4), "rows": 1_000_000}), "rows", "less than or equal to 60"),
        (section(mirror_of="front"), "parting", "back mirrors front, which is not there"),
        (section(mirror_of="back"), "sections", "a section cannot mirror itself"),
        (section(), "sections", "state exactly one of rows, pattern and mirror_of"),
        (section(rows=(60,) * 60), "parting", "the sections hold 3600 braids"),
        ({"braids": 40, **section(rows=(3,))}, "style", "state the parting or the number"),
        ({"curls": {"per_braid": 3}}, "curls", "their placement is none"),
        ({"head_circumference_cm": 12}, "head_circumference_cm", "greater than or equal to 40"),
        ({"colour": "black"}, "colour", "Extra inputs are not permitted"),
    ],
)
def test_what_no_document_may_say(style, where, sentence):
    with pytest.raises(ValidationError) as refused:
        TakeOffRequest.model_validate({"style": SOUND | style})
    (first, *_) = refused.value.errors()
    assert where in map(str, first["loc"])
    assert sentence in first["msg"]


@pytest.mark.parametrize(
    ("asked", "pointer", "sentence"),
    [
        ({"technique": "macrame"}, "/style/technique", "macrame is not one of knotless, "),
        ({"size": "enormous"}, "/style/size", "enormous is not one of micro, "),
        (
            {"technique": "sew-in", "curls": {"placement": "ends", "per_braid": 2}},
            "/style/curls/placement",
            "no curls are left out of a track of sew-in",
        ),
        (
            {"technique": "sew-in", "braids": 61},
            "/style/braids",
            "61 tracks are asked for; a head takes 60",
        ),
        (
            {"technique": "cornrow", "braids": 200},
            "/style/braids",
            "200 cornrows are asked for; a head takes 60",
        ),
        (
            {"braids": 2000, "size": "jumbo", "length_cm": 200},
            "/style",
            "kg of hair is more than a head can carry",
        ),
        (
            {"braids": 2000, "size": "micro", "technique": "faux-locs", "length_cm": 50},
            "/style",
            "h of work is no one visit",
        ),
        (
            section(rows=(3,), curls=(2,)),
            "/style/parting/sections/0/curls",
            "back states curls, and the style's curl placement is none",
        ),
    ],
)
def test_what_no_head_or_day_can_hold(asked, pointer, sentence):
    with pytest.raises(StyleError) as refused:
        take_off(TakeOffRequest.model_validate({"style": SOUND | asked}))
    (fault,) = refused.value.faults
    assert fault.pointer == pointer
    assert sentence in fault.detail
    assert fault.detail.count(". ") == 0


def test_two_faults_are_told_at_once():
    style = SOUND | {"technique": "macrame", "size": "enormous"}
    with pytest.raises(StyleError) as refused:
        take_off(TakeOffRequest.model_validate({"style": style}))
    assert [fault.pointer for fault in refused.value.faults] == ["/style/technique", "/style/size"]
