"""`partline check FILE`: every breach of the rules in force, by a plan against its day book."""

from __future__ import annotations

from typing import Annotated

import typer

from api.cli.documents import as_document, read_document, read_json, spoken
from api.cli.options import File, Json
from api.cli.outlet import Outlet
from api.cli.planning import sensible, sound_book
from api.cli.refusal import NO, RefusalError
from api.cli.tables.findings import findings_blocks
from schemas.check import CheckRequest
from schemas.daybook import DayBook
from schemas.plan import Plan, PlanResult
from solver.checker import check as judge


def check(
    file: File,
    plan: Annotated[
        str | None,
        typer.Option(
            "--plan",
            metavar="PLANFILE",
            help="A plan, or what plan --json answered. FILE is then a day-book.",
        ),
    ] = None,
    machine: Json = False,
) -> None:
    """Check a plan against its day book. FILE is a check-request: day_book and plan together.

    Exit code 1: a hard rule is broken.
    """
    outlet = Outlet(machine)
    request = _request(file, plan)
    book = sound_book(request.day_book, file, "" if plan else "/day_book")
    with sensible(plan or file, "" if plan else "/plan"):
        findings = judge(book, request.plan)
    if machine:
        outlet.json(findings)
    else:
        outlet.show(*findings_blocks(findings))
    if any(finding.hard for finding in findings):
        raise typer.Exit(NO)


def _request(file: str, plan: str | None) -> CheckRequest:
    if plan is None:
        data = read_json(file)
        if isinstance(data, dict) and "chairs" in data and "day_book" not in data:
            raise RefusalError(
                f"{spoken(file)} is a day book without its plan; name the plan with --plan PLANFILE"
            )
        return as_document(data, CheckRequest, file)
    if plan == file == "-":
        raise RefusalError("standard input cannot be both the day book and the plan; name a file")
    return CheckRequest(day_book=read_document(file, DayBook), plan=_plan(plan))


def _plan(file: str) -> Plan:
    data = read_json(file)
    if not (isinstance(data, dict) and "status" in data):
        return as_document(data, Plan, file)
    answered = as_document(data, PlanResult, file).plan
    if answered is None:
        raise RefusalError(f"{file} holds no plan: the solve that wrote it found none")
    return answered
