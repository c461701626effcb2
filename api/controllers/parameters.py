"""Parameters of paths, queries and headers, bounded, with their words for the description."""

from __future__ import annotations

from typing import Annotated

from litestar.openapi.spec import Example
from litestar.params import HeaderParameter, PathParameter, QueryParameter

NAME_PATTERN = r"^[a-z0-9][a-z0-9-]*$"
DATE_PATTERN = r"^20[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
WEEK_PATTERN = r"^20[0-9]{2}-W(0[1-9]|[1-4][0-9]|5[0-3])$"
LONGEST_LIST = 500

# Paths say `id`; the handlers, where that is a built-in's name, say `name`.
Name = Annotated[
    str,
    PathParameter(
        name="id",
        pattern=NAME_PATTERN,
        min_length=1,
        max_length=64,
        description="Lower-case letters, digits and hyphens.",
    ),
]
ItemName = Annotated[
    str,
    PathParameter(
        pattern=NAME_PATTERN,
        min_length=1,
        max_length=64,
        description="The name of one entry; lower-case letters, digits and hyphens.",
    ),
]
DatePath = Annotated[
    str,
    PathParameter(
        pattern=DATE_PATTERN,
        max_length=10,
        description="A date by the salon's clock.",
        examples=[Example(value="2026-12-05")],
    ),
]
Wait = Annotated[
    bool,
    QueryParameter(description="With `false` the answer comes at once, with 202, while it runs."),
]
Limit = Annotated[
    int,
    QueryParameter(ge=1, le=LONGEST_LIST, description="The most entries to answer with."),
]
# Not "or None": the framework reads the text "null" as None, and null is a good name.
After = Annotated[
    str,
    QueryParameter(
        pattern=r"^([a-z0-9][a-z0-9-]*)?$",
        max_length=64,
        description="The `next` of the page before; the list goes on after it.",
    ),
]
IfMatch = Annotated[
    str,
    HeaderParameter(
        name="If-Match",
        pattern=r"^[\x20-\x7e]*$",
        max_length=200,
        description="The ETag that was read, or `*` for whatever is there. An edit is refused with "
        "412 when it has changed, and with 428 when this is missing and something is there.",
        examples=[Example(value='"1"')],
    ),
]


def date_query(name: str, description: str) -> QueryParameter:
    """A date in the query; read by `api.controllers.dates`."""
    return QueryParameter(
        name=name,
        pattern=DATE_PATTERN,
        max_length=10,
        description=description,
        examples=[Example(value="2026-12-05")],
    )


FromDate = Annotated[str | None, date_query("from", "The first day, included.")]
ToDate = Annotated[str | None, date_query("to", "The last day, included.")]
FirstDay = Annotated[str, date_query("from", "The first day, included.")]
LastDay = Annotated[str, date_query("to", "The last day, included.")]
Week = Annotated[
    str,
    QueryParameter(
        pattern=WEEK_PATTERN,
        max_length=8,
        description="An ISO 8601 week.",
        examples=[Example(value="2026-W49")],
    ),
]
Weeks = Annotated[
    int,
    QueryParameter(ge=1, le=26, description="How many weeks, the last of them included."),
]
EntryNumber = Annotated[
    str,
    QueryParameter(
        name="after",
        pattern=r"^[0-9]{0,18}$",
        max_length=18,
        description="The `next` of the page before; the list goes on after it.",
    ),
]
