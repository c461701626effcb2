"""JSON Pointers (RFC 6901), and what pydantic found wrong, told by pointer and sentence."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from solver.errors import Fault

_IDENTIFIER = r"^[a-z0-9][a-z0-9-]*$"
_SAID = {
    "missing": "is missing: add it",
    "model_type": "must be an object in braces",
    "model_attributes_type": "must be an object in braces",
    "dict_type": "must be an object in braces",
    "tuple_type": "must be a list in square brackets",
    "list_type": "must be a list in square brackets",
    "string_type": "must be text in quotes",
    "string_unicode": "must be text without broken characters (lone surrogates)",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "bool_type": "must be true or false",
    "bool_parsing": "must be true or false",
    "finite_number": "must be a finite number",
    "timezone_aware": "must state its offset, such as 2026-12-01T09:00:00+01:00",
    "datetime_from_date_parsing": "must be a timestamp such as 2026-12-01T09:00:00+01:00",
    "datetime_parsing": "must be a timestamp such as 2026-12-01T09:00:00+01:00",
    "datetime_type": "must be a timestamp such as 2026-12-01T09:00:00+01:00",
    "datetime_object_invalid": "must be a timestamp such as 2026-12-01T09:00:00+01:00",
    "date_from_datetime_parsing": "must be a date such as 2026-12-01",
    "date_from_datetime_inexact": "must be a date such as 2026-12-01",
    "date_parsing": "must be a date such as 2026-12-01",
    "date_type": "must be a date such as 2026-12-01",
}
"""Our own words for what pydantic calls by these names; the rest keeps its own sentence."""


_FEW = 8
"""So many known fields are listed in answer to an unknown one; more would hide the fault."""


def pointer(parts: Iterable[str | int]) -> str:
    """The JSON Pointer of `parts`; the empty string is the whole document."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in parts)


def where(data: object, loc: Sequence[str | int], kind: str = "") -> tuple[str | int, ...]:
    """The parts of `loc` that lead through `data`.

    pydantic mixes names of union members and marks such as `[key]` into its locations. A part is
    kept where `data` has it; a `missing` field is kept because that is where it belongs.
    """
    parts: list[str | int] = []
    here: Any = data
    for number, part in enumerate(loc):
        last = number == len(loc) - 1
        if _has(here, part):
            here = here[part]
            parts.append(part)
        elif kind == "missing" and last and isinstance(here, Mapping):
            parts.append(part)
    return tuple(parts)


def _has(value: Any, part: str | int) -> bool:
    if isinstance(value, list | tuple):
        return isinstance(part, int) and 0 <= part < len(value)
    return isinstance(value, Mapping) and part in value


def faults(
    error: ValidationError,
    data: object,
    model: type[BaseModel] | None = None,
    base: str = "",
) -> tuple[Fault, ...]:
    """Every fault of `data` by pointer, in the order of the document; `base` goes in front.

    With the `model`, an unknown field is answered with the fields that are known there. Where a
    union refused the same value several times, the sentences are joined by "or".
    """
    schema = _schema_of(model) if model is not None else None
    told: dict[str, list[str]] = {}
    details = error.errors(include_url=False, include_context=True)
    for detail in details:
        if detail["type"] == "too_short" and _has_bad_members(detail, details):
            continue  # too short only because its members were refused
        place = where(data, detail["loc"], detail["type"])
        sentences = told.setdefault(base + pointer(place), [])
        sentence = _sentence(detail, place, schema)
        if sentence not in sentences:
            sentences.append(sentence)
    return tuple(Fault(place, " or ".join(sentences)) for place, sentences in told.items())


def _has_bad_members(whole: ErrorDetails, details: Sequence[ErrorDetails]) -> bool:
    depth = len(whole["loc"])
    return any(len(one["loc"]) > depth and one["loc"][:depth] == whole["loc"] for one in details)


@cache
def _schema_of(model: type[BaseModel]) -> dict[str, Any]:
    """Making it takes longer than validating does: a service refuses often."""
    return model.model_json_schema()


def _sentence(
    detail: ErrorDetails, place: Sequence[str | int], schema: dict[str, Any] | None
) -> str:
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "extra_forbidden":
        known = _fields_at(schema, place[:-1]) if schema is not None else ()
        return _unknown_field(str(place[-1]) if place else "", known)
    if kind == "string_pattern_mismatch":
        if context.get("pattern") == _IDENTIFIER:
            return "must be lower-case letters, digits and hyphens, such as chair-1"
        return f"must match {context.get('pattern')}"
    if kind in {"enum", "literal_error"}:
        return f"must be one of {context.get('expected')}"
    if kind in {"too_long", "too_short"}:
        length = context.get("max_length", context.get("min_length"))
        bound = "at most" if kind == "too_long" else "at least"
        return f"must hold {bound} {length}, holds {context.get('actual_length')}"
    words = _SAID.get(kind, detail["msg"].removeprefix("Value error, "))
    return words.replace("Input should be ", "must be ").replace("String should ", "must ")


def _unknown_field(name: str, known: Sequence[str]) -> str:
    close = difflib.get_close_matches(name, known, n=1)
    if close:
        return f"is not a known field: did you mean {close[0]}?"
    if 0 < len(known) <= _FEW:
        return f"is not a known field: remove it, or use one of {', '.join(known)}"
    return "is not a known field: remove it"


def _fields_at(schema: dict[str, Any], place: Sequence[str | int]) -> tuple[str, ...]:
    """The fields that the JSON Schema knows at `place`; none where it cannot tell."""
    here: list[dict[str, Any]] = _alternatives(schema, schema)
    for part in place:
        below: list[dict[str, Any]] = []
        for option in here:
            found = option.get("items") if isinstance(part, int) else None
            if isinstance(part, str):
                found = option.get("properties", {}).get(part)
            if isinstance(found, dict):
                below.extend(_alternatives(found, schema))
        here = below
    return tuple(name for option in here for name in option.get("properties", {}))


def _alternatives(node: dict[str, Any], schema: dict[str, Any]) -> list[dict[str, Any]]:
    """`node` with its references followed and its unions spread out."""
    reference = node.get("$ref")
    if reference is not None:
        return _alternatives(schema["$defs"][reference.rsplit("/", 1)[-1]], schema)
    options: list[dict[str, Any]] = [node]
    for member in (*node.get("anyOf", ()), *node.get("oneOf", ())):
        options.extend(_alternatives(member, schema))
    return options
