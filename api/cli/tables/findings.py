"""Findings for people: which rule, who and when, and the remedy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from api.cli.tables.words import indented
from schemas.rules import Finding


def findings_blocks(findings: Sequence[Finding]) -> Iterator[RenderableType]:
    """Hard findings first; one sentence where there is none."""
    if not findings:
        yield Text("No findings: every rule in force is kept.", style="green")
        return
    hard = [finding for finding in findings if finding.hard]
    soft = [finding for finding in findings if not finding.hard]
    yield Text(_count(len(hard), len(soft)), style="bold red" if hard else "bold yellow")
    for finding in (*hard, *soft):
        yield finding_block(finding)


def finding_block(finding: Finding) -> RenderableType:
    mark, style = ("x", "red") if finding.hard else ("~", "yellow")
    head = Text(f"{mark} {finding.rule}", style=f"bold {style}")
    if not finding.hard:
        head.append(f"  (cost {finding.cost})", style="dim not bold")
    return Group(
        head,
        indented(finding.detail, 2),
        indented(f"remedy: {finding.remedy}", 2, style="dim"),
    )


def _count(hard: int, soft: int) -> str:
    broken = f"{hard} hard rule{'s' if hard != 1 else ''} broken" if hard else "no hard rule broken"
    return f"{broken}, {soft} soft rule{'s' if soft != 1 else ''} bent" if soft else broken
