"""A PostgreSQL of the test's own, which it may stop and start."""

from __future__ import annotations

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

_PLACES = [*Path("/usr/lib/postgresql").glob("*/bin"), Path("/usr/local/bin")]
"""Where Debian puts what is not on the path."""


def _program(name: str) -> str:
    found = shutil.which(name, path=os.pathsep.join([os.environ["PATH"], *map(str, _PLACES)]))
    if found is None:
        pytest.skip(f"there is no {name} on this machine")
    return found


def _owner() -> dict[str, Any]:
    """PostgreSQL refuses to run as root: there it runs as its own user."""
    if os.geteuid() != 0:
        return {}
    try:
        user = pwd.getpwnam("postgres")
    except KeyError:
        pytest.skip("PostgreSQL does not run as root, and there is no user postgres")
    return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}


class OwnPostgresql:
    def __init__(self, folder: Path) -> None:
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port: int = free.getsockname()[1]
        self.data = folder / "data"
        self.url = f"postgresql://postgres@127.0.0.1:{self.port}/postgres"
        self._run("initdb", "-A", "trust", "-U", "postgres", "--no-sync", "-E", "UTF8")

    def start(self) -> None:
        told = f"-p {self.port} -k {self.data} -c listen_addresses=127.0.0.1 -c fsync=off"
        self._run("pg_ctl", "-w", "-o", told, "-l", str(self.data / "log"), "start")

    def stop(self, how: str = "immediate") -> None:
        self._run("pg_ctl", "-w", "-m", how, "stop")

    def _run(self, program: str, *told: str) -> None:
        subprocess.run(
            [_program(program), "-D", str(self.data), *told],
            check=True,
            cwd=self.data.parent,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            **_owner(),
        )


@contextmanager
def an_own_postgresql() -> Iterator[OwnPostgresql]:
    # Not in the folder of the test, which another user may not enter.
    folder = Path(tempfile.mkdtemp())
    owner = _owner()
    if owner:
        os.chown(folder, owner["user"], owner["group"])
    try:
        server = OwnPostgresql(folder)
        server.start()
        try:
            yield server
        finally:
            subprocess.run(
                [_program("pg_ctl"), "-D", str(server.data), "-m", "immediate", "stop"],
                check=False,
                cwd=folder,
                capture_output=True,
                **owner,
            )
    finally:
        shutil.rmtree(folder, ignore_errors=True)
