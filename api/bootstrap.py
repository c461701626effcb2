"""The composition root: which store, which clock, which services."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from api.clock import Clock
from api.postman import HttpSender
from api.problems import problem_of
from api.services.bookings import Bookings
from api.services.break_laws import BreakLaws
from api.services.catalogue import Catalogue
from api.services.changes import Changes
from api.services.clients import Clients
from api.services.days import Days
from api.services.desk import Desk
from api.services.feeds import Feeds
from api.services.figures import Figures
from api.services.hair_learning import HairLearning
from api.services.health import Check, Health
from api.services.holds import Holds
from api.services.house_rates import HouseRates
from api.services.house_rules import HouseRules
from api.services.job_ports import Queue
from api.services.jobs import BY_ITSELF, Jobs
from api.services.moves import Moves
from api.services.once import Repeats
from api.services.openings import Openings
from api.services.pace import Pace
from api.services.plans import Plans
from api.services.ports import Store
from api.services.pruning import Pruner
from api.services.quantities import Quantities
from api.services.reasons import Reasons
from api.services.repairs import Repairs
from api.services.rota import Rota
from api.services.runner import Runner
from api.services.salon import SalonService
from api.services.selling_sets import SellingSets
from api.services.series import Series
from api.services.sessions import Sessions
from api.services.shelf import Shelf
from api.services.short_solves import ShortSolves
from api.services.stock_ledger import StockLedger
from api.services.tokens import Tokens
from api.services.visit_clocks import VisitClocks
from api.services.waiting_list import WaitingLists
from api.services.watching import Watching
from api.services.webhooks import Postman, WebhookDesk
from api.settings import Settings
from api.store.engines import open_engines
from api.store.unit_of_work import SqlStore
from schemas.health import Part


def open_store(settings: Settings, clock: Clock | None = None) -> SqlStore:
    """The store the settings name; connects to nothing yet. `clock` tells when holds end."""
    return SqlStore(open_engines(settings), settings.salon, clock)


def open_queue(settings: Settings) -> Queue | None:
    """The queue that the settings name, if any; connects to nothing yet."""
    if settings.redis is None:
        return None
    from api.queueing import RedisJobs  # noqa: PLC0415 - SAQ is needed here alone

    return RedisJobs(settings)


def furnish(
    store: Store,
    settings: Settings,
    clock: Clock,
    checks: Sequence[Check] = (),
    queue: Queue | None = None,
) -> Desk:
    """The services over a store; `checks` are of what else is configured.

    With a queue, runs are handed to workers.
    """
    openings = Openings(store, clock)
    solves = ShortSolves(settings.solves)
    bookings = Bookings(store, clock, openings, solves)
    rules = HouseRules(store)
    anywhere = settings.webhooks == "anywhere"
    jobs = Jobs(store, queue, problem_of, settings.lease)
    return Desk(
        salon=SalonService(store),
        menu=Catalogue(store, "style", lambda unit: unit.menu),
        quantities=Quantities(store),
        chairs=Catalogue(store, "chair", lambda unit: unit.chairs),
        staff=Catalogue(store, "person", lambda unit: unit.staff),
        rota=Rota(store),
        pace=Pace(store, clock),
        rates=HouseRates(store),
        rules=rules,
        break_laws=BreakLaws(store, rules),
        openings=openings,
        rearranging=bookings.rearranging,
        bookings=bookings,
        holds=Holds(store, bookings.selling),
        series=Series(openings),
        sets=SellingSets(store, bookings.selling),
        waiting=WaitingLists(store, clock),
        jobs=jobs,
        webhooks=WebhookDesk(store, clock, anywhere=anywhere),
        pruner=Pruner(store, clock, settings.keep_runs),
        postman=Postman(store, HttpSender(clock, anywhere=anywhere)),
        runner=Runner(jobs),
        plans=Plans(store, clock, jobs, settings.solves),
        solves=solves,
        reasons=Reasons(store, clock, solves),
        repairs=Repairs(store, clock, jobs, settings.solves),
        days=Days(store),
        figures=Figures(store, clock),
        shelf=Shelf(store),
        ledger=StockLedger(store),
        clocks=VisitClocks(store, clock),
        hair_learning=HairLearning(store),
        feeds=Feeds(store, clock),
        health=Health(store, [*checks, *(() if queue is None else (_manned(queue),))]),
        repeats=Repeats(store, clock),
        changes=Changes(store),
        tokens=Tokens(store, clock),
        moves=Moves(store, clock, openings),
        watching=Watching(store, clock),
        clock=clock,
        clients=Clients(store, clock),
        sessions=Sessions(store, clock, timedelta(hours=settings.session_hours)),
    )


def _manned(queue: Queue) -> Check:
    async def check() -> Part:
        well = await queue.is_manned()
        told = "plans and repairs are made there" if well else f"none is there: {BY_ITSELF}"
        return Part(name="workers", well=well, detail=told)

    return check
