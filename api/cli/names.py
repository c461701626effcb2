"""The documents by the names that `partline schema` knows them by."""

from __future__ import annotations

from pydantic import BaseModel

from schemas.check import CheckRequest
from schemas.daybook import DayBook
from schemas.explanations import Explanation
from schemas.openings import OpeningsAnswer, OpeningsQuestion
from schemas.plan import Plan, PlanResult
from schemas.problems import Problem
from schemas.repair import RepairRequest, RepairResult
from schemas.reports import ChairUtilisation, HairDemand
from schemas.rules import Finding, RuleDescription, RuleSetting
from schemas.style import MenuEntry, Style
from schemas.takeoff import Rate, TakeOff, TakeOffRequest

DOCUMENTS: dict[str, tuple[type[BaseModel], str]] = {
    "take-off-request": (TakeOffRequest, "FILE of take-off"),
    "take-off": (TakeOff, "answer of take-off --json"),
    "day-book": (DayBook, "FILE of plan, openings and why-not"),
    "plan-result": (PlanResult, "answer of plan --json"),
    "plan": (Plan, "the plan inside a plan-result"),
    "check-request": (CheckRequest, "FILE of check"),
    "finding": (Finding, "check --json answers with a list of these"),
    "openings-question": (OpeningsQuestion, "body of POST /v1/openings"),
    "openings-answer": (OpeningsAnswer, "openings --json answers with a list of these"),
    "explanation": (Explanation, "answer of why-not --json"),
    "repair-request": (RepairRequest, "FILE of repair"),
    "repair-result": (RepairResult, "answer of repair --json"),
    "style": (Style, "the style inside a take-off-request"),
    "menu-entry": (MenuEntry, "a line of the style menu"),
    "rule-setting": (RuleSetting, "a rule of the house, inside a day book"),
    "rule-description": (RuleDescription, "rules --json answers with a list of these"),
    "rate": (Rate, "rates --json answers with a list of these"),
    "chair-utilisation": (ChairUtilisation, "the weekly report of the chairs"),
    "hair-demand": (HairDemand, "the report of hair by day"),
    "problem": (Problem, "every refusal of the API (RFC 9457)"),
}

ALIASES = {
    "check": "check-request",
    "daybook": "day-book",
    "openings": "openings-answer",
    "takeoff": "take-off",
}
