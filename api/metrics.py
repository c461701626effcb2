"""Figures for Prometheus, of this process alone: each process is asked for its own.

Labels are names of ours: nothing that a client said, and no path, becomes one.
"""

from __future__ import annotations

import time

from litestar import Response, get
from litestar.datastructures import State
from litestar.enums import ScopeType
from litestar.types import Message, Scope
from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    Info,
    ProcessCollector,
    generate_latest,
)
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4

from api.paths import WHOEVER_IS_KNOWN, operation_of
from api.services.desk import Desk
from api.version import VERSION

_SHORT = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 60)
_LONG = (0.1, 0.25, 0.5, 1, 2, 5, 10, 20, 30, 60, 120)
_GAPS = (0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1)


class Metrics:
    """What has been counted since the process began."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        to = self.registry
        self.requests = Counter(
            "partline_requests",
            "Requests answered, by operation and status.",
            ("operation", "method", "status"),
            registry=to,
        )
        self.seconds = Histogram(
            "partline_request_seconds",
            "Seconds from a request to the beginning of its answer.",
            ("operation",),
            buckets=_SHORT,
            registry=to,
        )
        self.refusals = Counter(
            "partline_refusals",
            "Refusals by the name of their problem type: conflicts, stale edits, gone openings.",
            ("type",),
            registry=to,
        )
        self.solve_seconds = Histogram(
            "partline_solve_seconds",
            "Seconds that the solver worked, by what for.",
            ("kind",),
            buckets=_LONG,
            registry=to,
        )
        self.solve_gap = Histogram(
            "partline_solve_gap",
            "What the first goal of a plan may still lack: |value - bound| / max(1, |value|).",
            ("kind",),
            buckets=_GAPS,
            registry=to,
        )
        self.running = Gauge(
            "partline_runs", "Plans and repairs under way or waiting, on record.", registry=to
        )
        self.asked = Gauge(
            "partline_questions", "Questions to the solver under way or waiting, here.", registry=to
        )
        Info("partline", "The software.", registry=to).info({"version": VERSION})
        ProcessCollector(registry=self.registry)

    def solved(self, kind: str, seconds: float, gap: float | None) -> None:
        """The solver has worked for `seconds`; `gap` where it has a plan to show."""
        self.solve_seconds.labels(kind).observe(seconds)
        if gap is not None:
            self.solve_gap.labels(kind).observe(gap)


async def count_answer(message: Message, scope: Scope) -> None:
    """A hook: counts a request when its answer begins."""
    if message["type"] != "http.response.start" or scope["type"] != ScopeType.HTTP:
        return
    metrics: Metrics = scope["litestar_app"].state.metrics
    operation = operation_of(scope) or "none"
    metrics.requests.labels(operation, scope["method"], str(message["status"])).inc()
    begun = scope["state"].get("begun")
    if begun is not None:
        metrics.seconds.labels(operation).observe(time.perf_counter() - begun)


@get("/metrics", opt=WHOEVER_IS_KNOWN)
async def metrics(state: State) -> Response[bytes]:
    """In the text format of Prometheus; whoever is known here may ask."""
    kept: Metrics = state.metrics
    desk: Desk = state.desk
    kept.running.set(await desk.health.runs())
    kept.asked.set(desk.solves.asked)
    return Response(generate_latest(kept.registry), media_type=CONTENT_TYPE_PLAIN_0_0_4)
