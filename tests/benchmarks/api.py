"""What one service answers in a second: `python -m tests.benchmarks.api --json`.

wrk (Debian's package) asks over the loopback, from a process of its own, for some seconds each: a
bare handler with one SELECT (`bare`), then the service: one chair, without and with a token; the
ranked openings of a day; bookings of places that were free. On SQLite and on PostgreSQL
(`PARTLINE_TEST_POSTGRESQL`). `of bare` is the share of the bare handler's requests. Both ends share
the machine's cores; `cpu ms` is what the service's process took for a request, by the kernel's
count, which other work on the machine changes little, and `cpu of bare` is the share by that. Where
bookings are `refused`, all places were sold: give it more `--days`.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from api.services.callers import Role
from api.settings import Settings
from tests.api.cli.cli_process import PARTLINE, environment
from tests.api.databases import a_database
from tests.api.studio_kit import a_service, an_install, body, furnish, ok
from tests.benchmarks.stall import unused_port
from tests.builders import a_window

SCRIPT = Path(__file__).with_name("api_load.lua")
CONNECTIONS = 8
FIRST = date(2090, 1, 2)
Row = dict[str, Any]


def days(count: int) -> list[date]:
    ahead = (FIRST + timedelta(days=each) for each in range(2 * count))
    return [day for day in ahead if day.weekday() < 5][:count]


def request(name: str, day: date, lead: str | None = None) -> dict[str, Any]:
    asked = an_install(name, **({"required_lead": lead, "max_assistants": 0} if lead else {}))
    return asked | {"windows": [body(a_window("9:00", "18:00", day))]}


async def lay(settings: Settings, folder: Path, count: int) -> str:
    """A furnished book; what will be asked, in files; and a token."""
    async with a_service(settings) as client:
        await furnish(client, *days(count))
        sales = []
        for day in days(count):
            for lead, chair in (("lead-1", "chair-1"), ("lead-2", "chair-2")):
                asked = request(f"{lead}-{day}", day, lead)
                answer = ok(await client.post("/v1/openings", json={"request": asked}))
                opening = answer["openings"][0]
                opening["visit"]["chair"] = chair
                sales.append(json.dumps({"request": asked, "opening": opening}))
        (folder / "sales").write_text("\n".join(sales) + "\n")
        questions = [{"request": request("asked", day), "limit": 10} for day in days(count)]
        (folder / "questions").write_text("\n".join(map(json.dumps, questions)) + "\n")
        desk = client.app.state.desk
        return str(await desk.tokens.make("load", Role.OWNER, staff=None, days=1))


@contextmanager
def served(command: list[str], address: str, **told: str) -> Iterator[int]:
    process = subprocess.Popen(
        command, env=environment(**told), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        for _ in range(600):
            try:
                urllib.request.urlopen(address, timeout=2)  # noqa: S310 - our own
                break
            except OSError:
                time.sleep(0.1)
        yield process.pid
    finally:
        process.terminate()
        process.wait(30)


def cpu(process: int) -> float:
    """Milliseconds of CPU that a process has taken so far (proc(5): utime and stime)."""
    fields = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
    return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def load(process: int, address: str, seconds: float, **told: str) -> Row:
    limits = ("-t1", f"-c{CONNECTIONS}", f"-d{seconds:.0f}s", "--timeout", "30s")
    command = ["wrk", *limits, "-s", str(SCRIPT), address]
    begun = cpu(process)
    done = subprocess.run(
        command, env={**os.environ, **told}, capture_output=True, text=True, check=True
    )
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("RESULT ")]
    row: Row = json.loads(line.removeprefix("RESULT "))
    return row | {"cpu ms": round((cpu(process) - begun) / max(1, row["requests"]), 2)}


def measure(kind: str, settings: Settings, folder: Path, seconds: float, token: str) -> list[Row]:
    rows: list[Row] = []
    base = f"http://127.0.0.1:{(port := unused_port())}"
    alone = [sys.executable, "-m", "tests.benchmarks.bare", settings.database, str(port)]
    with served(alone, f"{base}/chairs/chair-1") as process:
        rows.append({"case": "bare SELECT", **load(process, f"{base}/chairs/chair-1", seconds)})
    serve = [*PARTLINE, "serve", "--port", str(port)]
    ready = f"{base}/v1/health/ready"
    read = f"{base}/v1/chairs/chair-1"
    told = {"PARTLINE_DATABASE": settings.database}
    with served(serve, ready, PARTLINE_TOKENS="off", **told) as process:
        rows.append({"case": "read", **load(process, read, seconds)})
    with served(serve, ready, **told) as process:
        rows.append({"case": "read with a token", **load(process, read, seconds, TOKEN=token)})
        post = {"METHOD": "POST", "TOKEN": token}
        questions, sales = (str(folder / name) for name in ("questions", "sales"))
        asked = load(process, f"{base}/v1/openings", seconds, BODIES=questions, **post)
        rows.append({"case": "openings", **asked})
        sold = load(process, f"{base}/v1/bookings", seconds, BODIES=sales, **post)
        rows.append({"case": "booking", **sold})
    for row in rows:
        row |= {
            "store": kind,
            "of bare": round(row["a second"] / rows[0]["a second"], 2),
            "cpu of bare": round(rows[0]["cpu ms"] / max(0.01, row["cpu ms"]), 2),
        }
    return rows


async def measured(kind: str, seconds: float, count: int) -> list[Row]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        async with a_database(kind, folder) as settings:
            token = await lay(settings, folder, count)
            return await asyncio.to_thread(measure, kind, settings, folder, seconds, token)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print a JSON list")
    parser.add_argument("--seconds", type=float, default=5.0, help="of each case")
    parser.add_argument("--days", type=int, default=60, help="with two places to be sold on each")
    parser.add_argument("--stores", default="sqlite,postgresql")
    options = parser.parse_args()
    if shutil.which("wrk") is None:
        raise SystemExit("wrk is not on this machine: apt-get install wrk")
    rows = [
        row
        for kind in options.stores.split(",")
        for row in asyncio.run(measured(kind, options.seconds, options.days))
    ]
    if options.json:
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
        return
    for row in rows:
        sys.stdout.write("  ".join(f"{key} {value}" for key, value in row.items()) + "\n")


if __name__ == "__main__":
    main()
