"""The top level holds what the guide says it holds, and nothing committed names a machine."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOP_LEVEL = {
    "DEVELOPERS.md",
    "README.md",
    "api",
    "deploy",
    "docker-compose.yml",
    "pyproject.toml",
    "schemas",
    "solver",
    "tests",
}


def tracked() -> list[str]:
    try:
        listing = subprocess.run(
            ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
        )
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("not a git checkout: there is no list of committed files")
    return listing.stdout.splitlines()


def test_the_top_level_is_exactly_what_the_guide_names() -> None:
    visible = {name.split("/")[0] for name in tracked() if not name.startswith(".")}
    assert visible == TOP_LEVEL


def test_no_committed_file_names_a_path_of_one_machine() -> None:
    machine = re.compile(r"(?<![\w.])/(?:work|home|Users)/\w|/root/")
    guilty = [
        name
        for name in tracked()
        if not name.startswith("api/static/")
        and (ROOT / name).is_file()
        and machine.search((ROOT / name).read_text(errors="replace"))
        and name != Path(__file__).relative_to(ROOT).as_posix()
    ]
    assert guilty == []


def test_no_python_file_outgrows_its_purpose() -> None:
    long = {
        name: lines
        for name in tracked()
        if name.endswith(".py")
        and (ROOT / name).is_file()
        and (lines := len((ROOT / name).read_text().splitlines())) > 500
    }
    assert long == {}
