"""Whom a rule concerns, by tag; no tags concern all."""

from __future__ import annotations

from collections.abc import Iterable

from schemas.rules import RuleSetting
from solver.model.facts import DayVisit


def concerns_visit(setting: RuleSetting, visit: DayVisit) -> bool:
    tags = setting.scope.visit_tags
    return not tags or bool(set(tags).intersection(visit.visit.tags))


def concerns_chair(setting: RuleSetting, tags: Iterable[str]) -> bool:
    """Whether a chair with these tags, or a group of chairs with them, is concerned."""
    wanted = setting.scope.chair_tags
    return not wanted or bool(set(wanted).intersection(tags))
