"""One machine with all its parts, and the dashboard, as far as they can be read without running."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from api.cli.app import COMMANDS
from api.metrics import Metrics
from api.settings import PREFIX, Settings

ROOT = Path(__file__).parents[2]
COMPOSITION: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
SERVICES: dict[str, Any] = COMPOSITION["services"]
IMAGE = (ROOT / "deploy" / "Dockerfile").read_text()


def test_one_machine_has_all_that_is_said_of_it() -> None:
    assert set(SERVICES) == {"proxy", "api", "worker", "postgresql", "redis"}
    assert SERVICES["api"]["deploy"]["replicas"] == 2
    assert SERVICES["worker"]["deploy"]["replicas"] == 2
    assert SERVICES["worker"]["command"][0] in COMMANDS


@pytest.mark.parametrize("name", SERVICES)
def test_every_root_file_system_but_the_databases_is_read_only(name: str) -> None:
    assert SERVICES[name].get("read_only", False) is (name != "postgresql")


def test_nothing_but_the_proxy_is_reached_from_outside_and_that_from_this_machine_alone() -> None:
    published = {name: told["ports"] for name, told in SERVICES.items() if "ports" in told}
    assert published == {"proxy": ["127.0.0.1:8137:8137"]}


def test_what_the_services_are_told_is_a_setting() -> None:
    for name in ("api", "worker"):
        for variable in SERVICES[name]["environment"]:
            assert variable.removeprefix(PREFIX).lower() in Settings.model_fields


def test_the_image_is_built_in_two_stages_and_runs_as_nobody_special() -> None:
    stages = re.findall(r"^FROM \S+:\S+", IMAGE, re.MULTILINE)
    assert len(stages) == 2
    assert "pip install" not in IMAGE.rsplit("FROM", 1)[1]


def test_the_dashboard_asks_for_what_is_measured() -> None:
    board = json.loads((ROOT / "deploy" / "dashboard.json").read_text())
    measured = {
        sample.name for metric in Metrics().registry.collect() for sample in metric.samples
    } | {
        f"{metric.name}{ending}"
        for metric in Metrics().registry.collect()
        for ending in ("_total", "_bucket", "_count", "_sum")
    }
    asked = [target["expr"] for panel in board["panels"] for target in panel["targets"]]
    names = {name for each in asked for name in re.findall(r"\b(?:partline|process)_\w+", each)}
    assert names
    assert names <= measured
    assert len({panel["id"] for panel in board["panels"]}) == len(board["panels"])
