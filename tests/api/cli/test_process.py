"""`partline` as a process: files that are none, pipes that break, Ctrl-C."""

from __future__ import annotations

import json
import os
import signal
import subprocess
from pathlib import Path

import pytest

from tests.api.cli.cli_books import book
from tests.api.cli.cli_process import PARTLINE, environment, started
from tests.api.cli.cli_run import run, write
from tests.builders import a_chair, a_lead, a_request, a_shift, an_assistant

COMMANDS = ("take-off", "openings", "plan", "check")


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "is not there"),
        ("", "is empty"),
        ("{", "line 1, column 2"),
        (b"\xc3\x28", "not UTF-8"),
        ("[" * 5000, "nested too deeply"),
        ('{"a": Infinity}', "/a: must be a finite number"),
        ('{"a": 1, "a": 1}', "/a: is stated twice"),
        ("null", "(root): must be an object"),
        ("[]", "(root): must be an object"),
        ('"text"', "(root): must be an object"),
    ],
)
def test_a_file_that_is_no_document_is_bad_input(
    tmp_path: Path, command: str, content: str | bytes | None, words: str
) -> None:
    file = tmp_path / "none.json" if content is None else write(tmp_path, content)
    ran = run(command, file)
    assert (ran.code, ran.out) == (2, "")
    assert words in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize("command", COMMANDS)
def test_a_folder_is_bad_input(tmp_path: Path, command: str) -> None:
    ran = run(command, tmp_path)
    assert ran.code == 2
    assert "is a folder" in ran.err


def test_a_reader_that_leaves_early_is_not_told_about_it() -> None:
    with started("schema", "day-book") as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == ""
        assert process.wait(30) == 141  # 128 + SIGPIPE, as a shell tells it


@pytest.mark.parametrize("command", ["rules", "schema"])
def test_a_full_disk_is_a_sentence(command: str) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*PARTLINE, command],
            stdout=full,
            stderr=subprocess.PIPE,
            env=environment(),
            check=False,
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr == (b"partline: the answer cannot be written (No space left on device)\n")


def test_a_terminal_without_accents_gets_question_marks(tmp_path: Path) -> None:
    style = {"name": "été", "technique": "knotless", "size": "large", "length_cm": 60}
    done = subprocess.run(
        [*PARTLINE, "take-off", str(write(tmp_path, {"style": style}))],
        capture_output=True,
        env=environment(PYTHONIOENCODING="ascii"),
        check=False,
        timeout=60,
    )
    assert done.returncode == 0
    assert b"?t?" in done.stdout


def hard_day() -> dict[str, object]:
    leads = [a_lead(f"lead-{n}", pace=0.9 + n / 20) for n in range(5)]
    staff = (*leads, *(an_assistant(f"assistant-{n}") for n in range(4)))
    return book(
        *(a_request(f"request-{n}", 100 + 15 * (n % 9)) for n in range(20)),
        staff=staff,
        shifts=tuple(a_shift(person.id) for person in staff),
        chairs=tuple(a_chair(f"chair-{n}") for n in range(6)),
    )


def test_ctrl_c_gives_the_best_plan_so_far_with_130(tmp_path: Path) -> None:
    ours, theirs = os.openpty()  # a terminal for standard error, which gets a progress bar
    file, plan = write(tmp_path, hard_day()), tmp_path / "plan.json"
    with (
        plan.open("wb") as out,
        subprocess.Popen(
            [*PARTLINE, "plan", str(file), "--seconds", "60", "--json"],
            stdout=out,
            stderr=theirs,
            env=environment(TERM="xterm"),
        ) as process,
    ):
        os.close(theirs)
        err = _read_until(ours, b"planning 2026-12-01")
        err += _read_until(ours, b"gap ")
        process.send_signal(signal.SIGINT)
        err += _read_until(ours, None)
    os.close(ours)
    assert process.returncode == 130
    assert b"best so far" in err
    assert b"Traceback" not in err
    assert b"terminate" not in err
    assert json.loads(plan.read_text())["status"] == "feasible"
    assert run("check", file, "--plan", plan).code == 0


def _read_until(terminal: int, words: bytes | None) -> bytes:
    """What comes until `words` have come, or until the other side hangs up."""
    seen = b""
    while words is None or words not in seen:
        try:
            more = os.read(terminal, 4096)
        except OSError:  # Linux says so when the last writer is gone
            break
        if not more:
            break
        seen += more
    return seen


def test_machine_output_is_one_json_document_in_a_pipe(tmp_path: Path) -> None:
    style = {"name": "x", "technique": "knotless", "size": "large", "length_cm": 60}
    done = subprocess.run(
        [*PARTLINE, "take-off", "-", "--json"],
        input=json.dumps({"style": style}).encode(),
        capture_output=True,
        env=environment(),
        check=False,
        timeout=60,
    )
    assert done.returncode == 0
    assert json.loads(done.stdout)["style"] == "x"
