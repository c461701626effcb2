"""The OpenAPI document.

The framework knows the paths and parameters; the documents are told by pydantic, whose JSON Schema
is what OpenAPI 3.1 speaks, down to `additionalProperties: false`; the refusals are written by each
operation's `opt`, and the examples are recorded from a running service.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from http import HTTPStatus
from typing import Any

from litestar import Litestar, Router
from litestar.di import Provide
from litestar.handlers import HTTPRouteHandler
from litestar.openapi.config import OpenAPIConfig
from litestar.openapi.spec import Tag
from pydantic.json_schema import models_json_schema

from api.bodies import DocumentPlugin
from api.controllers import ROUTES
from api.description.examples import recorded
from api.once import PATTERN, QUESTIONS
from api.problem_kinds import KINDS, PATH
from api.problems import MEDIA_TYPE, SENTENCES
from api.services.once import HEADER
from api.services.permits import OPEN, roles_of
from api.version import VERSION
from schemas.base import Document
from schemas.dealings import OpeningTaken
from schemas.problems import Problem

REFUSED = {
    **SENTENCES,
    401: "A token is needed, or the one that was sent is not good (any more).",
    403: "The role of the token may not do this.",
    409: "It does not go with what is there already.",
    412: "It has been changed since it was read.",
    429: "The caller has asked too often; try again after the seconds in Retry-After.",
    428: "Something is there, and the edit does not say which version of it was read.",
    422: "Some fields cannot be right; each is named by a JSON Pointer or by its parameter's name.",
    503: "The database does not answer, or is too busy; try again after a moment.",
}
TAGS = {
    "salon": "Where the salon is and when it is open.",
    "styles": "The style menu.",
    "take-offs": "A style turned into minutes and hair.",
    "rates": "Figures that take-offs reckon with, and the salon's own instead.",
    "chairs": "Chairs and their closures.",
    "staff": "People, their shifts, and the pace their finished visits tell.",
    "rules": "What a plan must and should keep to.",
    "openings": "Where a request fits, and why it does not.",
    "holds": "Places kept for one client for some minutes.",
    "waiting-list": "Who waits for a place, in fair order, and who could take a gap.",
    "bookings": "What has been promised, and what waits for a place.",
    "plans": "Days planned by the solver.",
    "repairs": "A running day put right after what happened.",
    "days": "A day as the salon lives it.",
    "reports": "Figures, as JSON or CSV.",
    "clients": "What is kept of one client: told, or erased.",
    "changes": "Who changed what, and when.",
    "webhooks": "Addresses that are told of events, signed, at least once.",
    "calendar-feeds": "Days as calendars (RFC 5545), by addresses that can be taken back.",
    "hair-stock": "Hair on the shelf and on its way.",
    "health": "For whoever starts and stops the service.",
}
ABOUT = (
    "Turns braiding styles into minutes and hair, and a studio's chairs, leads and assistants into "
    "days that hold. Times are RFC 3339 with an offset, on whole minutes; windows are half-open; "
    "lengths of time are minutes, money is in minor units. Refusals are problem details "
    f"(RFC 9457); their types are told at {PATH}. Lists come in pages, each with a Link (RFC 8288) "
    "to the next. An edit says in If-Match which version it was made on."
)

ETAG = {"description": "The version, for If-Match.", "schema": {"type": "string"}}
LINK = {
    "description": "The first page, and the next where there is one (RFC 8288).",
    "schema": {"type": "string"},
}
LOCATION = {"description": "Where it can be read.", "schema": {"type": "string"}}
TOKEN = {
    "type": "http",
    "scheme": "bearer",
    "description": "A token that the owner makes with `partline token make`; its role says what it "
    "may do. RFC 6750.",
}
WAIT = {"description": "Seconds to wait.", "schema": {"type": "integer"}}
CHALLENGE = {"description": "What is asked for.", "schema": {"type": "string"}}
KEY = {
    "name": HEADER,
    "in": "header",
    "required": False,
    "description": "Told again with the same key within a day, the request is answered as before "
    "and nothing is done twice; another request with that key is refused with 422. A refusal is "
    "not kept. As in draft-ietf-httpapi-idempotency-key-header-07.",
    "schema": {"type": "string", "pattern": PATTERN},
    "example": '"8e03978e-40d5-43dd-bc93-6894a57f9324"',
}


@cache
def describe() -> dict[str, Any]:
    """The document, made once; not to be changed."""
    app = _described_app()
    document = app.openapi_schema.to_schema()
    names = set(document["components"]["schemas"])
    names |= {
        handler.opt["events"].__name__
        for handler, _ in _operations(app, document)
        if "events" in handler.opt
    }
    document["components"] = {"schemas": _schemas(names), "securitySchemes": {"token": TOKEN}}
    document["security"] = [{"token": []}]
    for handler, operation in _operations(app, document):
        operation.pop("deprecated", None)
        _simplify(operation)
        _refuse(operation, handler.opt)
        _lock(operation)
        if "POST" in handler.http_methods and handler.operation_id not in QUESTIONS:
            operation.setdefault("parameters", []).append(KEY)
        _show(operation)
    return dict(document)


def _described_app() -> Litestar:
    """The same routes as the service's, never served: the service has no pages of the framework."""
    return Litestar(
        route_handlers=[Router("/v1", route_handlers=list(ROUTES))],
        dependencies={"desk": Provide(lambda: None, sync_to_thread=False)},
        plugins=[DocumentPlugin()],
        openapi_config=OpenAPIConfig(
            title="Partline",
            version=VERSION,
            description=ABOUT,
            use_handler_docstrings=True,
            tags=[Tag(name=name, description=about) for name, about in TAGS.items()],
        ),
        logging_config=None,
    )


