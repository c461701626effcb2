"""All services of one salon, as the controllers are handed them."""

from __future__ import annotations

from dataclasses import dataclass

from api.clock import Clock
from api.services.bookings import Bookings
from api.services.break_laws import BreakLaws
from api.services.catalogue import Catalogue
from api.services.changes import Changes
from api.services.clients import Clients
from api.services.days import Days
from api.services.feeds import Feeds
from api.services.figures import Figures
from api.services.hair_learning import HairLearning
from api.services.health import Health
from api.services.holds import Holds
from api.services.house_rates import HouseRates
from api.services.house_rules import HouseRules
from api.services.jobs import Jobs
from api.services.moves import Moves
from api.services.once import Repeats
from api.services.openings import Openings
from api.services.pace import Pace
from api.services.plans import Plans
from api.services.pruning import Pruner
from api.services.quantities import Quantities
from api.services.rearranging import Rearranging
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
from schemas.resources import Chair, StaffMember
from schemas.style import MenuEntry


@dataclass(frozen=True)
class Desk:
    """What can be asked at the desk."""

    salon: SalonService
    menu: Catalogue[MenuEntry]
    quantities: Quantities
    chairs: Catalogue[Chair]
    staff: Catalogue[StaffMember]
    rota: Rota
    pace: Pace
    rates: HouseRates
    rules: HouseRules
    break_laws: BreakLaws
    openings: Openings
    rearranging: Rearranging
    bookings: Bookings
    holds: Holds
    series: Series
    sets: SellingSets
    waiting: WaitingLists
    jobs: Jobs
    runner: Runner
    plans: Plans
    webhooks: WebhookDesk
    postman: Postman
    pruner: Pruner
    solves: ShortSolves
    reasons: Reasons
    repairs: Repairs
    days: Days
    figures: Figures
    shelf: Shelf
    ledger: StockLedger
    clocks: VisitClocks
    hair_learning: HairLearning
    feeds: Feeds
    health: Health
    repeats: Repeats
    changes: Changes
    tokens: Tokens
    moves: Moves
    watching: Watching
    clock: Clock
    sessions: Sessions
    clients: Clients

    async def open(self) -> None:
        """Begin what goes on in the background."""
        await self.plans.recover()
        self.runner.start()
        self.postman.start()
        self.pruner.start()

    async def close(self) -> None:
        """End what is under way. For the end of the service; doing it again changes nothing."""
        self.solves.close()
        self.watching.close()
        await self.jobs.close()
        await self.runner.close()
        await self.postman.close()
        await self.pruner.close()
