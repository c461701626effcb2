"""`partline repair FILE`: the day after what happened, and who must be told what."""

from __future__ import annotations

from typing import Annotated

import typer

from api.cli.documents import read_document
from api.cli.options import File, Json, Seed
from api.cli.outlet import Outlet
from api.cli.planning import sound_book, watched
from api.cli.tables.findings import findings_blocks
from api.cli.tables.repair import repair_tables
from schemas.repair import RepairRequest, RepairResult
from solver.model.progress import OnProgress, Stop
from solver.repair import repair as mend


def repair(
    file: File,
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.1, max=3600, help="Time for it all, in seconds.")
    ] = 5.0,
    seed: Seed = 1,
    machine: Json = False,
) -> None:
    """Repair a running day. FILE is a repair-request: day_book, plan, events, now.

    Exit code 1: a promise must be renegotiated, or there is no repaired plan.
    Ctrl-C gives the best so far, with exit code 130.
    """
    outlet = Outlet(machine)
    request = read_document(file, RepairRequest)
    book = sound_book(request.day_book, file, "/day_book")

    def mended(on_progress: OnProgress, stop: Stop) -> RepairResult:
        return mend(
            book,
            request.plan,
            request.events,
            request.now,
            seconds=seconds,
            seed=seed,
            on_progress=on_progress,
            stop=stop,
        )

    done = watched(outlet, "repairing", mended, file)
    result = done.answer
    if machine:
        outlet.json(result)
    else:
        outlet.show(*repair_tables(result))
        if result.plan is None or result.findings:
            outlet.show(*findings_blocks(result.findings))
    done.leave(no=result.plan is None or bool(result.renegotiate))
