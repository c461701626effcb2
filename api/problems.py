"""Refusals as problem details (RFC 9457): one table from error to status.

Nothing of the request is repeated in an answer except the names of its fields, and nothing of the
machine: what went wrong inside goes to the log.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable
from http import HTTPStatus
from typing import Any

from litestar import Request, Response
from litestar.exceptions import HTTPException, ValidationException
from litestar.types import ExceptionHandlersMap

from api.bodies import BodyError
from api.callers import challenge
from api.door import parameter_name, parameter_words
from api.paths import operation_of
from api.problem_kinds import OF_ERROR, OF_STATUS, OTHER, kind_of
from api.services import errors
from schemas.dealings import OpeningTaken
from schemas.problems import InvalidParameter, Problem
from solver.errors import Fault, InputError

MEDIA_TYPE = "application/problem+json"
SENTENCES = {
    400: "The request cannot be read: the body must be JSON.",
    406: "The answer can be had as application/json or text/csv.",
    404: "There is nothing at this path.",
    405: "This path does not take this method; Allow names those it does.",
    413: "The body is too large.",
    415: "The body must be application/json.",
    500: "Something went wrong inside; it is in the log.",
}

_log = logging.getLogger("partline.api")
_AnyRequest = Request[Any, Any, Any]


def problem_of(error: Exception) -> Problem:
    """The problem an error is told as; what is none of ours says nothing of itself."""
    if isinstance(error, InputError):
        return unprocessable(error.faults)
    if isinstance(error, errors.RunFailedError):
        return error.problem
    if not isinstance(error, errors.ServiceError):
        return _of_status(500)
    if isinstance(error, errors.UnprocessableError):
        return unprocessable(error.faults)
    kind = kind_of(error)
    told: dict[str, Any] = {
        "type": kind.type,
        "title": kind.title,
        "status": kind.status,
        "detail": str(error)[:500],
    }
    if isinstance(error, errors.OpeningGoneError):
        return OpeningTaken(**told, openings=error.openings)
    return Problem(**told)


def unprocessable(faults: Iterable[Fault]) -> Problem:
    return _unprocessable(
        InvalidParameter(pointer=fault.pointer[:500], detail=fault.detail[:500]) for fault in faults
    )


def _unprocessable(named: Iterable[InvalidParameter]) -> Problem:
    kind = OF_ERROR[errors.UnprocessableError]
    return Problem(
        type=kind.type,
        title=kind.title,
        status=kind.status,
        detail="Some fields cannot be right.",
        errors=tuple(named),
    )


def _of_status(status: int) -> Problem:
    kind = OF_STATUS.get(status, OTHER)
    detail = SENTENCES.get(status, HTTPStatus(status).phrase)
    return Problem(type=kind.type, title=kind.title, status=status, detail=detail)


def answer(problem: Problem, headers: dict[str, str] | None = None) -> Response[bytes]:
    """The response that carries a problem."""
    return Response(
        problem.model_dump_json().encode(),
        status_code=problem.status,
        media_type=MEDIA_TYPE,
        headers=headers,
    )


def _on_service_error(request: _AnyRequest, error: errors.ServiceError) -> Response[bytes]:
    request.app.state.metrics.refusals.labels(kind_of(error).name).inc()
    if isinstance(error, errors.UnknownCallerError | errors.NotAllowedError):
        return answer(problem_of(error), challenge(error))
    if isinstance(error, errors.TooManyError):
        return answer(problem_of(error), {"Retry-After": str(error.seconds)})
    problem = problem_of(error)
    if problem.status != 503:
        return answer(problem)
    # The client is told to come back; why it could not be done now is for the log.
    _log.warning("%s could not be done now", operation_of(request.scope), exc_info=error)
    return answer(problem, {"Retry-After": "1"})


def _on_input_error(_: _AnyRequest, error: InputError) -> Response[bytes]:
    return answer(unprocessable(error.faults))


def _on_body_error(_: _AnyRequest, error: BodyError) -> Response[bytes]:
    return answer(unprocessable(error.faults))


def _on_validation(request: _AnyRequest, error: ValidationException) -> Response[bytes]:
    """A path, query or header parameter, or a body that is missing or null."""
    named = []
    for fault in error.extra if isinstance(error.extra, list) else []:
        key, told = str(fault.get("key", "")), str(fault.get("message"))
        if told == "'data'":
            # The framework's way to say that it was given no body.
            key, told = "data", "the body is missing"
        pointer = "" if key == "data" else parameter_name(request.route_handler, key)
        if "matching regex" in told and (words := parameter_words(request.route_handler, key)):
            # A pattern tells nothing to people: say in words what belongs there.
            told = f"is not of this kind: {words}"
        named.append(InvalidParameter(pointer=pointer, detail=told[:500]))
    if not named:
        named.append(_missing(error))
    return answer(_unprocessable(named))


def _missing(error: ValidationException) -> InvalidParameter:
    # The framework names a missing parameter in its sentence alone, in quotes.
    quoted = str(error.detail).split("'")
    return InvalidParameter(
        pointer=quoted[1] if len(quoted) > 1 else "", detail="is missing, or is not of its kind"
    )


def _on_http(_: _AnyRequest, error: HTTPException) -> Response[bytes]:
    headers = {name: value for name, value in (error.headers or {}).items() if value}
    return answer(_of_status(error.status_code), headers)


def _on_anything_else(request: _AnyRequest, error: Exception) -> Response[bytes]:
    _log.error("%s failed", operation_of(request.scope), exc_info=error)
    return answer(_of_status(500))


HANDLERS: ExceptionHandlersMap = {
    errors.ServiceError: _on_service_error,
    InputError: _on_input_error,
    BodyError: _on_body_error,
    ValidationException: _on_validation,
    HTTPException: _on_http,
    Exception: _on_anything_else,
}

__all__ = ["HANDLERS", "MEDIA_TYPE", "answer", "problem_of", "unprocessable"]
