"""What a salon works with: chairs, basins, people and their shifts."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.units import Flag, HelpRate, Identifier, Level, Pace, Text
from schemas.windows import TimeWindow

Tags = Annotated[tuple[Identifier, ...], Field(max_length=12)]


class Chair(Document):
    """A chair and what it can do, for example `quiet`, `step-free`, `child-height`."""

    id: Identifier
    name: Text
    features: Tags = ()
    tags: Tags = ()
    retired: Flag = False


class Basin(Document):
    """A place to wash hair."""

    id: Identifier
    name: Text


class Role(StrEnum):
    """What a person may be on an install."""

    LEAD = "lead"
    ASSISTANT = "assistant"


class Skill(Document):
    """A skill tag and how well it is mastered."""

    tag: Identifier
    level: Level = 3


class StaffMember(Document):
    """One person. A lead owns installs; an assistant helps; some do both."""

    id: Identifier
    name: Text
    roles: Annotated[tuple[Role, ...], Field(min_length=1, max_length=2)]
    skills: Annotated[tuple[Skill, ...], Field(max_length=40)]
    pace: Pace = 1.0
    help_rate: HelpRate = 0.5
    """Minutes of the lead's work that one minute of this person's help replaces."""
    tags: Tags = ()
    retired: Flag = False

    @model_validator(mode="after")
    def _each_skill_once(self) -> Self:
        names = [skill.tag for skill in self.skills]
        if len(set(names)) != len(names):
            raise ValueError("a skill is listed twice")
        if len(set(self.roles)) != len(self.roles):
            raise ValueError("a role is listed twice")
        return self

    def masters(self, tag: str, level: int = 1) -> bool:
        return any(skill.tag == tag and skill.level >= level for skill in self.skills)


class Shift(Document):
    """When a person is in the salon."""

    id: Identifier
    staff: Identifier
    window: TimeWindow


class ChairClosure(Document):
    """When a chair cannot be used."""

    chair: Identifier
    window: TimeWindow
    reason: Text
