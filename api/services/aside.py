"""Solves in processes of their own, so that what is long never holds up what is short.

The search of CP-SAT lets other threads of Python run; the rest of the solver does not, and on a
large day it is most of the time. Beside such a day in a thread, the p95 of a small request was six
times that of an idle service; with the day in a process it is about the same
(`tests.benchmarks.stall`).

A process is forked for each solve from one that has loaded the solver and nothing else. It ends
with its solve, or as soon as the process that asked is gone.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
import threading
import time
import traceback
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from multiprocessing import forkserver
from multiprocessing.connection import Connection
from typing import Any, Generic, Protocol, TypeVar

from solver.model.progress import OnProgress, Progress, Stop

T_co = TypeVar("T_co", covariant=True)
T = TypeVar("T")
_GLANCE = 0.05
"""Seconds between two looks at whether the solve is to end."""
_PATIENCE = 15.0
"""Seconds that a solve may take to end when it is told to."""
_context = multiprocessing.get_context("forkserver")
_context.set_forkserver_preload(["solver.plan", "solver.repair", "solver.explain"])


class Call(Protocol, Generic[T_co]):
    """What is to be solved. It can be pickled, and so can what it gives and raises."""

    def __call__(self, stop: Stop, hear: OnProgress) -> T_co: ...


class SolverDiedError(Exception):
    """The process of a solve ended without an answer: it was killed, or ran out of memory."""


class _ThereError(Exception):
    """Where in the other process an error came from."""

    def __str__(self) -> str:
        return f"in the process of the solve:\n{self.args[0]}"


def nobody(_: Progress) -> None:
    """Hears nothing."""


class Aside:
    """So many solves at a time; others wait for their turn."""

    def __init__(self, at_once: int) -> None:
        self.at_once = at_once
        self.turn = asyncio.Semaphore(at_once)
        # Threads of its own: those of the loop answer the short questions of everybody else.
        self.threads = ThreadPoolExecutor(at_once, thread_name_prefix="aside")

    async def ask(
        self, call: Call[T], stopped: asyncio.Event, hear: OnProgress = nobody
    ) -> T | None:
        """What `call` gives; None where `stopped` is set before its turn has come.

        `hear` is called in a thread. Raises SolverDiedError, or what `call` raises.
        """
        if not await self._has_its_turn(stopped):
            return None
        try:
            loop = asyncio.get_running_loop()
            return await loop.run_in_executor(self.threads, _talk, call, stopped.is_set, hear)
        except asyncio.CancelledError:
            stopped.set()
            raise
        finally:
            self.turn.release()

    def close(self) -> None:
        """Take no more. Who asked says by its event that what is under way is to end."""
        self.threads.shutdown(wait=False)

    async def _has_its_turn(self, stopped: asyncio.Event) -> bool:
        turn = asyncio.create_task(self.turn.acquire())
        stop = asyncio.create_task(stopped.wait())
        try:
            await asyncio.wait((turn, stop), return_when=asyncio.FIRST_COMPLETED)
        finally:
            stop.cancel()
            # Does nothing to a turn that is had already.
            turn.cancel()
        if not turn.done() or turn.cancelled():
            return False
        if stopped.is_set():
            self.turn.release()
            return False
        return True


def warm() -> None:
    """Begin to load the solver into the process that others are forked from."""
    forkserver.ensure_running()


def _talk(call: Call[T], is_stopped: Stop, hear: OnProgress) -> T:
    """Have `call` solved in a process, from a thread of this one."""
    ours, theirs = _context.Pipe()
    process = _context.Process(target=_solve, args=(theirs, call), daemon=True)
    process.start()
    theirs.close()
    try:
        kind, what, where = _last_word(ours, is_stopped, hear)
    except (EOFError, OSError) as gone:
        raise SolverDiedError("the process of the solve ended without an answer") from gone
    finally:
        ours.close()
        process.join(1)
        if process.is_alive():
            process.kill()
            process.join()
        process.close()
    if kind == "failed":
        raise what from _ThereError(where)
    answer: T = what
    return answer


def _last_word(ours: Connection, is_stopped: Stop, hear: OnProgress) -> tuple[str, Any, str]:
    until = float("inf")
    while time.monotonic() < until:
        if until == float("inf") and is_stopped():
            until = time.monotonic() + _PATIENCE
            with suppress(OSError):
                ours.send(None)
        if ours.poll(_GLANCE):
            kind, what, where = ours.recv()
            if kind != "heard":
                return kind, what, where
            hear(what)
    raise EOFError


def _solve(theirs: Connection, call: Call[Any]) -> None:
    """What the process does."""
    # Ctrl-C reaches every process of a terminal: this one is told by the one that asked.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Where cores are few, requests go first.
    os.nice(5)
    stop, one_at_a_time = threading.Event(), threading.Lock()

    def tell(kind: str, what: Any, where: str = "") -> None:
        with one_at_a_time, suppress(OSError):
            theirs.send((kind, what, where))

    threading.Thread(target=_listen, args=(theirs, stop), daemon=True).start()
    try:
        answer = call(stop.is_set, lambda progress: tell("heard", progress))
    except Exception as error:  # whatever it was, who asked must hear of it
        tell("failed", error, traceback.format_exc())
    else:
        tell("done", answer)


def _listen(theirs: Connection, stop: threading.Event) -> None:
    """The wish to stop; and the end of the process that asked, which ends this one."""
    with suppress(EOFError, OSError):
        while True:
            theirs.recv()
            stop.set()
    os._exit(1)
