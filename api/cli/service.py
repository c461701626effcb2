"""Running the HTTP service from the command line, and why it may not run, in a sentence."""

from __future__ import annotations

import asyncio
import errno
import socket
import sys
import threading
from collections.abc import Mapping
from types import TracebackType
from typing import Self

import uvicorn
from pydantic import ValidationError

from api.app import create_app
from api.cli.outlet import Outlet
from api.cli.refusal import RefusalError
from api.logs import logging_of
from api.services.errors import ServiceError
from api.serving import Server
from api.settings import PREFIX, Settings
from api.store.engines import open_engines
from api.store.migrate import upgrade

_START_LIMIT = 30.0
"""Seconds until a service that does not answer is given up."""
_FAREWELL = 0.2


def settings_from(environment: Mapping[str, str], stated: Mapping[str, object]) -> Settings:
    """The environment's settings with what the command line states. Raises RefusalError."""
    try:
        return Settings.model_validate(
            {**Settings.from_environment(environment).model_dump(), **stated}
        )
    except ValidationError as error:
        first = error.errors()[0]
        name = str(first["loc"][0]) if first["loc"] else "settings"
        source = f"--{name}" if name in stated else PREFIX + name.upper()
        raise RefusalError(f"{source} cannot be used: {first['msg']}") from None


def bound_socket(host: str, port: int) -> socket.socket:
    """A socket that owns `port`; 0 takes any. Raises RefusalError where it cannot be had."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        bound = socket.socket(family, kind, protocol)
    except OSError as error:
        raise RefusalError(f"{host} is no address of this machine ({error.strerror})") from None
    try:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        bound.bind(address)
        bound.listen(128)
    except OSError as error:
        bound.close()
        raise RefusalError(_why_not(error, host, port)) from None
    return bound


def _why_not(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        return f"port {port} is in use; stop what runs there, or choose another with --port"
    if error.errno == errno.EACCES:
        return f"port {port} is not allowed for this user; choose one above 1023 with --port"
    return f"{host}:{port} cannot be listened on ({error.strerror}); choose another with --port"


def sound_database(settings: Settings) -> None:
    """Bring the database to the level of this version. Raises RefusalError with what to do."""

    async def prepare() -> None:
        engines = open_engines(settings)
        try:
            await upgrade(engines.writer)
        except ServiceError:
            # The thread of a connection that failed still wants to tell this loop that it ends.
            await asyncio.sleep(_FAREWELL)
            raise
        finally:
            await engines.dispose()

    try:
        asyncio.run(prepare())
    except ServiceError as error:
        raise RefusalError(f"{_without_password(settings.database)}: {error}") from None


def _without_password(url: str) -> str:
    scheme, rest = url.split("://", 1)
    return f"{scheme}://{rest.rsplit('@', 1)[-1]}"


def serve_here(outlet: Outlet, settings: Settings) -> None:
    """Serve in this thread until Ctrl-C or SIGTERM. Raises RefusalError where it cannot start."""
    with bound_socket(settings.host, settings.port) as bound:
        if settings.migrate:
            sound_database(settings)
        port = bound.getsockname()[1]
        outlet.note(f"Serving on http://{settings.host}:{port}/, API under /v1. Ctrl-C stops.")
        app = create_app(settings)
        logs = logging_of(readable=sys.stderr.isatty())
        server = Server(app, uvicorn.Config(app, log_config=logs, access_log=False))
        try:
            server.run(sockets=[bound])
        except KeyboardInterrupt:
            outlet.note("Stopped.")


class BackgroundServer:
    """A service in a thread of this process, for as long as the `with` block runs."""

    def __init__(self, settings: Settings, bound: socket.socket) -> None:
        self._settings = settings
        self._socket = bound
        self.url = f"http://{settings.host}:{bound.getsockname()[1]}"
        app = create_app(settings)
        config = uvicorn.Config(app, log_level="critical", access_log=False)
        self._server = Server(app, config)
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._ended = threading.Event()

    def _run(self) -> None:
        try:
            self._server.run(sockets=[self._socket])
        finally:
            self._ended.set()

    def __enter__(self) -> Self:
        sound_database(self._settings)
        self._thread.start()
        for _ in range(int(_START_LIMIT / 0.05)):
            if self._server.started:
                return self
            if self._ended.wait(0.05):
                break
        self.stop()
        raise RefusalError("the service did not start; try partline serve to see its log")

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def stop(self) -> None:
        """Let what is under way be answered, then end."""
        self._server.should_exit = True
        self._ended.wait(10)

    def wait(self) -> None:
        """Serve on until the server ends; Ctrl-C is the caller's to catch."""
        # Not Thread.join: when Ctrl-C interrupts it, Python 3.11 takes the thread for ended.
        while not self._ended.wait(0.5):
            pass
