"""What is refused before anything of a request is read."""

from __future__ import annotations

import re
from typing import Any

from litestar.connection import ASGIConnection
from litestar.enums import ParamType
from litestar.exceptions import ClientException
from litestar.handlers import BaseRouteHandler
from litestar.params import ParameterKwarg

from api.services.errors import UnprocessableError
from solver.errors import Fault

JSON = "application/json"
_PLAIN = re.compile(r"^[A-Za-z0-9_-]{1,64}$", re.ASCII)
_Connection = ASGIConnection[Any, Any, Any, Any]


class UnsupportedMediaTypeException(ClientException):
    """415."""

    status_code = 415


def only_json(connection: _Connection, handler: BaseRouteHandler) -> None:
    """A guard: where a body is read, it must be JSON or say nothing of its type."""
    if "data" not in handler.parsed_fn_signature.parameters:
        return
    stated = connection.headers.get("content-type")
    if stated is not None and stated.split(";", 1)[0].strip().lower() != JSON:
        raise UnsupportedMediaTypeException


def only_known_parameters(connection: _Connection, handler: BaseRouteHandler) -> None:
    """A guard: a parameter that is misspelt is refused, not passed over in silence."""
    stated = connection.query_params.keys()
    if not stated:
        return
    unknown = sorted(set(stated) - _query_names(handler))
    if unknown:
        # A name is repeated only where it is plainly a name.
        name = unknown[0] if _PLAIN.match(unknown[0]) else ""
        raise UnprocessableError(Fault(name, "is not a query parameter of this path"))


def parameter_name(handler: BaseRouteHandler, argument: str) -> str:
    """What clients call the parameter that the handler takes as `argument`."""
    field = handler.parsed_fn_signature.parameters.get(argument)
    told = None if field is None else field.kwarg_definition
    return told.name or argument if isinstance(told, ParameterKwarg) else argument


def _query_names(handler: BaseRouteHandler) -> set[str]:
    names = set()
    for name, field in handler.parsed_fn_signature.parameters.items():
        told = field.kwarg_definition
        if isinstance(told, ParameterKwarg) and told.param_type is ParamType.QUERY:
            names.add(told.name or name)
    return names
