"""What the client wants: technique, size, length, parting and curls."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.hair import HairChoice
from schemas.units import Centimetres, Count, Currency, Flag, Identifier, MinorUnits, Number, Text

MAX_SECTIONS = 24
MAX_ROWS = 60
MAX_BOXES_PER_ROW = 60
MAX_BRAIDS = 2000

Boxes = Annotated[int, Field(ge=1, le=MAX_BOXES_PER_ROW), Number]
HeadCircumference = Annotated[float, Field(ge=40, le=70), Number]
CurlCount = Annotated[int, Field(ge=0, le=40), Number]


class Lay(StrEnum):
    """How the boxes of one row lie against the row before."""

    BRICK = "brick"
    """Each braid falls in the gap of the row before."""
    GRID = "grid"
    """Each braid falls under the braid of the row before."""


class Region(StrEnum):
    """Where on the head a section lies."""

    FRONT = "front"
    TEMPLE = "temple"
    CROWN = "crown"
    BACK = "back"
    NAPE = "nape"
    PERIMETER = "perimeter"
    """A ring along the hairline, all the way round."""


class Side(StrEnum):
    """The wearer's left or right, or both."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


class RowPattern(Document):
    """Rows that repeat: `first` 3, 4 and 7 `rows` is 3, 4, 3, 4, 3, 4, 3."""

    first: Annotated[tuple[Boxes, ...], Field(min_length=1, max_length=MAX_ROWS)]
    rows: Annotated[int, Field(ge=1, le=MAX_ROWS), Number]

    def expand(self) -> tuple[int, ...]:
        return tuple(self.first[index % len(self.first)] for index in range(self.rows))


class Section(Document):
    """One part of the head: its rows from the hairline inwards, one braid for each box."""

    name: Identifier
    region: Region | None = None
    """Empty follows the first word of the name; where that says nothing, a mirror lies where its
    original does and other sections at the back."""
    side: Side | None = None
    """Empty follows the last word of the name, for example `front-left`; where that says nothing, a
    mirror lies across from its original and other sections on both sides."""
    rows: Annotated[tuple[Boxes, ...], Field(max_length=MAX_ROWS)] = ()
    """Boxes in each row. Leave empty when `pattern` or `mirror_of` says it."""
    pattern: RowPattern | None = None
    mirror_of: Identifier | None = None
    """Name of the section on the other side that this one repeats: rows, lay and, unless it states
    its own, curls."""
    lay: Lay = Lay.BRICK
    curls: Annotated[tuple[CurlCount, ...], Field(max_length=MAX_ROWS)] = ()
    """Curls per braid, row by row; empty follows the style's curl plan."""

    @model_validator(mode="after")
    def _says_its_rows_once(self) -> Self:
        said = sum((bool(self.rows), self.pattern is not None, self.mirror_of is not None))
        if said != 1:
            raise ValueError("state exactly one of rows, pattern and mirror_of")
        if self.mirror_of == self.name:
            raise ValueError("a section cannot mirror itself")
        return self

    def place(self, original: Section | None = None) -> Region:
        """Where the section lies: stated, read off its name, or where its `original` lies."""
        if self.region is not None:
            return self.region
        named = _REGION_OF_WORD.get(self.name.split("-", 1)[0])
        if named is None and original is not None:
            return original.place()
        return named or Region.BACK

    def half(self, original: Section | None = None) -> Side:
        """Which side it lies on: stated, read off its name, or across from its `original`."""
        if self.side is not None:
            return self.side
        named = _SIDE_OF_WORD.get(self.name.rsplit("-", 1)[-1])
        if named is None and original is not None:
            return _ACROSS[original.half()]
        return named or Side.BOTH

    def own_rows(self) -> tuple[int, ...]:
        """Boxes in each row, hairline first; empty for a mirror."""
        return self.pattern.expand() if self.pattern is not None else self.rows


_REGION_OF_WORD = {region.value: region for region in Region} | {
    "temples": Region.TEMPLE,
    "edges": Region.PERIMETER,
}
_SIDE_OF_WORD = {"left": Side.LEFT, "right": Side.RIGHT}
_ACROSS = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.BOTH: Side.BOTH}


class Parting(Document):
    """The layout of rows on the head, section by section."""

    sections: Annotated[tuple[Section, ...], Field(min_length=1, max_length=MAX_SECTIONS)]

    @model_validator(mode="after")
    def _mirrors_what_is_there(self) -> Self:
        by_name = {section.name: section for section in self.sections}
        if len(by_name) != len(self.sections):
            raise ValueError("two sections carry the same name")
        for section in self.sections:
            if section.mirror_of is None:
                continue
            original = by_name.get(section.mirror_of)
            if original is None:
                raise ValueError(f"{section.name} mirrors {section.mirror_of}, which is not there")
            if original.mirror_of is not None:
                raise ValueError(f"{section.name} mirrors {section.mirror_of}, itself a mirror")
        braids = sum(
            sum(by_name[section.mirror_of or section.name].own_rows()) for section in self.sections
        )
        if braids > MAX_BRAIDS:
            raise ValueError(
                f"the sections hold {braids} braids; a head holds at most {MAX_BRAIDS}"
            )
        return self


class CurlPlacement(StrEnum):
    """Where loose hair is left out."""

    NONE = "none"
    ALONG = "along"
    """Along the braid, and at its end."""
    ENDS = "ends"
    """Only at the end of the braid."""


