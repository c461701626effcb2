"""`partline take-off FILE`."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from api.cli.tables.money import money
from schemas.takeoff import Rate, TakeOff, TakeOffRequest
from solver.takeoff import house_rates, take_off
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


def test_an_explanation_adds_up_and_names_the_rates(tmp_path: Path) -> None:
    ran = run("take-off", write(tmp_path, {"style": STYLE}), "--explain")
    assert (ran.code, ran.err) == (0, "")
    for words in ("line by line", "parting-row (house)", "per-cm-knotless", "= back: 3 + 4"):
        assert words in ran.out
    assert "line by line" not in run("take-off", write(tmp_path, {"style": STYLE})).out


def test_the_explanation_is_in_the_json_too(tmp_path: Path) -> None:
    file = write(tmp_path, {"style": STYLE})
    explained = run("take-off", file, "--explain", "--json").json
    assert sum(line["amount"] for line in explained["lines"]) == pytest.approx(
        explained["minutes"]["mean"]
    )
    assert any(sentence.startswith("back: 3 + 4") for sentence in explained["reckoning"])


def test_the_price_of_the_hair_states_its_currency(tmp_path: Path) -> None:
    ran = run("take-off", write(tmp_path, {"style": STYLE}))
    (price,) = run("take-off", write(tmp_path, {"style": STYLE}), "--json").json["hair_prices"]
    assert f"{price['price'] / 100:.2f} {price['currency']}" in ran.out


def test_a_short_shelf_draws_substitutes(tmp_path: Path) -> None:
    stock = [
        {"material": "fill-kinky-black-30", "on_hand_grams": 100},
        {"material": "fill-kinky-black-36", "on_hand_grams": 900},
    ]
    ran = run("take-off", write(tmp_path, {"style": STYLE, "stock": stock}))
    assert "~ Kinky fill hair, black, 30 in. is 322 g short." in ran.out
    assert "on the shelf" in ran.out


def test_the_parting_is_drawn_into_a_file(tmp_path: Path) -> None:
    drawing = tmp_path / "parting.svg"
    ran = run("take-off", write(tmp_path, {"style": STYLE}), "--map", drawing)
    assert ran.code == 0
    assert "parting.svg" in ran.err
    assert ElementTree.parse(drawing).getroot().tag.endswith("svg")  # noqa: S314  our own image


@pytest.mark.parametrize("name", ["style.json", "nowhere/parting.svg", "folder.svg", "\0.svg"])
def test_a_map_that_cannot_be_written_is_a_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder.svg").mkdir()
    file = write(tmp_path, {"style": STYLE})
    before = Path(file).read_text()
    ran = run("take-off", file, "--map", f"{tmp_path}/{name}")
    assert (ran.code, ran.out) == (2, "")
    assert "--map" in ran.err
    assert "Traceback" not in ran.err
    assert Path(file).read_text() == before


def test_the_rates_are_listed_with_range_and_provenance() -> None:
    ran = run("rates")
    assert (ran.code, ran.err) == (0, "")
    for words in ("parting-row", "0-10", "min per row", "common-practice", "published"):
        assert words in ran.out
    listed = run("rates", "--json").json
    assert tuple(Rate.model_validate(rate) for rate in listed) == house_rates()


@pytest.mark.parametrize(
    ("amount", "currency", "words"),
    [
        (2700, "EUR", "27.00 EUR"),
        (-5, "EUR", "-0.05 EUR"),
        (2700, "XOF", "2700 XOF"),  # ISO 4217: no minor unit
        (2700, "KWD", "2.700 KWD"),  # ISO 4217: a thousandth
    ],
)
def test_money_is_told_in_the_digits_of_its_currency(
    amount: int, currency: str, words: str
) -> None:
    assert money(amount, currency) == words
