"""A service behind a real socket, in a thread of its own."""

from __future__ import annotations

import asyncio
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Literal

import uvicorn

from api.app import create_app
from api.clock import Clock
from api.serving import Server
from api.settings import Settings


def a_served_book(
    book: Path, clock: Clock | None = None, tokens: Literal["required", "off"] = "off"
) -> AbstractContextManager[str]:
    """The address of a service over the SQLite file `book`."""
    return a_served(Settings(database=f"sqlite:///{book}", tokens=tokens), clock)


@contextmanager
def a_served(settings: Settings, clock: Clock | None = None) -> Iterator[str]:
    """The address of a service."""
    app = create_app(settings, clock)
    bound = socket.create_server(("127.0.0.1", 0))
    config = uvicorn.Config(app, log_config=None, access_log=False, ws="none", lifespan="on")
    server = Server(app, config)
    thread = threading.Thread(target=lambda: asyncio.run(server.serve(sockets=[bound])))
    thread.start()
    try:
        begun = time.monotonic()
        while not server.started:
            assert thread.is_alive(), "the service did not start"
            assert time.monotonic() - begun < 30, "the service takes too long to start"
            time.sleep(0.02)
        yield f"http://127.0.0.1:{bound.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(30)
        bound.close()
