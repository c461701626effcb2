"""The architecture's contracts hold on the tree, and each fails when a breach is planted."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ROOMS = ("api", "solver", "schemas")
CONTRACTS = {
    contract["name"]: contract
    for contract in tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"][
        "contracts"
    ]
}

# contract -> (file to plant the breach in, the breach)
BREACHES = {
    "api speaks to solver, solver to schemas, never the other way": (
        "schemas/breach.py",
        "import solver.errors",
    ),
    "only solver.model imports ortools": (
        "solver/figures/breach.py",
        "from ortools.sat.python import cp_model",
    ),
    "only the store imports SQLAlchemy": ("api/services/breach.py", "import sqlalchemy"),
    "the solver does no I/O and knows no framework": ("solver/breach.py", "import pathlib"),
    "the checker and the model it judges never meet": ("solver/checker.py", "import solver.model"),
    "the rules' checkers know nothing of the model or its time frame": (
        "solver/rules/breach.py",
        "import solver.frame",
    ),
    "pages and paths ask services, services ask ports": (
        "api/services/breach.py",
        "import api.store.engine",
    ),
}


def copied_tree(to: Path) -> Path:
    for room in ROOMS:
        shutil.copytree(
            ROOT / room, to / room, ignore=shutil.ignore_patterns("__pycache__", "static")
        )
    shutil.copy(ROOT / "pyproject.toml", to)
    return to


def lint_imports(tree: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=tree,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(tree), "COLUMNS": "200"},
    )


def test_every_contract_holds(tmp_path: Path) -> None:
    outcome = lint_imports(copied_tree(tmp_path))
    assert outcome.returncode == 0, outcome.stdout + outcome.stderr


def test_every_contract_has_a_planted_breach() -> None:
    assert set(BREACHES) == set(CONTRACTS)


@pytest.mark.parametrize("name", sorted(BREACHES))
def test_a_planted_breach_is_caught(name: str, tmp_path: Path) -> None:
    tree = copied_tree(tmp_path)
    where, breach = BREACHES[name]
    file = tree / where
    file.write_text((file.read_text() if file.exists() else "") + f"\n{breach}\n")

    outcome = lint_imports(tree)

    assert outcome.returncode == 1, outcome.stdout + outcome.stderr
    assert f"{name} BROKEN" in outcome.stdout


@pytest.mark.parametrize(
    ("room", "line", "code"),
    [
        ("solver", "import datetime\nNOW = datetime.datetime.now(datetime.UTC)\n", "TID251"),
        ("solver", "import time\nNOW = time.time()\n", "TID251"),
        ("schemas", "print('hello')\n", "T201"),
    ],
    ids=["the clock", "the other clock", "print"],
)
def test_the_linter_refuses_a_clock_or_a_print_in_the_core(
    room: str, line: str, code: str, tmp_path: Path
) -> None:
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    (tmp_path / room).mkdir()
    (tmp_path / room / "breach.py").write_text(line)

    outcome = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "--no-cache", "--output-format=concise", room],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )

    assert code in outcome.stdout
