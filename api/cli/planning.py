"""What the commands ask of the solver, with refusals, a progress bar and Ctrl-C."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Generic, TypeVar

import typer
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from api.cli.documents import spoken
from api.cli.outlet import Outlet
from api.cli.refusal import INTERRUPTED, NO, RefusalError
from schemas.daybook import DayBook
from schemas.plan import PlanResult
from solver import plan as solver_plan
from solver.cross_check import cross_check
from solver.errors import Fault, InputError
from solver.model.progress import OnProgress, Stop
from solver.takeoff.work import with_work

R = TypeVar("R")

_PATIENCE = 10.0
"""Seconds for a solve to end once it is told to stop; it takes a fraction of one."""


@contextmanager
def sensible(file: str, base: str = "") -> Iterator[None]:
    """Turn what the solver refuses into a refusal that names `file`; `base` leads its pointers."""
    try:
        yield
    except InputError as error:
        raise RefusalError(
            f"{spoken(file)} contradicts itself; correct the fields below",
            [Fault(base + fault.pointer, fault.detail) for fault in error.faults],
        ) from None


def sound_book(book: DayBook, file: str, base: str = "") -> DayBook:
    """`book` checked against itself and with the work of every visit. Raises RefusalError."""
    with sensible(file, base):
        worked = with_work(book)
        cross_check(worked)
        return worked


@dataclass(frozen=True)
class Watched(Generic[R]):
    """An answer; one that was interrupted is the best there was when Ctrl-C came."""

    answer: R
    interrupted: bool = False

    def leave(self, *, no: bool) -> None:
        """Leave with the exit code of an answer, which is a no or is not."""
        if self.interrupted:
            raise typer.Exit(INTERRUPTED)
        if no:
            raise typer.Exit(NO)


def solve(
    outlet: Outlet, book: DayBook, seconds: float, seed: int, file: str
) -> Watched[PlanResult]:
    """Plan the days of `book`, showing progress on standard error. Raises RefusalError."""

    def plan(on_progress: OnProgress, stop: Stop) -> PlanResult:
        return solver_plan.plan_days(
            book, seconds=seconds, seed=seed, on_progress=on_progress, stop=stop
        )

    return watched(outlet, "planning", plan, file)


def watched(
    outlet: Outlet, doing: str, call: Callable[[OnProgress, Stop], R], file: str
) -> Watched[R]:
    """What `call` gives, with a progress bar on standard error. Raises RefusalError.

    The solve runs beside the main thread, which stays free to hear Ctrl-C: the first asks for the
    best so far, a second leaves without it.
    """
    stop, ended = threading.Event(), threading.Event()
    given: list[R] = []
    failed: list[BaseException] = []
    with progress_bar(outlet) as bar:
        task = bar.add_task(doing, total=1.0, gap="")

        def on_progress(progress: solver_plan.Progress) -> None:
            words = f"{doing} {progress.day}, {progress.tier}: {progress.value}"
            gap = f"gap {100 * progress.gap:.1f} %"
            bar.update(task, completed=progress.fraction, description=words, gap=gap)

        def work() -> None:
            try:
                given.append(call(on_progress, stop.is_set))
            except BaseException as error:  # handed over to the main thread
                failed.append(error)
            finally:
                ended.set()

        threading.Thread(target=work, daemon=True).start()
        interrupted = _waited(ended, stop)
    if interrupted:
        outlet.note("Stopped: this is the best so far.")
    with sensible(file):
        if failed:
            raise failed[0]
    return Watched(given[0], interrupted)


def progress_bar(outlet: Outlet) -> Progress:
    """A bar with the gap, on standard error, gone when done; nothing where nobody watches."""
    return Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[gap]}"),
        TimeElapsedColumn(),
        console=outlet.err,
        transient=True,
        disable=not outlet.lively,
    )


def _waited(ended: threading.Event, stop: threading.Event) -> bool:
    """Wait for the end; whether Ctrl-C hurried it."""
    try:
        # Not Thread.join: when Ctrl-C interrupts it, Python 3.11 takes the thread for ended.
        while not ended.wait(0.1):
            pass
    except KeyboardInterrupt:
        stop.set()
        if not ended.wait(_PATIENCE):
            raise
        return True
    return False
