"""`partline take-off FILE`."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from schemas.takeoff import TakeOff, TakeOffRequest
from solver.takeoff import take_off
from tests.api.cli.cli_run import run, write

STYLE: dict[str, Any] = {
    "name": "Knotless with curls",
    "technique": "knotless",
    "size": "large",
    "length_cm": 75,
    "parting": {
        "sections": [
            {"name": "front-left", "rows": [2, 2, 2, 4]},
            {"name": "front-right", "mirror_of": "front-left"},
            {"name": "back", "pattern": {"first": [3, 4], "rows": 7}},
        ]
    },
    "curls": {"placement": "along", "per_braid": 4},
}


def test_a_person_reads_braids_odds_crews_hair_and_cautions(tmp_path: Path) -> None:
    ran = run("take-off", write(tmp_path, {"style": STYLE}))
    assert ran.code == 0
    assert ran.err == ""
    for words in ("44 braids", "P80", "lead with 1 assistant", "Kinky fill hair", "!"):
        assert words in ran.out


def test_a_machine_reads_the_take_off_that_the_solver_gives(tmp_path: Path) -> None:
    ran = run("take-off", write(tmp_path, {"style": STYLE}), "--json")
    expected = take_off(TakeOffRequest.model_validate({"style": STYLE}))
    assert ran.code == 0
    assert TakeOff.model_validate(ran.json) == expected


def test_standard_input_is_a_file_too() -> None:
    ran = run("take-off", "-", "--json", stdin=json.dumps({"style": STYLE}).encode())
    assert ran.code == 0
    assert ran.json["braids"] == 44


def test_words_that_look_like_markup_are_shown_as_they_are(tmp_path: Path) -> None:
    ran = run("take-off", write(tmp_path, {"style": {**STYLE, "name": "[red]x[/red] é"}}))
    assert "[red]x[/red] é" in ran.out


def without(field: str) -> dict[str, Any]:
    return {key: value for key, value in STYLE.items() if key != field}


def with_rows(rows: object) -> dict[str, Any]:
    style = copy.deepcopy(STYLE)
    style["parting"]["sections"][0]["rows"] = rows
    return style


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        ([], ""),
        ({}, "/style"),
        ({"style": without("technique")}, "/style/technique"),
        ({"style": {**STYLE, "length_cm": "75"}}, "/style/length_cm"),
        ({"style": {**STYLE, "length_cm": -1}}, "/style/length_cm"),
        ({"style": {**STYLE, "lenght": 75}}, "/style/lenght"),
        ({"style": {**STYLE, "technique": "Knotless!"}}, "/style/technique"),
        ({"style": {**STYLE, "technique": "macrame"}}, "/style/technique"),
        ({"style": {**STYLE, "size": "enormous"}}, "/style/size"),
        ({"style": {**STYLE, "braids": 44}}, "/style"),  # the parting counts them already
        ({"style": {**STYLE, "curls": {"per_braid": 4}}}, "/style/curls"),
        ({"style": with_rows([2, 0])}, "/style/parting/sections/0/rows/1"),
        ({"style": with_rows([2.5])}, "/style/parting/sections/0/rows/0"),
        ({"style": with_rows(4)}, "/style/parting/sections/0/rows"),
        ({"style": STYLE, "percentile": 100}, "/percentile"),
        ({"style": STYLE, "pace": None}, "/pace"),
        ({"style": STYLE, "rates": [{"code": "no-such-rate", "value": 1}]}, "/rates/0/code"),
        ('{"style": {"name": NaN}}', "/style/name"),
        ('{"style": 1, "style": 2}', "/style"),
    ],
)
def test_bad_input_is_refused_with_its_pointer(
    tmp_path: Path, document: object, pointer: str
) -> None:
    ran = run("take-off", write(tmp_path, document))
    assert (ran.code, ran.out) == (2, "")
    assert f"  {pointer or '(root)'}: " in ran.err
    assert "Traceback" not in ran.err


def test_json_asked_for_and_refused_leaves_standard_output_empty(tmp_path: Path) -> None:
    ran = run("take-off", write(tmp_path, {}), "--json")
    assert (ran.code, ran.out) == (2, "")


@pytest.mark.parametrize("arguments", [[], ["a", "b"], ["--nonsense"], ["--json"]])
def test_a_command_that_cannot_be_read_is_bad_input(arguments: list[str]) -> None:
    ran = run("take-off", *arguments)
    assert (ran.code, ran.out) == (2, "")
