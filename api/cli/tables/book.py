"""The names behind the identifiers of a day book, for people."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from schemas.daybook import DayBook
from schemas.plan import PlannedVisit
from schemas.resources import Role, StaffMember


@dataclass(frozen=True)
class Names:
    """Looks up what people call a chair, a person, a visit or a material."""

    zone: ZoneInfo
    chairs: Mapping[str, str] = field(default_factory=dict)
    staff: Mapping[str, str] = field(default_factory=dict)
    clients: Mapping[str, str] = field(default_factory=dict)
    materials: Mapping[str, str] = field(default_factory=dict)
    roles: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, book: DayBook) -> Names:
        return cls(
            zone=ZoneInfo(book.zone),
            chairs={chair.id: chair.name for chair in book.chairs},
            staff={person.id: person.name for person in book.staff},
            clients={visit.id: visit.client for visit in (*book.bookings, *book.requests)},
            materials={material.id: material.name for material in book.materials},
            roles={person.id: spoken_role(person) for person in book.staff},
        )

    def chair(self, chair: str | None) -> str:
        return "no chair" if chair is None else self.chairs.get(chair, chair)

    def person(self, person: str) -> str:
        return self.staff.get(person, person)

    def role(self, person: str) -> str:
        return self.roles.get(person, "")

    def people(self, persons: Iterable[str]) -> str:
        return " + ".join(self.person(person) for person in persons)

    def client(self, visit: str) -> str:
        return self.clients.get(visit, visit)

    def material(self, material: str) -> str:
        return self.materials.get(material, material)

    def crew(self, visit: PlannedVisit) -> str:
        """The lead first, then her assistants."""
        return self.people((visit.lead, *visit.assistants))


def spoken_role(person: StaffMember) -> str:
    return "lead" if Role.LEAD in person.roles else "assistant"
