"""Hair demand per day and material against the shelf and what is under way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import ceil, fsum, sqrt
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.hair import Material, StockLine
from schemas.reports import Definition, HairDemand, HairDemandLine, HairDemandTotal
from solver.errors import DayBookError, Fault, InputError
from solver.takeoff import house_materials
from solver.takeoff.odds import standard_quantile
from solver.takeoff.rates import rate_book
from solver.takeoff.work import with_work

CRUMB = 1e-6
"""Grams below which a lack is the noise of adding floats, not a pack to buy."""

DEFINITIONS = (
    Definition(
        figure="needed",
        numerator="Hair of CONFIRMED bookings whose placed start, else promised start, lies on the "
        "local date. Waste is included, packs are not rounded.",
        unit="g",
    ),
    Definition(
        figure="tentative",
        numerator="The same for TENTATIVE bookings; counted in no other figure.",
        unit="g",
    ),
    Definition(
        figure="available",
        numerator="Stock as of its date, plus arrivals due up to and on the day, minus the salon's "
        "own demand of earlier days; never below zero. Hair not yet ordered is not counted.",
        unit="g",
    ),
    Definition(
        figure="under-way",
        numerator="On order, and due after the day.",
        unit="g",
    ),
    Definition(
        figure="short",
        numerator="needed - brought by clients - available, never below zero. Nothing is short "
        "before the stock's date: that hair has been used.",
        unit="g",
    ),
    Definition(
        figure="packs-to-order",
        numerator="Whole packs that cover what is short up to the day, less the packs of earlier "
        "lines, so that the packs of all lines are the shopping list.",
        unit="packs",
    ),
    Definition(
        figure="order-by",
        numerator="The date minus the supplier's days, where packs are to be ordered.",
        unit="date",
    ),
    Definition(
        figure="margin",
        numerator="z x cv-hair x root of the sum of squares of all heads up to the day, less the "
        "same up to the line before: what the salon's own need may exceed the take-offs' at the "
        "percentile, each head apart from the others. cv-hair is a rate, z the normal quantile.",
        unit="g",
        source="Safety stock for independent demands, as in any text on inventory; from memory.",
    ),
    Definition(
        figure="packs-with-margin",
        numerator="As packs-to-order, with the margin needed too; likewise order-by-with-margin.",
        unit="packs",
    ),
)


@dataclass
class _Day:
    """Hair of one material on one day, in grams, one entry for each booking."""

    needed: list[float] = field(default_factory=list)
    brought: list[float] = field(default_factory=list)
    provided: list[float] = field(default_factory=list)
    tentative: list[float] = field(default_factory=list)
    visits: list[str] = field(default_factory=list)

    @property
    def own(self) -> float:
        """What the salon has to provide."""
        return fsum((*self.needed, *(-grams for grams in self.brought)))

    @property
    def squares(self) -> float:
        """Sum of the squares of what the salon provides, head by head."""
        return fsum(grams**2 for grams in self.provided)


def hair_demand(
    day_book: DayBook,
    first: date,
    last: date,
    *,
    stock_as_of: date | None = None,
    percentile: int = 95,
) -> HairDemand:
    """What hair is needed from `first` to `last`, both included, and what to order by when.

    `stock_as_of` is the day at whose start the stock was counted, by default the first opening day
    of the book or `first`, whichever is earlier; demand from that day on is taken off the shelf.
    The margin covers what heads may take beyond their take-offs at `percentile`.
    Raises InputError where `last` is before `first`, DayBookError for an unknown material,
    StyleError for a take-off that does not make sense.
    """
    if last < first:
        raise InputError(Fault("to", f"the last day {last} is before the first day {first}"))
    day_book = with_work(day_book)
    zone = ZoneInfo(day_book.zone)
    opening_days = (window.start.astimezone(zone).date() for window in day_book.open)
    counted = stock_as_of or min(first, *opening_days)
    days = _by_material_and_day(day_book, zone, min(counted, first), last)
    materials = {material.id: material for material in (*house_materials(), *day_book.materials)}
    stock = {line.material: line for line in day_book.stock}
    spread = standard_quantile(percentile) * rate_book(day_book.rates)["cv-hair"]
    lines: list[HairDemandLine] = []
    for material, demand in days.items():
        shelf = _Shelf(materials[material], stock.get(material), counted, spread)
        for day in sorted(demand):
            line = shelf.line(day, demand[day], asked=day >= first)
            if day >= first:
                lines.append(line)
    lines.sort(key=lambda line: (line.date, line.material))
    return HairDemand(
        first_day=first,
        last_day=last,
        zone=day_book.zone,
        definitions=DEFINITIONS,
        stock_as_of=counted,
        percentile=percentile,
        lines=tuple(lines),
        totals=_totals(lines, stock),
    )


def local_date(booking: Booking, zone: ZoneInfo) -> date:
    """The day a booking falls on: where it is placed, else where it is promised."""
    start = booking.promise.start if booking.placed is None else booking.placed.window.start
    return start.astimezone(zone).date()


def _by_material_and_day(
    day_book: DayBook, zone: ZoneInfo, first: date, last: date
) -> dict[str, dict[date, _Day]]:
    known = {material.id for material in (*house_materials(), *day_book.materials)}
    days: dict[str, dict[date, _Day]] = defaultdict(lambda: defaultdict(_Day))
    for index, booking in enumerate(day_book.bookings):
        day = local_date(booking, zone)
        if booking.status is BookingStatus.CANCELLED or not first <= day <= last:
            continue
        for place, hair in enumerate(booking.hair):
            if hair.material not in known:
                pointer = f"/bookings/{index}/hair/{place}/material"
                raise DayBookError(Fault(pointer, f"no material is called {hair.material}"))
            entry = days[hair.material][day]
            if booking.status is BookingStatus.TENTATIVE:
                entry.tentative.append(hair.grams)
                continue
            entry.needed.append(hair.grams)
            own = entry.brought if hair.brought_by_client else entry.provided
            own.append(hair.grams)
            if booking.id not in entry.visits:
                entry.visits.append(booking.id)
    return days


class _Grams:
    """What lies on one shelf as the days go by, what was lacking, and the packs asked for."""

    def __init__(self, material: Material, stock: StockLine | None) -> None:
        self.material = material
        self.grams = 0.0 if stock is None else stock.on_hand_grams
        orders = () if stock is None else stock.on_order
        self.under_way = sorted(orders, key=lambda order: order.arrives)
        self.missing: list[float] = []
        self.packs = 0

    def take(self, day: date, grams: float) -> tuple[float, float]:
        """Grams on the shelf on `day` and grams short; the day's demand is then off the shelf."""
        while self.under_way and self.under_way[0].arrives <= day:
            self.grams += self.under_way.pop(0).grams
        available, short = self.grams, max(0.0, grams - self.grams)
        self.grams = max(0.0, self.grams - grams)
        return available, short if short > CRUMB else 0.0

    def order(self, day: date, short: float) -> tuple[int, date | None]:
        """Whole packs for what is short so far, less those of earlier days; by when."""
        self.missing.append(short)
        lacking = fsum((*self.missing, -self.packs * self.material.pack_grams))
        packs = max(0, ceil((lacking - CRUMB) / self.material.pack_grams))
        self.packs += packs
        return packs, day - timedelta(days=self.material.supplier_days) if packs else None


