"""What is refused before anything of a request is read."""

from __future__ import annotations

from typing import Any

from litestar.connection import ASGIConnection
from litestar.exceptions import ClientException
from litestar.handlers import BaseRouteHandler

JSON = "application/json"


class UnsupportedMediaTypeException(ClientException):
    """415."""

    status_code = 415


def only_json(connection: ASGIConnection[Any, Any, Any, Any], handler: BaseRouteHandler) -> None:
    """A guard: where a body is read, it must be JSON or say nothing of its type."""
    if "data" not in handler.parsed_fn_signature.parameters:
        return
    stated = connection.headers.get("content-type")
    if stated is not None and stated.split(";", 1)[0].strip().lower() != JSON:
        raise UnsupportedMediaTypeException
