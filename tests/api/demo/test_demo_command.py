"""`partline demo` from end to end, once, by way of its own HTTP service."""

from __future__ import annotations

import re
import socket
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from api.demo.folder import FILE
from api.demo.studio import CHAIRS, STAFF
from tests.api.cli.cli_run import Ran, run

MONDAY = "2026-11-30"
TITLES = (
    "1. Take-off",
    "2. Openings",
    "3. A day planned",
    "4. Chair utilisation",
    "5. Hair demand",
)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Ran, Path]:
    folder = tmp_path_factory.mktemp("demo")
    ran = run(
        *("demo", "--no-serve", "--port", "0", "--folder", folder),
        *("--from", MONDAY, "--seconds", "3"),
    )
    return ran, folder


def test_it_ends_well(told: tuple[Ran, Path]) -> None:
    ran, _ = told
    assert (ran.code, "Traceback" in ran.err) == (0, False), ran.err


def test_it_tells_a_take_off_with_odds_crews_hair_and_cautions(told: tuple[Ran, Path]) -> None:
    out = told[0].out
    for words in ("44 braids", "P80", "lead with 1 assistant", "bulk", "packs", "! "):
        assert words in out


def test_it_tells_where_the_parting_can_be_seen_and_saves_no_drawing(
    told: tuple[Ran, Path],
) -> None:
    ran, folder = told
    address = r"^Parting map: http://127\.0\.0\.1:\d+/v1/styles/knotless-waist-curls/parting-map$"
    assert re.search(address, ran.out, re.MULTILINE)
    assert [file.name for file in folder.iterdir() if not file.name.startswith(FILE)] == []


def test_it_tells_three_openings_with_crew_and_reasons(told: tuple[Ran, Path]) -> None:
    chapter = _chapter(told[0].out, 2)
    offers = re.findall(r"^[123]\. \w{3} \d+ \w{3} \d\d:\d\d-\d\d:\d\d .*$", chapter, re.MULTILINE)
    names = [person.name for person in STAFF]
    assert len(offers) == 3
    assert all(any(name in offer for name in names) for offer in offers)
    assert len(re.findall(r"^   - \S", chapter, re.MULTILINE)) >= 3
    assert "CONFIRMED" in chapter


def test_it_tells_a_planned_day_with_a_break_for_everybody_on_shift(
    told: tuple[Ran, Path],
) -> None:
    chapter = _chapter(told[0].out, 3)
    people = chapter[chapter.index("own work") :]
    rows = re.findall(r"^\w+ +(?:lead|assistant) +\d\d:\d\d-.*$", people, re.MULTILINE)
    assert len(rows) >= 8
    assert all("meal" in row for row in rows)
    assert "gap" in chapter
    assert "Nomi" in chapter


def test_it_tells_the_iso_weeks_utilisation_of_every_chair(told: tuple[Ran, Path]) -> None:
    chapter = _chapter(told[0].out, 4)
    assert "2026-W49" in chapter  # ISO 8601: 30 November 2026 is a Monday of week 49
    for chair in CHAIRS:
        row = re.search(rf"^{chair.name} .* (\d+) %", chapter, re.MULTILINE)
        assert row is not None
        assert int(row[1]) > 0


def test_the_book_is_well_filled_but_not_full(told: tuple[Ran, Path]) -> None:
    chapter = _chapter(told[0].out, 4)
    whole = re.search(r"^all .* (\d+) %", chapter, re.MULTILINE)
    assert whole is not None
    assert 50 <= int(whole[1]) <= 80


def test_it_tells_the_hair_of_each_day_and_what_to_order_by_when(told: tuple[Ran, Path]) -> None:
    chapter = _chapter(told[0].out, 5)
    assert len(re.findall(r"^(Mon|Tue|Wed|Thu|Fri|Sat) \d+ \w{3} ", chapter, re.MULTILINE)) >= 12
    assert "order by" in chapter
    assert "short on" in chapter


def test_its_book_is_kept_in_the_folder(told: tuple[Ran, Path]) -> None:
    with closing(sqlite3.connect(told[1] / FILE)) as connection:
        tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
    assert "alembic_version" in tables


def test_no_line_is_wider_than_80_columns(told: tuple[Ran, Path]) -> None:
    assert max(map(len, told[0].out.splitlines())) <= 80


def _chapter(out: str, number: int) -> str:
    starts = [out.index(f"\n{title}") for title in TITLES] + [len(out)]
    return out[starts[number - 1] : starts[number]]


def test_a_port_in_use_is_a_sentence_and_the_folder_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text("kept")
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        ran = run("demo", "--no-serve", "--port", str(port), "--folder", tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert f"port {port} is in use" in ran.err
    assert (tmp_path / FILE).read_text() == "kept"


def test_a_folder_that_cannot_be_written_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "taken").touch()
    ran = run("demo", "--no-serve", "--port", "0", "--folder", tmp_path / "taken")
    assert (ran.code, ran.out) == (2, "")
    assert "--folder" in ran.err
    assert "Traceback" not in ran.err


def test_an_old_database_of_somebody_else_is_a_sentence(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / FILE)) as connection:
        connection.execute("CREATE TABLE theirs (x)")
        connection.commit()
    ran = run("demo", "--no-serve", "--port", "0", "--folder", tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert "left alone" in ran.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--port", "70000"], "--port"),
        (["--seconds", "0"], "--seconds"),
        (["--seed", "-3"], "--seed"),
        (["--from", "soon"], "--from"),
        (["--nonsense"], "--nonsense"),
        (["extra"], "extra"),
    ],
)
def test_a_bad_option_is_named(tmp_path: Path, arguments: list[str], words: str) -> None:
    ran = run("demo", "--no-serve", "--folder", tmp_path, *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert words in ran.err
    assert not (tmp_path / FILE).exists()
