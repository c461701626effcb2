"""Pages of a list: some items, and where to go on."""

from __future__ import annotations

from schemas.base import Document
from schemas.dealings import BookingRecord
from schemas.finished import FinishedVisitRecord
from schemas.holds import Hold
from schemas.ledger import StockEntry
from schemas.rates import HouseRate
from schemas.resources import Chair, Shift, StaffMember
from schemas.rules import BreakLaw, RuleDescription, RuleSetting
from schemas.salon import Closure
from schemas.shelf import ShelfLine
from schemas.style import MenuEntry
from schemas.units import Identifier


class Page(Document):
    """`next` is the value of `after` that gives the next page; without it this is the last."""

    next: Identifier | None = None


class ChairPage(Page):
    items: tuple[Chair, ...]


class StaffPage(Page):
    items: tuple[StaffMember, ...]


class MenuPage(Page):
    items: tuple[MenuEntry, ...]


class ShiftPage(Page):
    items: tuple[Shift, ...]


class ClosurePage(Page):
    items: tuple[Closure, ...]


class ShelfPage(Page):
    items: tuple[ShelfLine, ...]


class BookingPage(Page):
    items: tuple[BookingRecord, ...]


class HoldPage(Page):
    items: tuple[Hold, ...]


class StockEntryPage(Page):
    items: tuple[StockEntry, ...]


class RatePage(Page):
    items: tuple[HouseRate, ...]


class FinishedVisitPage(Page):
    items: tuple[FinishedVisitRecord, ...]


class HouseRule(Document):
    """A rule the engine knows, and its settings; without one it always holds as it is."""

    description: RuleDescription
    setting: RuleSetting | None
    """The first of `settings`."""
    settings: tuple[RuleSetting, ...] = ()
    """Several, told apart by their labels, where the rule may be set several times."""
    own: bool
    """True where the salon has set it, false where the house's default holds."""


class RulePage(Page):
    items: tuple[HouseRule, ...]


class BreakLawPage(Page):
    items: tuple[BreakLaw, ...]
