"""Finished visits, and the pace that is learned from them.

What is learned is offered; plans go on with the pace of the person's own document until somebody
adopts another.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import exp

from api.clock import Clock
from api.services.errors import AlreadyThereError, NotFoundError, UnprocessableError
from api.services.house_rates import rates_in_force
from api.services.opening_hours import local_day
from api.services.ports import Store, UnitOfWork, Versioned
from api.services.salon import salon_of
from api.services.versions import Expectation
from schemas.finished import FinishedVisitRecord, PaceAdoption, StaffPace
from schemas.resources import Role, StaffMember
from schemas.takeoff import FinishedVisit, PaceEstimate
from solver.errors import Fault
from solver.takeoff import techniques
from solver.takeoff.learning import learn_pace, overall_pace
from solver.takeoff.odds import Lognormal, standard_quantile
from solver.takeoff.rates import RateBook

FINEST = 2
"""Digits of a pace that is adopted; planners reckon in hundredths."""


def as_finished(lead: str, record: FinishedVisitRecord, rates: RateBook) -> FinishedVisit:
    """The record as it is learned from: booked minutes brought back to the middle (P50).

    The braiding is lognormal with the house's CV, so its percentile p is exp(z_p sigma) times its
    middle. What single braids add to the CV is left out: a record does not say how many there were.
    """
    sigma = Lognormal(1.0, rates["cv-braiding"]).sigma
    middle = record.booked / exp(standard_quantile(record.percentile) * sigma)
    return FinishedVisit(
        lead=lead, technique=record.technique, reckoned=middle, took=min(record.work, 20_160)
    )


def estimate_for(
    lead: str, technique: str, records: Iterable[FinishedVisitRecord], rates: RateBook
) -> PaceEstimate | None:
    """Her learned pace in one technique; None where she has no finished visit in it."""
    visits = [
        as_finished(lead, record, rates) for record in records if record.technique == technique
    ]
    return learn_pace(visits, rates)[0] if visits else None


class Pace:
    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def page(
        self, staff: str, after: str | None, limit: int
    ) -> tuple[tuple[FinishedVisitRecord, ...], str | None]:
        """Finished visits of one person, in order of their names."""
        async with self.store.reading() as unit:
            await _person(unit, staff)
            found = await unit.finished.page_of(staff, after=after, limit=limit + 1)
        return found[:limit], found[limit - 1].id if len(found) > limit else None

    async def add(self, staff: str, record: FinishedVisitRecord) -> FinishedVisitRecord:
        """Raises UnprocessableError with pointers, AlreadyThereError for a name that is taken."""
        try:
            async with self.store.writing() as unit:
                person = (await _person(unit, staff)).document
                await self._require_right(unit, person, record)
                await unit.finished.add(staff, record)
        except AlreadyThereError as taken:
            raise AlreadyThereError(f"there is a finished visit {record.id} already") from taken
        return record

    async def remove(self, staff: str, name: str) -> None:
        """Forget a visit that was written down by mistake."""
        async with self.store.writing() as unit:
            await _person(unit, staff)
            if not await unit.finished.remove(staff, name):
                raise NotFoundError("finished visit", name)

    async def read(self, staff: str) -> StaffPace:
        async with self.store.reading() as unit:
            return await _pace(unit, (await _person(unit, staff)).document)

    async def adopt(
        self, staff: str, adoption: PaceAdoption, seen: Expectation
    ) -> Versioned[StaffMember]:
        """Plan with a learned pace from now on. Raises UnprocessableError where none is learned."""
        async with self.store.writing() as unit:
            there = await _person(unit, staff)
            seen.require(there.version)
            learned = _chosen(await _pace(unit, there.document), adoption)
            person = there.document.model_copy(update={"pace": round(learned.pace, FINEST)})
            return Versioned(person, await unit.staff.put(person))

    async def _require_right(
        self, unit: UnitOfWork, person: StaffMember, record: FinishedVisitRecord
    ) -> None:
        today = local_day(self.clock.now(), (await salon_of(unit)).zone)
        faults = []
        if Role.LEAD not in person.roles:
            faults.append(Fault("", f"{person.id} is no lead: a pace is learned of leads"))
        if record.technique not in techniques():
            known = ", ".join(techniques())
            faults.append(Fault("/technique", f"{record.technique} is not one of {known}"))
        if record.day > today:
            faults.append(Fault("/day", "is still to come"))
        if record.booking is not None:
            booked = await unit.bookings.get(record.booking)
            told = await unit.finished.of(person.id)
            if booked is None:
                faults.append(Fault("/booking", f"there is no booking {record.booking}"))
            elif any(each.booking == record.booking and each.id != record.id for each in told):
                faults.append(Fault("/booking", f"{record.booking} is written down already"))
        if faults:
            raise UnprocessableError(*faults)


async def _person(unit: UnitOfWork, name: str) -> Versioned[StaffMember]:
    found = await unit.staff.get(name)
    if found is None:
        raise NotFoundError("person", name)
    return found


async def _pace(unit: UnitOfWork, person: StaffMember) -> StaffPace:
    rates = await rates_in_force(unit)
    records = await unit.finished.of(person.id)
    visits = [as_finished(person.id, record, rates) for record in records]
    return StaffPace(
        staff=person.id,
        in_use=person.pace,
        overall=overall_pace(person.id, visits, rates),
        techniques=learn_pace(visits, rates),
    )


def _chosen(pace: StaffPace, adoption: PaceAdoption) -> PaceEstimate:
    if not pace.overall.visits:
        raise UnprocessableError(Fault("", "no finished visit is behind it: nothing is learned"))
    if adoption.technique is None:
        return pace.overall
    for estimate in pace.techniques:
        if estimate.technique == adoption.technique:
            return estimate
    detail = f"{pace.staff} has no finished visit in {adoption.technique}"
    raise UnprocessableError(Fault("/technique", detail))
