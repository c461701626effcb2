"""The demo's front desk: the HTTP API, spoken to in documents."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date
from types import TracebackType
from typing import Any, Self, TypeVar

import httpx
from pydantic import BaseModel

from api.cli.refusal import RefusalError
from schemas.dayview import DayView
from schemas.dealings import BookingRecord, NewBooking
from schemas.openings import OpeningsAnswer, OpeningsQuestion
from schemas.reports import ChairUtilisation, HairDemand
from schemas.runs import PlanOrder, PlanRun, RunState
from schemas.takeoff import TakeOff

D = TypeVar("D", bound=BaseModel)
_PATIENCE = 120.0
"""Seconds for one answer; a busy machine is slow, not broken."""
_GLANCE = 0.1
"""Seconds between two looks at a running plan."""


class FrontDesk:
    """Talks to the service at `url`. Every refusal is a RefusalError that names the call."""

    def __init__(self, url: str) -> None:
        # No proxy of the environment stands between this process and itself.
        self.url = url
        self._http = httpx.Client(base_url=url, timeout=_PATIENCE, trust_env=False)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._http.close()

    def tell(self, method: str, path: str, document: BaseModel) -> None:
        """Hand over a document, wanting nothing back."""
        self._call(method, path, document)

    def take_off(self, menu: str) -> TakeOff:
        answer = self._call("POST", "/v1/take-offs", {"menu": menu})
        return TakeOff.model_validate(answer)

    def parting_map(self, menu: str) -> str:
        """The address of a style's parting map, once the service has drawn it."""
        path = f"/v1/styles/{menu}/parting-map"
        self._answer("GET", path)
        return self.url + path

    def openings(self, question: OpeningsQuestion) -> OpeningsAnswer:
        return OpeningsAnswer.model_validate(self._call("POST", "/v1/openings", question))

    def book(self, wanted: NewBooking) -> BookingRecord:
        return BookingRecord.model_validate(self._call("POST", "/v1/bookings", wanted))

    def plan(self, order: PlanOrder, on_progress: Callable[[float], None]) -> PlanRun:
        """Order a plan and look at it until it is done; `on_progress` gets fractions up to 1."""
        run = PlanRun.model_validate(self._call("POST", "/v1/plans", order, {"wait": "false"}))
        while run.state is RunState.RUNNING:
            on_progress(run.fraction)
            time.sleep(_GLANCE)
            run = PlanRun.model_validate(self._call("GET", f"/v1/plans/{run.id}"))
        on_progress(1.0)
        if run.problem is not None:
            raise RefusalError(f"the plan failed: {run.problem.detail}")
        return run

    def day(self, day: date) -> DayView:
        return DayView.model_validate(self._call("GET", f"/v1/days/{day}"))

    def utilisation(self, week: str) -> ChairUtilisation:
        answer = self._call("GET", "/v1/reports/chair-utilisation", params={"week": week})
        return ChairUtilisation.model_validate(answer)

    def hair_demand(self, first: date, last: date) -> HairDemand:
        params = {"from": first.isoformat(), "to": last.isoformat()}
        return HairDemand.model_validate(
            self._call("GET", "/v1/reports/hair-demand", params=params)
        )

    def _call(
        self,
        method: str,
        path: str,
        body: BaseModel | dict[str, Any] | None = None,
        params: dict[str, str] | None = None,
    ) -> Any:
        answer = self._answer(method, path, body, params)
        return answer.json() if answer.content else None

    def _answer(
        self,
        method: str,
        path: str,
        body: BaseModel | dict[str, Any] | None = None,
        params: dict[str, str] | None = None,
    ) -> httpx.Response:
        plain = body.model_dump(mode="json") if isinstance(body, BaseModel) else body
        try:
            answer = self._http.request(method, path, json=plain, params=params)
        except httpx.HTTPError as error:
            raise RefusalError(f"{method} {path} got no answer ({type(error).__name__})") from None
        if answer.is_success:
            return answer
        raise RefusalError(f"{method} {path} was refused: {_told(answer)}")


def _told(answer: httpx.Response) -> str:
    """The problem's sentence and its first faults, or the bare status."""
    try:
        problem = answer.json()
    except ValueError:
        return str(answer.status_code)
    named = [f"{one['pointer']} {one['detail']}" for one in problem.get("errors", ())[:3]]
    return "; ".join([f"{answer.status_code} {problem.get('detail', '')}", *named])
