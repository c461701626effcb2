"""What holds for the whole suite."""

from __future__ import annotations

import os
from collections.abc import Generator

import pytest
from hypothesis import HealthCheck, settings

from tests.api.databases import drop_template

# A shared machine stalls now and then: an example that takes long is no failure of ours.
settings.register_profile("partline", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("partline")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Where CI is set, a test that needs a real service may not be skipped."""
    report = yield
    if report.skipped and os.environ.get("CI") and item.get_closest_marker("service"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped, and CI must not skip it: {report.longrepr}"
    return report


def pytest_sessionfinish() -> None:
    drop_template()
