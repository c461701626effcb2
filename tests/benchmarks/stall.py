"""How long a small request takes beside a solve: `python -m tests.benchmarks.stall --json`.

A service as a process of its own, over SQLite, plans a day of sixty requests and ten leads, whose
search is mostly Python; a client on this machine reads the chairs over and over, first without the
plan and then beside it. Times are on the clock, in milliseconds.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import socket
import subprocess
import sys
import tempfile
from datetime import date
from pathlib import Path
from time import perf_counter

import httpx

from api.settings import Settings
from tests.api.cli.cli_process import PARTLINE, environment
from tests.api.studio_kit import Client, a_service, an_install, body, furnish, ok
from tests.builders import a_chair, a_lead, a_shift, a_window

DAY = date(2090, 1, 2)
REQUESTS = 60


def unused_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port: int = free.getsockname()[1]
    return port


async def lay(client: Client) -> None:
    await furnish(client, DAY)
    for number in range(3, 11):
        ok(await client.post("/v1/chairs", json=body(a_chair(f"chair-{number}"))))
        lead = a_lead(f"lead-{number}")
        ok(await client.post("/v1/staff", json=body(lead)))
        shift = body(a_shift(lead.id, day=DAY))
        ok(await client.post(f"/v1/staff/{lead.id}/shifts", json=shift))
    for number in range(REQUESTS):
        request = an_install(f"visit-{number}", value=100 + 37 * number)
        request["windows"] = [body(a_window("9:00", "18:00", DAY))]
        ok(await client.post("/v1/bookings", json={"request": request}))


async def reads(client: httpx.AsyncClient, seconds: float) -> dict[str, float]:
    times, until = [], perf_counter() + seconds
    while perf_counter() < until:
        begun = perf_counter()
        (await client.get("/v1/chairs")).raise_for_status()
        times.append(1000 * (perf_counter() - begun))
        await asyncio.sleep(0.005)
    times.sort()
    named = {"p50": times[len(times) // 2], "p95": times[int(len(times) * 0.95)], "max": times[-1]}
    return {"requests": len(times), **{name: round(value, 1) for name, value in named.items()}}


async def measure(seconds: float) -> list[dict[str, object]]:
    with tempfile.TemporaryDirectory() as folder:
        database = f"sqlite:///{Path(folder)}/book.db"
        async with a_service(Settings(database=database)) as client:
            await lay(client)
        port = unused_port()
        service = subprocess.Popen(
            [*PARTLINE, "serve", "--port", str(port)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=environment(PARTLINE_DATABASE=database, PARTLINE_TOKENS="off"),
        )
        try:
            address = f"http://127.0.0.1:{port}"
            async with httpx.AsyncClient(base_url=address, trust_env=False, timeout=60) as asked:
                await until_ready(asked)
                idle = await reads(asked, seconds)
                order = {"first": str(DAY), "last": str(DAY), "seconds": min(120, 3 * seconds)}
                started = await asked.post("/v1/plans", params={"wait": "false"}, json=order)
                started.raise_for_status()
                await asyncio.sleep(1)
                beside = await reads(asked, seconds)
                state = (await asked.get(started.headers["location"])).json()["state"]
        finally:
            service.kill()
            service.wait()
    return [{"case": "idle", **idle}, {"case": "beside a solve", **beside, "plan": state}]


async def until_ready(client: httpx.AsyncClient) -> None:
    for _ in range(600):
        try:
            if (await client.get("/v1/health/ready")).is_success:
                return
        except httpx.TransportError:
            pass
        await asyncio.sleep(0.1)
    raise SystemExit("the service did not start")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print a JSON list")
    parser.add_argument("--seconds", type=float, default=8.0, help="of each of the two")
    options = parser.parse_args()
    rows = asyncio.run(measure(options.seconds))
    if options.json:
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
        return
    for row in rows:
        sys.stdout.write("  ".join(f"{key} {value}" for key, value in row.items()) + "\n")


if __name__ == "__main__":
    main()
