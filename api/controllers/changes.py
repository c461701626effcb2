"""The record of changes."""

from __future__ import annotations

from typing import Annotated

from litestar import Controller, get
from litestar.di import NamedDependency
from litestar.params import QueryParameter

from api.controllers.answers import day_or_none
from api.controllers.operations import READS, refuses
from api.controllers.parameters import After, FromDate, Limit, ToDate
from api.services.desk import Desk
from schemas.changes import ChangePage

Kind = Annotated[
    str,
    QueryParameter(
        pattern=r"^([a-z0-9][a-z0-9-]*)?$",
        max_length=32,
        description="Only changes of this kind of thing, such as `booking` or `shift`.",
    ),
]
# A setting of a rule is named by the rule's code, a slash and its label, as breaks are.
Thing = Annotated[
    str,
    QueryParameter(
        pattern=r"^([a-z0-9][a-z0-9/-]*)?$",
        max_length=129,
        description="Only changes of the thing of this name.",
    ),
]
Who = Annotated[
    str,
    QueryParameter(
        pattern=r"^([a-z0-9][a-z0-9-]*)?$",
        max_length=64,
        description="Only changes by the token of this name.",
    ),
]


class ChangeController(Controller):
    path = "/changes"
    tags = ("changes",)

    @get(operation_id="listChanges", summary="Read who changed what", opt=refuses((*READS, 409)))
    async def list_changes(
        self,
        *,
        desk: NamedDependency[Desk],
        kind: Kind = "",
        name: Thing = "",
        who: Who = "",
        from_date: FromDate = None,
        to_date: ToDate = None,
        limit: Limit = 100,
        after: After = "",
    ) -> ChangePage:
        """The newest first, each with the document before and since.

        A booking's whole story is `kind=booking&name=` and its name. Nobody can change or delete
        what is recorded, in the database neither.
        """
        return await desk.changes.page(
            kind=kind or None,
            name=name or None,
            who=who or None,
            days=(day_or_none(from_date, "from"), day_or_none(to_date, "to")),
            after=after or None,
            limit=limit,
        )
