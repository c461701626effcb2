"""Documents in and out of requests: read by pydantic, refused with JSON pointers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from litestar import Request
from litestar.exceptions import ClientException
from litestar.plugins.pydantic import PydanticInitPlugin
from pydantic import BaseModel, ValidationError

from api.pointers import faults
from solver.errors import Fault

MOST_FAULTS = 20
"""Faults told in one answer; a body that is wrong throughout has no use for more."""


class BodyError(Exception):
    """The body is JSON, but not the document that was asked for."""

    def __init__(self, found: tuple[Fault, ...]) -> None:
        self.faults = found[:MOST_FAULTS]
        super().__init__(f"{len(found)} faults")


class BoundedRequest(Request[Any, Any, Any]):
    """A request whose body may not be nested without end."""

    async def json(self) -> Any:
        try:
            return await super().json()
        except RecursionError as too_deep:
            raise ClientException("nested too deeply") from too_deep


def _is_document(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _read(model: type[BaseModel], data: Any) -> BaseModel:
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise BodyError(faults(error, data, model)) from error


class DocumentPlugin(PydanticInitPlugin):
    """As the framework's own, but it keeps the location of every fault."""

    @classmethod
    def decoders(
        cls, validate_strict: bool = False
    ) -> list[tuple[Callable[[Any], bool], Callable[[Any, Any], Any]]]:
        del validate_strict
        return [(_is_document, _read)]
