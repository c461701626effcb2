"""What a stylist sees of a day: her own work and her own clients."""

from __future__ import annotations

from api.services.callers import CALLER, Role
from api.services.errors import NotAllowedError
from schemas.dayview import DayView, VisitDayView
from schemas.dealings import BookingRecord


def own_day(view: DayView, staff: str | None) -> DayView:
    """The part of the day that concerns `staff`; of everybody else nothing but empty chairs."""
    visits = tuple(visit for visit in view.visits if staff in _crew(visit))
    names = {visit.visit for visit in visits}
    chairs = tuple(
        chair.model_copy(update={"visits": tuple(name for name in chair.visits if name in names)})
        for chair in view.chairs
    )
    return DayView(
        date=view.date,
        zone=view.zone,
        open=view.open,
        chairs=chairs,
        visits=visits,
        staff=tuple(person for person in view.staff if person.staff == staff),
        waiting=(),
        findings=(),
    )


def require_own_visit(record: BookingRecord) -> None:
    """Raises NotAllowedError where a stylist asks for a visit that she has no hand in."""
    caller = CALLER.get()
    if caller.role is not Role.STYLIST:
        return
    placed = record.placed
    if placed is None or caller.staff not in (placed.lead, *placed.assistants):
        raise NotAllowedError(
            "a stylist sees only visits of her own; the rest is for owner or desk",
            (Role.OWNER, Role.DESK),
        )


def _crew(visit: VisitDayView) -> tuple[str, ...]:
    helpers = (help_.staff for phase in visit.phases for help_ in phase.help)
    performers = (phase.performer for phase in visit.phases if phase.performer is not None)
    return (visit.lead, *visit.assistants, *helpers, *performers)