def _operations(
    app: Litestar, document: dict[str, Any]
) -> Iterator[tuple[HTTPRouteHandler, dict[str, Any]]]:
    handlers = {
        handler.operation_id: handler
        for route in app.routes
        for handler in getattr(route, "route_handlers", ())
    }
    for path in document["paths"].values():
        for operation in path.values():
            yield handlers[operation["operationId"]], operation


def _schemas(names: set[str]) -> dict[str, Any]:
    """The documents of those names and all that they speak of, as pydantic tells them."""
    models = [model for model in _all_documents() if model.__name__ in names]
    wanted = [(model, "validation") for model in (*models, Problem, OpeningTaken)]
    _, told = models_json_schema(
        wanted,  # type: ignore[arg-type]  # the literal is widened in a list
        ref_template="#/components/schemas/{model}",
    )
    schemas: dict[str, Any] = told["$defs"]
    return {name: schemas[name] for name in sorted(schemas)}


def _all_documents(root: type[Document] = Document) -> Iterator[type[Document]]:
    for model in root.__subclasses__():
        yield model
        yield from _all_documents(model)


def _simplify(operation: dict[str, Any]) -> None:
    """Parameters that may be left out are no nulls, and defaults of the format are not repeated."""
    for parameter in operation.get("parameters", ()):
        for name in ("deprecated", "allowEmptyValue", "allowReserved"):
            parameter.pop(name, None)
        schema = parameter["schema"]
        options = [each for each in schema.pop("oneOf", ()) if each != {"type": "null"}]
        for option in options:
            schema.update(option)
        if schema.get("default") == "":
            del schema["default"]
        for bound in ("minimum", "maximum"):
            if bound in schema:
                schema[bound] = int(schema[bound])
        for name in ("description", "examples"):
            schema.pop(name, None)


def _refuse(operation: dict[str, Any], opt: dict[str, Any]) -> None:
    answers = operation["responses"]
    for status in [status for status in answers if status >= "400"]:
        del answers[status]
    for status, about in opt.get("also", {}).items():
        content = next(iter(answers.values()))["content"]
        answers[str(status)] = {"description": about, "content": content}
    for answer in answers.values():
        if not answer.get("headers"):
            answer.pop("headers", None)
    for status, answer in answers.items():
        if str(answer.get("content")).endswith("Page'}}}"):
            answer["headers"] = {"Link": LINK}
        if opt.get("located") and status == "201":
            answer["headers"] = {"Location": LOCATION}
        if opt.get("tagged"):
            answer["headers"] = {"ETag": ETAG} | ({"Location": LOCATION} if status == "201" else {})
    if opt.get("svg"):
        answers["200"]["content"] = {"image/svg+xml": {"schema": {"type": "string"}}}
    if told := opt.get("events"):
        # OpenAPI 3.1 has no word for what one event of a stream carries; a name of our own has.
        data = {"$ref": f"#/components/schemas/{told.__name__}"}
        answers["200"]["content"] = {
            "text/event-stream": {"schema": {"type": "string"}, "x-event-data": data}
        }
        answers["204"] = {"description": "The end has been heard: there is nothing more to come."}
    if opt.get("csv"):
        answers["200"]["content"]["text/csv"] = {"schema": {"type": "string"}}
    for status in sorted(opt.get("refuses", ())):
        name = "OpeningTaken" if status == 409 and opt.get("openings") else "Problem"
        headers = {"headers": {"Retry-After": WAIT}} if status == 503 else {}
        answers[str(status)] = {
            **headers,
            "description": REFUSED.get(status, HTTPStatus(status).phrase),
            "content": {
                MEDIA_TYPE: {
                    "schema": {"$ref": f"#/components/schemas/{name}"},
                    "example": _problem(status),
                }
            },
        }


def _lock(operation: dict[str, Any]) -> None:
    """Who may do it, and what is told to the rest."""
    name = operation["operationId"]
    if name in OPEN:
        operation["security"] = []
        return
    operation["description"] += f"\n\nFor: {', '.join(roles_of(name))}."
    headers = {"WWW-Authenticate": CHALLENGE}
    for status, told in ((401, headers), (403, headers), (429, {"Retry-After": WAIT})):
        operation["responses"][str(status)] = {
            "description": REFUSED[status],
            "headers": told,
            "content": {
                MEDIA_TYPE: {
                    "schema": {"$ref": "#/components/schemas/Problem"},
                    "example": _problem(status),
                }
            },
        }


def _problem(status: int) -> dict[str, Any]:
    kind = next(kind for kind in KINDS if kind.status == status)
    told: dict[str, Any] = {
        "type": kind.type,
        "title": kind.title,
        "status": status,
        "detail": REFUSED.get(status, HTTPStatus(status).phrase),
    }
    if status == 422:
        told["errors"] = [{"pointer": "/window/start", "detail": "must lie on the grid"}]
    return told


def _show(operation: dict[str, Any]) -> None:
    """Recorded bodies and answers."""
    told = recorded().get(operation["operationId"], {})
    body = operation.get("requestBody")
    if body is not None and "body" in told:
        body["content"]["application/json"]["example"] = told["body"]
    for status, answer in operation["responses"].items():
        if status < "300" and "answer" in told and "application/json" in answer.get("content", {}):
            answer["content"]["application/json"]["example"] = told["answer"]
