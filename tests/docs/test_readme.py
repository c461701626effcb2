"""What the README shows is what the commands beside it print."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from litestar.testing import TestClient

from api.app import create_app
from api.settings import Settings

README = (Path(__file__).parents[2] / "README.md").read_text()
SHOWN = dict(re.findall(r"<!-- output of: (.+?) -->\n```text\n(.*?)\n```", README, re.DOTALL))
PARTLINE = [sys.executable, "-c", "from api.cli import main; main()"]


def partline(arguments: list[str], folder: Path) -> str:
    done = subprocess.run(
        [*PARTLINE, *arguments],
        cwd=folder,
        env={**os.environ, "COLUMNS": "92", "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the two documents, made by the README's own commands."""
    place = tmp_path_factory.mktemp("readme")
    made = re.findall(r"^partline (example .+?) > (\S+)$", README, re.MULTILINE)
    assert [file for _, file in made] == ["style.json", "day-book.json"]
    for command, file in made:
        (place / file).write_text(partline(shlex.split(command), place))
    return place


def test_the_readme_shows_a_take_off_openings_and_a_planned_day() -> None:
    assert [command.split()[1] for command in SHOWN] == ["take-off", "openings", "plan"]


@pytest.mark.parametrize("command", SHOWN)
def test_what_the_readme_shows_is_what_the_command_prints(command: str, folder: Path) -> None:
    arguments = shlex.split(command)[1:]
    if arguments[0] in {"openings", "plan"}:
        arguments += ["--seconds", "120"]  # a slow machine needs longer for the same proof
    printed = partline(arguments, folder)
    assert "\n".join(line.rstrip() for line in printed.splitlines()).strip("\n") == SHOWN[command]


@pytest.fixture(scope="module")
def described(tmp_path_factory: pytest.TempPathFactory) -> set[tuple[str, str]]:
    file = tmp_path_factory.mktemp("described") / "salon.sqlite"
    with TestClient(create_app(Settings(database=f"sqlite:///{file}"))) as client:
        paths = client.get("/schema/openapi.json").json()["paths"]
    return {
        (path, verb.upper())
        for path, operations in paths.items()
        for verb in operations
        if verb in {"get", "post", "put", "patch", "delete"}
    }


def test_the_api_table_names_every_path_and_verb(described: set[tuple[str, str]]) -> None:
    rows = re.findall(r"^\| `(/v1/[^`]+)` \| (.+) \|$", README, re.MULTILINE)
    shown = {(path, verb) for path, text in rows for verb in re.findall(r"\b[A-Z]{3,6}\b", text)}
    assert shown == described
