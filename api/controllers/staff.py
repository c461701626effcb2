"""People, and when they are in."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import day_or_none, seen, shown, tagged
from api.controllers.operations import (
    ADDS,
    ADDS_BELOW,
    EDITS,
    FINDS,
    READS,
    RETIRES,
    refuses,
)
from api.controllers.parameters import After, FromDate, IfMatch, ItemName, Limit, Name, ToDate
from api.services.desk import Desk
from schemas.pages import ShiftPage, StaffPage
from schemas.resources import Shift, StaffMember


class StaffController(Controller):
    path = "/staff"
    tags = ("staff",)

    @get(operation_id="listStaff", summary="List the people", opt=refuses(READS))
    async def list_staff(
        self, desk: NamedDependency[Desk], limit: Limit = 100, after: After = ""
    ) -> StaffPage:
        """Everybody who works here or did, in order of their names."""
        items, next_ = await desk.staff.page(after or None, limit)
        return StaffPage(items=items, next=next_)

    @post(operation_id="addStaff", summary="Add a person", opt=refuses(ADDS, tagged=True))
    async def add_staff(
        self, desk: NamedDependency[Desk], data: JSONBody[StaffMember]
    ) -> Response[StaffMember]:
        """The name is the client's to choose; a name that is taken is refused."""
        added = await desk.staff.add(data)
        return tagged(added, 201, f"/v1/staff/{data.id}")

    @get(
        "/{id:str}",
        operation_id="readStaff",
        summary="Read a person",
        opt=refuses(FINDS, tagged=True),
    )
    async def read_staff(self, desk: NamedDependency[Desk], name: Name) -> Response[StaffMember]:
        """One person, with the ETag of its version."""
        return tagged(await desk.staff.read(name))

    @put(
        "/{id:str}",
        operation_id="replaceStaff",
        summary="Change a person",
        opt=refuses(EDITS, tagged=True),
    )
    async def replace_staff(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[StaffMember],
        if_match: IfMatch = "",
    ) -> Response[StaffMember]:
        """The whole document in the place of the one that is there."""
        return tagged(await desk.staff.replace(name, data, seen(if_match)))

    @delete(
        "/{id:str}",
        operation_id="retireStaff",
        summary="Retire a person",
        status_code=200,
        opt=refuses(RETIRES, tagged=True),
    )
    async def retire_staff(
        self, desk: NamedDependency[Desk], name: Name, if_match: IfMatch = ""
    ) -> Response[StaffMember]:
        """She is given no more work, and stays readable since old bookings speak of her."""
        return tagged(await desk.staff.retire(name, seen(if_match)))

    @get(
        "/{id:str}/shifts",
        operation_id="listShifts",
        summary="List a person's shifts",
        opt=refuses(FINDS),
    )
    async def list_shifts(
        self,
        *,
        desk: NamedDependency[Desk],
        name: Name,
        from_date: FromDate = None,
        to_date: ToDate = None,
        limit: Limit = 100,
        after: After = "",
    ) -> ShiftPage:
        """Her shifts that touch the days from `from` to `to`, in order of their names."""
        first, last = day_or_none(from_date, "from"), day_or_none(to_date, "to")
        items, next_ = await desk.rota.shifts(name, first, last, after or None, limit)
        return ShiftPage(items=items, next=next_)

    @post(
        "/{id:str}/shifts",
        operation_id="addShift",
        summary="Put a person on the rota",
        opt=refuses(ADDS_BELOW, tagged=True),
    )
    async def add_shift(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[Shift]
    ) -> Response[Shift]:
        """One shift, at most a day long, on the salon's grid, beside none of her others."""
        added = await desk.rota.add_shift(name, data)
        return shown(added, 201, f"/v1/staff/{name}/shifts/{added.id}")

    @get(
        "/{id:str}/shifts/{item:str}",
        operation_id="readShift",
        summary="Read a shift",
        opt=refuses(FINDS, tagged=True),
    )
    async def read_shift(
        self, desk: NamedDependency[Desk], name: Name, item: ItemName
    ) -> Response[Shift]:
        """One shift of one person."""
        return shown(await desk.rota.shift(name, item))

    @put(
        "/{id:str}/shifts/{item:str}",
        operation_id="replaceShift",
        summary="Change a shift",
        opt=refuses(EDITS, tagged=True),
    )
    async def replace_shift(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        item: ItemName,
        data: JSONBody[Shift],
        if_match: IfMatch = "",
    ) -> Response[Shift]:
        """Work that is on the book outside the new hours stays; the day says it breaks a rule."""
        return shown(await desk.rota.replace_shift(name, item, data, seen(if_match)))

    @delete(
        "/{id:str}/shifts/{item:str}",
        operation_id="removeShift",
        summary="Take a shift off the rota",
        opt=refuses(RETIRES),
    )
    async def remove_shift(
        self, desk: NamedDependency[Desk], name: Name, item: ItemName, if_match: IfMatch = ""
    ) -> None:
        """Work that is on the book then stays; the day says it breaks a rule."""
        await desk.rota.remove_shift(name, item, seen(if_match))