class CurlPlan(Document):
    """How many curls a braid carries unless its row says otherwise."""

    placement: CurlPlacement = CurlPlacement.NONE
    per_braid: CurlCount = 0
    crown_and_front_extra: CurlCount = 0
    """Further curls on each braid of a crown or front section. In a back section they grow from
    none at the nape to all of them at the top; temples, nape and perimeter get none."""
    fullness: Annotated[float, Field(ge=0.25, le=3), Number] = 1.0
    """One factor on the number of curls, for fuller (above 1) or lighter (below 1)."""
    length_cm: Centimetres | None = None
    """Visible length of a curl; empty follows the house rate `curl-length`."""

    @model_validator(mode="after")
    def _no_curls_without_a_place(self) -> Self:
        if self.placement is CurlPlacement.NONE and (self.per_braid or self.crown_and_front_extra):
            raise ValueError("curls are counted but their placement is none")
        if self.placement is not CurlPlacement.NONE and self.per_braid == 0:
            raise ValueError("a curl placement needs at least one curl per braid")
        return self


class Wearer(Document):
    """What about the person in the chair changes the work or asks for care."""

    child: Flag = False
    tender_scalp: Flag = False
    """Soreness, thinning edges or a scalp condition that she mentions."""
    relaxed_hair: Flag = False


class Style(Document):
    """A style as the client describes it.

    The braids come from the `parting`, else from `braids`, else from the size's density.
    """

    name: Text
    technique: Identifier
    size: Identifier
    """A size class of the house, for example `small`; its box width is in the rates."""
    box_width_cm: Annotated[float, Field(ge=0.5, le=10), Number] | None = None
    """Width of a box, where it is measured rather than named; it then goes before `size`."""
    length_cm: Centimetres
    parting: Parting | None = None
    braids: Annotated[int, Field(ge=1, le=MAX_BRAIDS), Number] | None = None
    head_circumference_cm: HeadCircumference | None = None
    """Empty follows the house rate for a grown head, or for a child's."""
    curls: CurlPlan = CurlPlan()
    hair: Annotated[tuple[HairChoice, ...], Field(max_length=8)] = ()
    """Hair the style takes; empty follows the technique."""
    take_down: Flag = False
    """An old install comes out first."""
    take_down_braids: Annotated[int, Field(ge=1, le=MAX_BRAIDS), Number] | None = None
    """Braids of the old install; empty counts as many as the new style has."""
    wash: Flag = True
    hot_water_set: Flag = False
    wearer: Wearer = Wearer()

    @model_validator(mode="after")
    def _counted_one_way(self) -> Self:
        if self.parting is not None and self.braids is not None:
            raise ValueError("state the parting or the number of braids, not both")
        if self.take_down_braids is not None and not self.take_down:
            raise ValueError("take_down_braids is for a style with a take_down")
        return self


class MenuEntry(Document):
    """One line of the style menu: a style the salon sells, with its price."""

    id: Identifier
    style: Style
    price: MinorUnits
    """In minor units of `currency`, hair not included."""
    currency: Currency
    max_assistants: Annotated[int, Field(ge=0, le=3), Number] = 1
    chair_features: Annotated[tuple[Identifier, ...], Field(max_length=12)] = ()
    tags: Annotated[tuple[Identifier, ...], Field(max_length=12)] = ()
    retired: Flag = False


class StyleChange(Document):
    """What this client wants otherwise than the menu says; empty fields keep the menu's."""

    size: Identifier | None = None
    box_width_cm: Annotated[float, Field(ge=0.5, le=10), Number] | None = None
    length_cm: Centimetres | None = None
    parting: Parting | None = None
    braids: Annotated[int, Field(ge=1, le=MAX_BRAIDS), Number] | None = None
    head_circumference_cm: HeadCircumference | None = None
    curls: CurlPlan | None = None
    hair: Annotated[tuple[HairChoice, ...], Field(max_length=8)] | None = None
    take_down: Flag | None = None
    take_down_braids: Annotated[int, Field(ge=1, le=MAX_BRAIDS), Number] | None = None
    wash: Flag | None = None
    hot_water_set: Flag | None = None
    wearer: Wearer | None = None

    def applied_to(self, style: Style) -> Style:
        """The menu's style with these changes.

        A new count replaces the old one, however it was stated; a new size or box width without a
        new count is counted from its density, since the menu's parting was drawn for the old size.
        Raises pydantic's ValidationError where the result makes no style.
        """
        changes = {
            name: getattr(self, name)
            for name in type(self).model_fields
            if getattr(self, name) is not None
        }
        if changes.keys() & {"parting", "braids", "size", "box_width_cm"}:
            changes = {"parting": None, "braids": None} | changes
        if "size" in changes:
            changes = {"box_width_cm": None} | changes
        if changes.get("take_down") is False:
            changes = {"take_down_braids": None} | changes
        kept = {name: getattr(style, name) for name in Style.model_fields}
        return Style.model_validate(kept | changes)


__all__ = [
    "MAX_BOXES_PER_ROW",
    "MAX_BRAIDS",
    "MAX_ROWS",
    "Count",
    "CurlPlacement",
    "CurlPlan",
    "Lay",
    "MenuEntry",
    "Parting",
    "Region",
    "RowPattern",
    "Section",
    "Side",
    "Style",
    "StyleChange",
    "Wearer",
]
