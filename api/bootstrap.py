"""The composition root: which store, which clock, which services."""

from __future__ import annotations

from api.clock import Clock, SystemClock
from api.services.catalogue import Catalogue
from api.services.desk import Desk
from api.services.health import Health
from api.services.house_rules import HouseRules
from api.services.ports import Store
from api.services.rota import Rota
from api.services.salon import SalonService
from api.services.shelf import Shelf
from api.settings import Settings
from api.store.engines import open_engines
from api.store.unit_of_work import SqlStore


def open_store(settings: Settings) -> SqlStore:
    """The store the settings name; connects to nothing yet."""
    return SqlStore(open_engines(settings), settings.salon)


def furnish(store: Store, settings: Settings, clock: Clock | None = None) -> Desk:
    """The services over a store."""
    del settings, clock
    return Desk(
        salon=SalonService(store),
        menu=Catalogue(store, "style", lambda unit: unit.menu),
        chairs=Catalogue(store, "chair", lambda unit: unit.chairs),
        staff=Catalogue(store, "person", lambda unit: unit.staff),
        rota=Rota(store),
        rules=HouseRules(store),
        shelf=Shelf(store),
        health=Health(store),
    )


__all__ = ["SystemClock", "furnish", "open_store"]
