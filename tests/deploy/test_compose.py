"""The compose file and the image say what the guide says of them. No engine is needed to parse."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from api.settings import PREFIX, Settings

ROOT = Path(__file__).parents[2]
COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
DOCKERFILE = (ROOT / "deploy/Dockerfile").read_text()
SERVICES = sorted(COMPOSE["services"])


def test_the_api_postgresql_and_redis_are_there() -> None:
    assert {"api", "postgresql", "redis"} <= set(SERVICES)


@pytest.mark.parametrize("name", SERVICES)
def test_every_image_is_pinned_to_a_release(name: str) -> None:
    assert re.fullmatch(r"[a-z/]+:\d+\.\d+[\w.-]*", COMPOSE["services"][name]["image"])


@pytest.mark.parametrize("name", SERVICES)
def test_no_service_runs_as_root(name: str) -> None:
    user = COMPOSE["services"][name]["user"]
    assert re.fullmatch(r"[1-9]\d*:[1-9]\d*", user)


@pytest.mark.parametrize("name", SERVICES)
def test_every_service_gives_up_its_rights_and_tells_its_health(name: str) -> None:
    service = COMPOSE["services"][name]
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert service["healthcheck"]["test"]


def test_no_password_has_a_default() -> None:
    text = (ROOT / "docker-compose.yml").read_text()
    assert set(re.findall(r"\$\{(\w+)(.{2})", text)) == {("POSTGRES_PASSWORD", ":?")}


def test_every_volume_used_is_declared() -> None:
    used = {
        mount.split(":")[0]
        for service in COMPOSE["services"].values()
        for mount in service.get("volumes", ())
        if not mount.startswith((".", "/"))
    }
    assert used == set(COMPOSE["volumes"])


def test_the_api_waits_for_a_database_that_answers() -> None:
    api = COMPOSE["services"]["api"]
    assert api["depends_on"]["postgresql"]["condition"] == "service_healthy"
    assert api["build"]["dockerfile"] == "deploy/Dockerfile"
    assert (ROOT / api["build"]["dockerfile"]).is_file()


def test_the_image_is_pinned_and_ends_as_a_user_without_rights() -> None:
    bases = re.findall(r"^FROM (\S+)", DOCKERFILE, re.MULTILINE)
    assert bases
    assert all(re.fullmatch(r"python:\d+\.\d+\.\d+[\w.-]+", base) for base in bases)
    last_stage = DOCKERFILE[DOCKERFILE.rindex("\nFROM ") :]
    assert re.findall(r"^USER (\S+)", last_stage, re.MULTILINE) == ["10001:10001"]
    assert "HEALTHCHECK" in last_stage


def test_the_image_copies_only_folders_that_exist_and_are_sent_to_it() -> None:
    ignore = (ROOT / ".dockerignore").read_text().splitlines()
    for source in re.findall(r"^COPY (?!--from)(.+)$", DOCKERFILE, re.MULTILINE):
        for name in source.split()[:-1]:
            assert (ROOT / name).exists()
            assert f"!{name}" in ignore


def test_the_api_is_told_only_what_it_listens_to() -> None:
    environment = {
        name: value.replace("${POSTGRES_PASSWORD:?set it in .env}", "secret")
        for name, value in COMPOSE["services"]["api"]["environment"].items()
    }
    assert {name.removeprefix(PREFIX).lower() for name in environment} <= set(Settings.model_fields)
    assert Settings.from_environment(environment).database_url.startswith("postgresql+asyncpg://")
