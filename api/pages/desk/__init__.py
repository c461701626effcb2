"""The desk: the day, and what the front desk does with it.

Each page bears the name of the operation of the API that it shows or does: it is for the same
roles, and it stands under the same name in the log and in the record of changes.
"""

from __future__ import annotations

from api.pages.desk.clients import ClientPages
from api.pages.desk.days import DayPages
from api.pages.desk.happenings import HappeningPages
from api.pages.desk.visits import VisitPages

DESK = (DayPages, ClientPages, VisitPages, HappeningPages)
