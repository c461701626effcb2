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
from api.services import errors
from schemas.dealings import OpeningTaken
from schemas.problems import InvalidParameter, Problem
from solver.errors import Fault, InputError

MEDIA_TYPE = "application/problem+json"
KIND = "urn:partline:problem:"

STATUS_OF: dict[type[errors.ServiceError], int] = {
    errors.NotFoundError: 404,
    errors.ConflictError: 409,
    errors.UnknownCallerError: 401,
    errors.NotAllowedError: 403,
    errors.ForeignRequestError: 403,
    errors.StaleError: 412,
    errors.UnprocessableError: 422,
    errors.StoreUnavailableError: 503,
}
KIND_OF: dict[type[errors.ServiceError], str] = {
    errors.AlreadyThereError: "already-there",
    errors.NotSetUpError: "not-set-up",
    errors.BookChangedError: "book-changed",
    errors.DoubleBookedError: "double-booked",
    errors.OpeningGoneError: "opening-gone",
}
"""Conflicts that a client may want to tell apart; every other problem is about:blank."""
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


def status_of(error: errors.ServiceError) -> int:
    for kind in type(error).__mro__:
        if kind in STATUS_OF:
            return STATUS_OF[kind]
    return 500


def problem_of(error: Exception) -> Problem:
    """The problem an error is told as; what is none of ours says nothing of itself."""
    if isinstance(error, InputError):
        return unprocessable(error.faults)
    if not isinstance(error, errors.ServiceError):
        return _problem(500, SENTENCES[500])
    status = status_of(error)
    kind = KIND_OF.get(type(error))
    told: dict[str, Any] = {
        "type": KIND + kind if kind else "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": str(error)[:500],
    }
    if isinstance(error, errors.UnprocessableError):
        told |= {"detail": "Some fields cannot be right.", "errors": _named(error.faults)}
    if isinstance(error, errors.OpeningGoneError):
        return OpeningTaken(**told, openings=error.openings)
    return Problem(**told)


def unprocessable(faults: Iterable[Fault]) -> Problem:
    return _problem(422, "Some fields cannot be right.", _named(faults))


def _named(faults: Iterable[Fault]) -> tuple[InvalidParameter, ...]:
    return tuple(
        InvalidParameter(pointer=fault.pointer[:500], detail=fault.detail[:500]) for fault in faults
    )


def _problem(status: int, detail: str, named: tuple[InvalidParameter, ...] = ()) -> Problem:
    return Problem(title=HTTPStatus(status).phrase, status=status, detail=detail, errors=named)


def answer(problem: Problem, headers: dict[str, str] | None = None) -> Response[bytes]:
    """The response that carries a problem."""
    return Response(
        problem.model_dump_json().encode(),
        status_code=problem.status,
        media_type=MEDIA_TYPE,
        headers=headers,
    )


def _on_service_error(request: _AnyRequest, error: errors.ServiceError) -> Response[bytes]:
    if isinstance(error, errors.UnknownCallerError | errors.NotAllowedError):
        return answer(problem_of(error), challenge(error))
    if not isinstance(error, errors.StoreUnavailableError):
        return answer(problem_of(error))
    # The client is told to come back; why the database did not answer is for the log.
    _log.warning("%s found no database", operation_of(request.scope), exc_info=error)
    return answer(problem_of(error), {"Retry-After": "1"})


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
    return answer(_problem(422, "Some fields cannot be right.", tuple(named)))


def _missing(error: ValidationException) -> InvalidParameter:
    # The framework names a missing parameter in its sentence alone, in quotes.
    quoted = str(error.detail).split("'")
    return InvalidParameter(
        pointer=quoted[1] if len(quoted) > 1 else "", detail="is missing, or is not of its kind"
    )


def _on_http(_: _AnyRequest, error: HTTPException) -> Response[bytes]:
    status = error.status_code
    detail = SENTENCES.get(status, HTTPStatus(status).phrase)
    headers = {name: value for name, value in (error.headers or {}).items() if value}
    return answer(_problem(status, detail), headers)


def _on_anything_else(request: _AnyRequest, error: Exception) -> Response[bytes]:
    _log.error("%s failed", operation_of(request.scope), exc_info=error)
    return answer(_problem(500, SENTENCES[500]))


HANDLERS: ExceptionHandlersMap = {
    errors.ServiceError: _on_service_error,
    InputError: _on_input_error,
    BodyError: _on_body_error,
    ValidationException: _on_validation,
    HTTPException: _on_http,
    Exception: _on_anything_else,
}

__all__ = ["HANDLERS", "MEDIA_TYPE", "answer", "problem_of", "unprocessable"]
