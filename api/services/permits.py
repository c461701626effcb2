"""Which role may do what: one line for each operation, and nothing that is not listed.

A path that is added without a line here is refused to everybody, and fails a test.
"""

from __future__ import annotations

from api.services.callers import Caller, Role
from api.services.errors import NotAllowedError

_OWNER = frozenset({Role.OWNER})
_WORKS = _OWNER | {Role.DESK}
_LOOKS = _WORKS | {Role.READ_ONLY}
_ALL = _LOOKS | {Role.STYLIST}
_CREW = frozenset({Role.STYLIST})
"""Of visits that she has a hand in; the services see to that."""

OPEN = frozenset({"live", "ready"})
"""Asked by whoever starts and stops the service, without a token."""

MAY: dict[str, frozenset[Role]] = {
    "readSalon": _ALL,
    "putSalon": _OWNER,
    "listStyles": _ALL,
    "addStyle": _OWNER,
    "readStyle": _ALL,
    "replaceStyle": _OWNER,
    "retireStyle": _OWNER,
    "readPartingMap": _ALL,
    "takeOff": _ALL,
    "drawParting": _ALL,
    "listRates": _LOOKS,
    "readRate": _LOOKS,
    "setRate": _OWNER,
    "resetRate": _OWNER,
    "listChairs": _LOOKS,
    "addChair": _OWNER,
    "readChair": _LOOKS,
    "replaceChair": _OWNER,
    "retireChair": _OWNER,
    "listClosures": _LOOKS,
    "closeChair": _WORKS,
    "reopenChair": _WORKS,
    "listStaff": _LOOKS,
    "addStaff": _OWNER,
    "readStaff": _ALL,
    "replaceStaff": _OWNER,
    "retireStaff": _OWNER,
    "listShifts": _ALL,
    "addShift": _WORKS,
    "readShift": _ALL,
    "replaceShift": _WORKS,
    "removeShift": _WORKS,
    "listFinishedVisits": _ALL,
    "addFinishedVisit": _WORKS,
    "removeFinishedVisit": _WORKS,
    "readPace": _ALL,
    "adoptPace": _OWNER,
    "listRules": _LOOKS,
    "readRule": _LOOKS,
    "setRule": _OWNER,
    "resetRule": _OWNER,
    "readRuleSetting": _LOOKS,
    "putRuleSetting": _OWNER,
    "removeRuleSetting": _OWNER,
    "listBreakLaws": _ALL,
    "readBreakLaw": _ALL,
    "adoptBreakLaw": _OWNER,
    "findOpenings": _LOOKS,
    "rearrangeDays": _LOOKS,
    "askWhyNot": _LOOKS,
    "listHolds": _LOOKS,
    "holdOpening": _WORKS,
    "readHold": _LOOKS,
    "releaseHold": _WORKS,
    "bookHold": _WORKS,
    "findGroupOpenings": _LOOKS,
    "findSeriesOpenings": _LOOKS,
    "createBookingSet": _WORKS,
    "readWaitingList": _LOOKS,
    "askGapTakers": _LOOKS,
    "offerPlace": _WORKS,
    "listBookings": _LOOKS,
    "createBooking": _WORKS,
    "readBooking": _LOOKS,
    "changeBooking": _WORKS,
    "cancelBooking": _WORKS,
    "makePlan": _WORKS,
    "readPlan": _LOOKS,
    "watchPlan": _LOOKS,
    "cancelPlan": _WORKS,
    "repairDays": _WORKS,
    "readRepair": _LOOKS,
    "acceptRepair": _WORKS,
    "readDay": _ALL,
    "chairUtilisation": _LOOKS,
    "hairDemand": _LOOKS,
    "staffUtilisation": _LOOKS,
    "pairing": _LOOKS,
    "idleCauses": _LOOKS,
    "turnedAway": _LOOKS,
    "weekTrend": _LOOKS,
    "hairUse": _LOOKS,
    "adoptHairRate": _OWNER,
    "readVisitClock": _LOOKS | _CREW,
    "tapVisit": _WORKS | _CREW,
    "untapVisit": _WORKS | _CREW,
    "readVisitHair": _LOOKS | _CREW,
    "useHair": _WORKS | _CREW,
    "listStockEntries": _LOOKS,
    "addStockEntry": _WORKS,
    "listCalendarFeeds": _OWNER,
    "makeCalendarFeed": _OWNER,
    "revokeCalendarFeed": _OWNER,
    "listChanges": _OWNER,
    "listWebhooks": _OWNER,
    "addWebhook": _OWNER,
    "readWebhook": _OWNER,
    "removeWebhook": _OWNER,
    "exportClient": _OWNER,
    "eraseClient": _OWNER,
    "listHairStock": _LOOKS,
    "readHairStock": _LOOKS,
    "setHairStock": _WORKS,
}

HER_OWN = frozenset({"readStaff", "listShifts", "readShift", "listFinishedVisits", "readPace"})
"""Of these a stylist may see only what is told of herself; of a day, `own_day` leaves her part."""


def roles_of(operation: str | None) -> tuple[Role, ...]:
    """The roles that may do it, in the order of their definition; none for what is not listed."""
    may = MAY.get(operation or "", frozenset())
    return tuple(role for role in Role if role in may)


def require_allowed(caller: Caller, person: str | None) -> None:
    """Raises NotAllowedError that says which role is needed.

    `person` is the person whom the path names, where it is about one.
    """
    roles = roles_of(caller.operation)
    if caller.role not in roles:
        needed = " or ".join(roles) or "nobody"
        raise NotAllowedError(f"this is for {needed}; the token is {caller.role}'s", roles)
    if (
        caller.role is Role.STYLIST
        and caller.operation in HER_OWN
        and (caller.staff is None or person != caller.staff)
    ):
        others = tuple(role for role in roles if role is not Role.STYLIST)
        raise NotAllowedError(
            f"a stylist sees only what is her own; the rest is for {' or '.join(others)}", others
        )
