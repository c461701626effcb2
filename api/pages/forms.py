"""Forms: what was typed, read by a model, and a sentence beside each field that is wrong."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Generic, Self, TypeVar, get_origin

from litestar.datastructures import FormMultiDict
from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import PydanticCustomError

from api.pages.frame import PageRequest
from solver.errors import Fault

_SENTENCES = {
    "missing": "This is needed.",
    "int_parsing": "Write a whole number.",
    "int_from_float": "Write a whole number.",
    "float_parsing": "Write a number.",
    "finite_number": "Write a number.",
    "greater_than_equal": "At least {ge}.",
    "greater_than": "More than {gt}.",
    "less_than_equal": "At most {le}.",
    "less_than": "Less than {lt}.",
    "string_too_long": "At most {max_length} letters.",
    "string_too_short": "This is needed.",
    "string_pattern_mismatch": "This cannot be right.",
    "enum": "Choose one of the list.",
    "literal_error": "Choose one of the list.",
    "date_from_datetime_parsing": "Write a date.",
    "date_parsing": "Write a date.",
    "time_parsing": "Write a time, such as 09:30.",
    "bool_parsing": "Tick it or leave it.",
}


class Answers(BaseModel):
    """What a form asks for. A field left blank counts as left out."""

    model_config = ConfigDict(frozen=True, extra="ignore", str_strip_whitespace=True)


def fault(field_name: str, sentence: str) -> PydanticCustomError:
    """For a model's own validator: what is wrong, told beside one field."""
    return PydanticCustomError("beside", "{sentence}", {"field": field_name, "sentence": sentence})


F = TypeVar("F", bound=Answers)


@dataclass(frozen=True)
class Filled(Generic[F]):
    """A form as it was sent: shown again with what is wrong, or read."""

    typed: Mapping[str, Any] = field(default_factory=dict)
    read: F | None = None
    faults: Mapping[str, str] = field(default_factory=dict)
    """Sentences by the name of the field; "" has what is wrong with the whole."""

    def with_faults(self, faults: Mapping[str, str]) -> Self:
        return replace(self, faults={**self.faults, **faults}, read=None)

    def told(self, faults: Iterable[Fault], fields: Mapping[str, str]) -> Self:
        """The faults of a service, beside the fields that their pointers begin with.

        `fields` is from the beginning of a pointer to the name of a field; the first that fits
        counts, and what fits none is said of the whole form.
        """
        found: dict[str, str] = {}
        for fault in faults:
            name = next((f for start, f in fields.items() if fault.pointer.startswith(start)), "")
            found.setdefault(name, f"{fault.detail[:1].upper()}{fault.detail[1:]}.")
        return self.with_faults(found)


async def filled(request: PageRequest, model: type[F]) -> Filled[F]:
    """The form that was sent. Nothing is raised for what cannot be read: it is told by field."""
    return read(await request.form(), model)


def read(sent: FormMultiDict, model: type[F]) -> Filled[F]:
    typed: dict[str, Any] = {}
    for name, known in model.model_fields.items():
        values = [value for value in sent.getall(name, []) if isinstance(value, str)]
        stated = [value for value in values if value.strip()]
        if get_origin(known.annotation) is tuple:
            typed[name] = tuple(stated)
        elif stated:
            typed[name] = stated[0]
    try:
        return Filled(typed=typed, read=model.model_validate(typed))
    except ValidationError as wrong:
        faults: dict[str, str] = {}
        for error in wrong.errors(include_url=False):
            facts = error.get("ctx", {})
            place = str(error["loc"][0]) if error["loc"] else str(facts.get("field", ""))
            faults.setdefault(place, _sentence(error["type"], error["msg"], facts))
        return Filled(typed=typed, faults=faults)


def _sentence(kind: str, told: str, facts: Mapping[str, Any]) -> str:
    if kind in _SENTENCES:
        return _SENTENCES[kind].format_map(facts)
    plain = told.removeprefix("Value error, ")
    return f"{plain[:1].upper()}{plain[1:].rstrip('.')}."
