"""The commands: every one is there, and each is loaded by itself."""

from __future__ import annotations

import subprocess
from importlib.resources import files

import pytest

from api.cli.app import COMMANDS
from tests.api.cli.cli_process import PARTLINE, environment
from tests.api.cli.cli_run import run


def test_every_command_module_is_a_command() -> None:
    modules = {file.name.removesuffix(".py") for file in files("api.cli.commands").iterdir()}
    modules = {name for name in modules if not name.startswith("__")}
    assert {name.replace("-", "_") for name in COMMANDS} == modules


@pytest.mark.parametrize("arguments", [("--help",), ()])
def test_the_help_names_every_command(arguments: tuple[str, ...]) -> None:
    ran = run(*arguments)
    words = (ran.out + ran.err).split()
    assert set(COMMANDS) <= set(words)


@pytest.mark.parametrize("arguments", [("tak-off",), ("--json", "plan"), ("x", "plan")])
def test_a_command_that_is_none_is_bad_input(arguments: tuple[str, ...]) -> None:
    assert run(*arguments).code == 2


def test_a_command_that_needs_no_solver_does_not_load_it() -> None:
    # CPython lists every module it loads on standard error (docs: -X importtime).
    done = subprocess.run(
        [PARTLINE[0], "-X", "importtime", *PARTLINE[1:], "rules", "--json"],
        capture_output=True,
        env=environment(),
        check=True,
        timeout=120,
    )
    loaded = {line.split("|")[-1].strip() for line in done.stderr.decode().splitlines()}
    assert "solver.rules" in loaded
    assert not loaded & {"ortools", "litestar", "sqlalchemy"}
