"""Thin: a typed question in, a service asked, a document out."""

from __future__ import annotations

from api.controllers.bookings import BookingController
from api.controllers.chairs import ChairController
from api.controllers.changes import ChangeController
from api.controllers.clients import ClientErasureController, ClientExportController
from api.controllers.days import DayController
from api.controllers.feeds import CalendarFeedController
from api.controllers.finished_visits import FinishedVisitController
from api.controllers.hair_stock import HairStockController
from api.controllers.health import HealthController
from api.controllers.holds import HoldController
from api.controllers.parting_maps import PartingMapController, StyleMapController
from api.controllers.plans import PlanController
from api.controllers.questions import (
    OpeningController,
    RearrangingController,
    TakeOffController,
    WhyNotController,
)
from api.controllers.rates import RateController
from api.controllers.repairs import RepairController
from api.controllers.reports import ReportController
from api.controllers.rules import BreakLawController, RuleController
from api.controllers.salon import SalonController
from api.controllers.staff import StaffController
from api.controllers.styles import StyleController
from api.controllers.together import (
    BookingSetController,
    GroupOpeningController,
    SeriesOpeningController,
)
from api.controllers.visits import VisitController
from api.controllers.waiting import GapTakerController, WaitingListController
from api.controllers.webhooks import WebhookController

ROUTES = (
    SalonController,
    StyleController,
    StyleMapController,
    TakeOffController,
    PartingMapController,
    RateController,
    ChairController,
    StaffController,
    FinishedVisitController,
    RuleController,
    BreakLawController,
    OpeningController,
    RearrangingController,
    WhyNotController,
    GroupOpeningController,
    SeriesOpeningController,
    HoldController,
    BookingSetController,
    WaitingListController,
    GapTakerController,
    BookingController,
    VisitController,
    PlanController,
    RepairController,
    DayController,
    ReportController,
    ChangeController,
    WebhookController,
    ClientExportController,
    ClientErasureController,
    HairStockController,
    CalendarFeedController,
    HealthController,
)
