"""A run under way: its listeners, the slow, the late and those who leave."""

from __future__ import annotations

import asyncio
from datetime import date

import pytest

from api.services import live_runs
from api.services.live_runs import MOST_UNHEARD, LiveRun
from schemas.runs import PlanProgress, RunState
from solver.plan import Progress
from tests.builders import DAY

pytestmark = pytest.mark.anyio


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


def ended(state: RunState) -> PlanProgress:
    return PlanProgress(plan="plan-1", state=state, fraction=1.0)


def better(value: int, fraction: float = 0.5, day: date = DAY) -> Progress:
    return Progress(day, "accepted-value", value, 1000, (1000 - value) / value, fraction)


async def told(live: LiveRun, *values: int) -> None:
    """Tell as the solver does, from another thread."""
    for value in values:
        await asyncio.to_thread(live.hear, better(value))
    await asyncio.sleep(0)


async def test_a_late_listener_hears_the_latest_first() -> None:
    live = LiveRun("plan-1")
    await told(live, 40, 60)
    heard = live.events()
    first = await anext(heard)
    assert first is not None
    assert (first.value, first.bound, first.tier) == (60, 1000, "accepted-value")
    assert first.gap == pytest.approx(940 / 60)
    await told(live, 70)
    second = await anext(heard)
    assert second is not None
    assert second.value == 70
    await heard.aclose()  # type: ignore[attr-defined]  # it is a generator


async def test_a_listener_who_leaves_does_the_others_no_harm() -> None:
    live = LiveRun("plan-1")
    stays, leaves = live.events(), live.events()
    await anext(stays)
    await anext(leaves)
    await leaves.aclose()  # type: ignore[attr-defined]
    await told(live, 40)
    live.end(ended(RunState.DONE))
    assert [event.state for event in [each async for each in stays] if event] == ["running", "done"]
    assert live._listeners == set()


async def test_a_slow_listener_loses_the_oldest_and_never_the_last() -> None:
    live = LiveRun("plan-1")
    slow = live.events()
    await anext(slow)
    await told(live, *range(1, MOST_UNHEARD + 10))
    live.end(ended(RunState.CANCELLED))
    heard = [each async for each in slow if each is not None]
    assert len(heard) == MOST_UNHEARD
    assert heard[-1].state is RunState.CANCELLED
    assert heard[-2].value == MOST_UNHEARD + 9


async def test_after_the_end_nothing_more_is_told() -> None:
    live = LiveRun("plan-1")
    live.end(ended(RunState.DONE))
    await told(live, 40)
    assert [each.state async for each in live.events() if each is not None] == ["done"]


async def test_a_quiet_run_says_that_there_is_no_news(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live_runs, "QUIET_SECONDS", 0.01)
    live = LiveRun("plan-1")
    heard = live.events()
    assert await anext(heard) is not None
    assert await anext(heard) is None
    await told(live, 40)
    assert any([await anext(heard) is not None for _ in range(3)])
    await heard.aclose()  # type: ignore[attr-defined]
