"""Thin: a typed question in, a service asked, a document out."""

from __future__ import annotations

from api.controllers.chairs import ChairController
from api.controllers.hair_stock import HairStockController
from api.controllers.health import HealthController
from api.controllers.rules import RuleController
from api.controllers.salon import SalonController
from api.controllers.staff import StaffController
from api.controllers.styles import StyleController

ROUTES = (
    SalonController,
    StyleController,
    ChairController,
    StaffController,
    RuleController,
    HairStockController,
    HealthController,
)
