"""Findings for people: which rule, who and when, and the remedy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

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
    text = Text()
    text.append(f"{mark} {finding.rule}", style=f"bold {style}")
    if not finding.hard:
        text.append(f"  (cost {finding.cost})", style="dim")
    text.append(f"\n  {finding.detail}")
    text.append(f"\n  remedy: {finding.remedy}", style="dim")
    return Padding(text, (0, 0, 0, 1))


def _count(hard: int, soft: int) -> str:
    broken = f"{hard} hard rule{'s' if hard != 1 else ''} broken" if hard else "no hard rule broken"
    return f"{broken}, {soft} soft rule{'s' if soft != 1 else ''} bent" if soft else broken
