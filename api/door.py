"""What is refused before anything of a request is read."""

from __future__ import annotations

import re
from typing import Any

from litestar.connection import ASGIConnection
from litestar.enums import ParamType, ScopeType
from litestar.exceptions import ClientException
from litestar.handlers import BaseRouteHandler
from litestar.middleware import ASGIMiddleware
from litestar.params import ParameterKwarg
from litestar.types import ASGIApp, Message, Receive, Scope, Send
from litestar.typing import FieldDefinition

from api.services.errors import UnprocessableError
from solver.errors import Fault

JSON = "application/json"
_PLAIN = re.compile(r"^[A-Za-z0-9_-]{1,64}$", re.ASCII)
_Connection = ASGIConnection[Any, Any, Any, Any]


class UnsupportedMediaTypeException(ClientException):
    """415."""

    status_code = 415


def only_json(connection: _Connection, handler: BaseRouteHandler) -> None:
    """A guard: where a body is read, it must be JSON or say nothing of its type.

    Pages take forms, and what they do with them is their own matter.
    """
    if "data" not in handler.parsed_fn_signature.parameters or handler.opt.get("page"):
        return
    stated = connection.headers.get("content-type")
    if stated is not None and stated.split(";", 1)[0].strip().lower() != JSON:
        raise UnsupportedMediaTypeException


class CompleteAllow(ASGIMiddleware):
    """OPTIONS names every method of its path; the framework names those of the first handler."""

    scopes = (ScopeType.HTTP,)

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        if scope["type"] != ScopeType.HTTP or scope["method"] != "OPTIONS":
            await next_app(scope, receive, send)
            return
        methods = scope["litestar_app"].route_handler_method_map[scope["path_template"]]
        allow = ", ".join(sorted(methods)).encode()

        async def complete(message: Message) -> None:
            if message["type"] == "http.response.start":
                rest = [pair for pair in message["headers"] if pair[0].lower() != b"allow"]
                message["headers"] = [*rest, (b"allow", allow)]
            await send(message)

        await next_app(scope, receive, complete)


def only_known_parameters(connection: _Connection, handler: BaseRouteHandler) -> None:
    """A guard: a parameter that is misspelt is refused, not passed over in silence."""
    stated = connection.query_params.keys()
    if not stated:
        return
    fields = _query_fields(handler)
    for name in stated:
        # The framework reads the text "null" as a parameter that was left out.
        if name in fields and fields[name].is_optional and connection.query_params[name] == "null":
            raise UnprocessableError(Fault(name, "must be left out, or not be null"))
    unknown = sorted(set(stated) - fields.keys())
    if unknown:
        # A name is repeated only where it is plainly a name.
        name = unknown[0] if _PLAIN.match(unknown[0]) else ""
        raise UnprocessableError(Fault(name, "is not a query parameter of this path"))


def parameter_name(handler: BaseRouteHandler, argument: str) -> str:
    """What clients call the parameter that the handler takes as `argument`."""
    field = handler.parsed_fn_signature.parameters.get(argument)
    told = None if field is None else field.kwarg_definition
    return told.name or argument if isinstance(told, ParameterKwarg) else argument


def parameter_words(handler: BaseRouteHandler, argument: str) -> str | None:
    """What the description says of a parameter, with an example where it has one."""
    field = handler.parsed_fn_signature.parameters.get(argument)
    told = None if field is None else field.kwarg_definition
    if not isinstance(told, ParameterKwarg) or not told.description:
        return None
    example = next((f", such as {example.value}" for example in told.examples or ()), "")
    return told.description.rstrip(".") + example


def _query_fields(handler: BaseRouteHandler) -> dict[str, FieldDefinition]:
    fields = {}
    for name, field in handler.parsed_fn_signature.parameters.items():
        told = field.kwarg_definition
        if isinstance(told, ParameterKwarg) and told.param_type is ParamType.QUERY:
            fields[told.name or name] = field
    return fields