class _Shelf:
    """One material as the days go by, as reckoned and with the margin beside it."""

    def __init__(
        self, material: Material, stock: StockLine | None, counted: date, spread: float
    ) -> None:
        self.material, self.counted, self.spread = material, counted, spread
        self.plain = _Grams(material, stock)
        self.wide = _Grams(material, stock)
        self.squares: list[float] = []
        self.margin = 0.0

    def line(self, day: date, demand: _Day, *, asked: bool) -> HairDemandLine:
        """The day; `asked` is whether what is short on it is to be ordered."""
        available = under_way = short = margin = 0.0
        packs, order_by, wide_packs, wide_by = 0, None, 0, None
        if day >= self.counted:
            self.squares.append(demand.squares)
            whole = self.spread * sqrt(fsum(self.squares))
            margin, self.margin = whole - self.margin, whole
            available, short = self.plain.take(day, demand.own)
            _, wide_short = self.wide.take(day, demand.own + margin)
            under_way = fsum(order.grams for order in self.plain.under_way)
            if asked:
                packs, order_by = self.plain.order(day, short)
                wide_packs, wide_by = self.wide.order(day, wide_short)
        return HairDemandLine(
            date=day,
            material=self.material.id,
            needed=fsum(demand.needed),
            brought_by_clients=fsum(demand.brought),
            tentative=fsum(demand.tentative),
            available=available,
            under_way=under_way,
            short=short,
            packs_to_order=packs,
            order_by=order_by,
            margin=margin,
            packs_with_margin=wide_packs,
            order_by_with_margin=wide_by,
            visits=tuple(demand.visits),
        )


def _totals(
    lines: list[HairDemandLine], stock: Mapping[str, StockLine]
) -> tuple[HairDemandTotal, ...]:
    of: dict[str, list[HairDemandLine]] = defaultdict(list)
    for line in lines:
        of[line.material].append(line)
    return tuple(
        HairDemandTotal(
            material=material,
            needed=fsum(line.needed for line in own),
            brought_by_clients=fsum(line.brought_by_clients for line in own),
            tentative=fsum(line.tentative for line in own),
            on_hand=stock[material].on_hand_grams if material in stock else 0.0,
            on_order=fsum(each.grams for each in stock[material].on_order)
            if material in stock
            else 0.0,
            short=fsum(line.short for line in own),
            packs_to_order=sum(line.packs_to_order for line in own),
            order_by=min(filter(None, (line.order_by for line in own)), default=None),
            margin=fsum(line.margin for line in own),
            packs_with_margin=sum(line.packs_with_margin for line in own),
            order_by_with_margin=min(
                filter(None, (line.order_by_with_margin for line in own)), default=None
            ),
        )
        for material, own in sorted(of.items())
    )
