"""Running the HTTP service from a process that has other things to do."""

from __future__ import annotations

from pathlib import Path

import httpx
import pytest

from api.cli.refusal import RefusalError
from api.cli.service import BackgroundServer, bound_socket
from api.settings import Settings


def settings(folder: Path, **more: object) -> Settings:
    return Settings.model_validate({"database": f"sqlite:///{folder / 'book.db'}", **more})


def test_a_background_server_answers_until_its_block_ends(tmp_path: Path) -> None:
    with bound_socket("127.0.0.1", 0) as bound:
        with BackgroundServer(settings(tmp_path), bound) as server:
            live = httpx.get(f"{server.url}/v1/health/live", trust_env=False)
            assert live.is_success
        with pytest.raises(httpx.TransportError):
            httpx.get(f"{server.url}/v1/health/live", trust_env=False, timeout=2)


def test_waiting_for_it_ends_when_it_ends(tmp_path: Path) -> None:
    with (
        bound_socket("127.0.0.1", 0) as bound,
        BackgroundServer(settings(tmp_path), bound) as server,
    ):
        server.stop()
        server.wait()


def test_a_port_can_be_bound_once(tmp_path: Path) -> None:
    with bound_socket("127.0.0.1", 0) as bound:
        port = bound.getsockname()[1]
        with pytest.raises(RefusalError, match=f"port {port} is in use"):
            bound_socket("127.0.0.1", port)


def test_a_server_without_its_database_does_not_start(tmp_path: Path) -> None:
    (tmp_path / "book.db").mkdir()
    with (
        bound_socket("127.0.0.1", 0) as bound,
        pytest.raises(RefusalError, match=r"book\.db"),
        BackgroundServer(settings(tmp_path), bound),
    ):
        pass  # pragma: no cover - it must not come to this
