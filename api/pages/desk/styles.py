"""A style as the desk describes it, read into a question for a take-off."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Annotated, Any, Literal, TypeVar

from pydantic import Field, ValidationError

from api.pages.forms import Answers, Filled
from api.services.errors import UnprocessableError
from schemas.quantities import StyleQuestion
from schemas.style import CurlPlacement, CurlPlan, MenuEntry, Style, StyleChange
from solver.errors import Fault
from solver.takeoff.sizes import SIZE_NAMES
from solver.takeoff.techniques import TECHNIQUES

Rows = Annotated[str, Field(max_length=200, pattern=r"^[0-9 ,;]*$")]
CURLS = {"none": "None", "along": "Along the braid", "ends": "At the ends"}
TECHNIQUE_WORDS = tuple((each.id, each.name) for each in TECHNIQUES)
SIZE_WORDS = tuple((name, name.replace("-", " ").capitalize()) for name in SIZE_NAMES)
_USUAL_CURLS = {"none": 0, "along": 4, "ends": 1}


class Described(Answers):
    """What the client wants on her head. What is left blank follows the menu, or the house."""

    menu: str | None = None
    technique: str | None = None
    size: str | None = None
    length_cm: Annotated[float, Field(gt=0, le=200)] | None = None
    braids: Annotated[int, Field(ge=1, le=2000)] | None = None
    front_rows: Rows | None = None
    back_rows: Rows | None = None
    curls: Literal["none", "along", "ends"] | None = None
    per_braid: Annotated[int, Field(ge=0, le=40)] | None = None
    take_down: bool = False
    no_wash: bool = False
    child: bool = False
    tender_scalp: bool = False
    hot_water_set: bool = False


WORDS_OF = {
    "menu": "From the menu",
    "technique": "Technique",
    "size": "Size",
    "length_cm": "Length",
    "braids": "Braids, about",
    "front_rows": "Front, each side",
    "back_rows": "Back",
    "curls": "Curls left out",
    "per_braid": "Curls on a braid",
}
"""What the form calls its fields."""
D = TypeVar("D", bound=Described)
FIELDS = {
    **{f"/{root}/{name}": name for root in ("change", "style") for name in Described.model_fields},
    "/change/parting": "front_rows",
    "/style/parting": "front_rows",
    "/change/curls": "curls",
    "/menu": "menu",
}
"""Where a take-off's faults belong among the fields."""


def question(form: Filled[D]) -> tuple[StyleQuestion | None, Filled[D]]:
    """The style that is meant; without one, the form with what is wrong said beside it."""
    said = form.read
    if said is None:
        return None, form
    missing = [name for name in ("technique", "size", "length_cm") if not getattr(said, name)]
    if said.menu is None and missing:
        return None, form.with_faults(
            dict.fromkeys(missing, "Choose a style of the menu, or say this.")
        )
    facts = _facts(said)
    try:
        if said.menu is not None:
            change = StyleChange.model_validate(facts) if facts else None
            return StyleQuestion(menu=said.menu, change=change), form
        style = Style.model_validate({"name": "As described", "technique": said.technique, **facts})
        return StyleQuestion(style=style), form
    except ValidationError as wrong:
        errors = wrong.errors(include_url=False, include_context=False)
        faults = [
            Fault(
                "".join(f"/{part}" for part in ("style", *error["loc"])),
                error["msg"].removeprefix("Value error, "),
            )
            for error in errors
        ]
        return None, form.told(faults, FIELDS)


def style_of(asked: StyleQuestion, menu: Sequence[MenuEntry]) -> tuple[Style, MenuEntry | None]:
    """The style itself, and its line of the menu where it has one.

    Raises UnprocessableError where there is none, or the changes make none of the menu's line.
    """
    if asked.style is not None:
        return asked.style, None
    entry = next((each for each in menu if each.id == asked.menu), None)
    if entry is None:
        raise UnprocessableError(Fault("/request/take_off/menu", "this is not on the menu"))
    try:
        return (
            entry.style if asked.change is None else asked.change.applied_to(entry.style)
        ), entry
    except ValidationError as wrong:
        told = wrong.errors(include_url=False)[0]["msg"].removeprefix("Value error, ")
        raise UnprocessableError(Fault("", told)) from wrong


def _facts(said: Described) -> dict[str, Any]:
    facts: dict[str, Any] = {
        name: getattr(said, name)
        for name in ("size", "length_cm", "braids")
        if getattr(said, name) is not None
    }
    sections = _sections(said)
    if sections:
        facts["parting"] = {"sections": sections}
    if said.curls is not None:
        usual = _USUAL_CURLS[said.curls]
        count = usual if said.per_braid is None or said.curls == "none" else said.per_braid
        facts["curls"] = CurlPlan(
            placement=CurlPlacement(said.curls), per_braid=max(count, usual and 1)
        )
    for name in ("take_down", "hot_water_set"):
        if getattr(said, name):
            facts[name] = True
    if said.no_wash:
        facts["wash"] = False
    wearer = {name: True for name in ("child", "tender_scalp") if getattr(said, name)}
    if wearer:
        facts["wearer"] = wearer
    return facts


def _sections(said: Described) -> list[dict[str, Any]]:
    sections: list[dict[str, Any]] = []
    front, back = (_boxes(each) for each in (said.front_rows, said.back_rows))
    if front:
        sections += [
            {"name": "front-left", "rows": front},
            {"name": "front-right", "mirror_of": "front-left"},
        ]
    if back:
        sections.append({"name": "back", "rows": back})
    return sections


def _boxes(rows: str | None) -> list[int]:
    return [int(number) for number in re.findall(r"[0-9]+", rows or "")]
