"""Whom a rule concerns, by tag; no tags concern all."""

from __future__ import annotations

from schemas.rules import RuleSetting
from solver.model.facts import DayVisit


def concerns_visit(setting: RuleSetting, visit: DayVisit) -> bool:
    tags = setting.scope.visit_tags
    return not tags or bool(set(tags).intersection(visit.visit.tags))
