"""How long a take-off takes in-process: `python -m tests.benchmarks.takeoff [--json]`.

Median, 95th percentile and best of many runs on one core, after a warm-up, in milliseconds, for
heads of 44, 150 and 300 braids with curls. No test is timed: run this and compare by hand.
"""

from __future__ import annotations

import argparse
import json
import sys
from statistics import median, quantiles
from time import perf_counter

from schemas.style import CurlPlacement, CurlPlan, Style
from schemas.takeoff import TakeOffRequest
from solver.takeoff import take_off
from solver.takeoff.drawing import parting_map

BRAIDS = (44, 150, 300)
WARM_UP = 50


def head(braids: int) -> TakeOffRequest:
    """Small knotless braids, waist length, four curls each and one more towards the front."""
    curls = CurlPlan(placement=CurlPlacement.ALONG, per_braid=4, crown_and_front_extra=1)
    style = Style(
        name="Knotless with curls",
        technique="knotless",
        size="small",
        length_cm=70,
        braids=braids,
        curls=curls,
        take_down=True,
        hot_water_set=True,
    )
    return TakeOffRequest(style=style, pace=1.1)


def timed(action: object, runs: int) -> dict[str, float]:
    """Milliseconds of `action()`: median, P95 and best of `runs`."""
    assert callable(action)
    for _ in range(min(WARM_UP, runs)):
        action()
    times = []
    for _ in range(runs):
        start = perf_counter()
        action()
        times.append((perf_counter() - start) * 1000)
    return {
        "median_ms": round(median(times), 4),
        "p95_ms": round(quantiles(times, n=20)[-1], 4),
        "best_ms": round(min(times), 4),
    }


def measure(runs: int) -> dict[str, object]:
    """`median_ms` is that of 300 braids; the others stand under `heads`."""
    heads = {}
    for braids in BRAIDS:
        asked = head(braids)
        heads[str(braids)] = timed(lambda asked=asked: take_off(asked), runs)
    drawing = timed(lambda: parting_map(head(300).style), max(2, runs // 20))
    return {
        "benchmark": "takeoff",
        "runs": runs,
        "median_ms": heads["300"]["median_ms"],
        "heads": heads,
        "drawing": drawing,
    }


def main() -> int:
    parser = argparse.ArgumentParser(description="Time the take-off.")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--runs", type=int, default=1000, help="runs of each head")
    options = parser.parse_args()
    if options.runs < 2:
        parser.error("--runs must be at least 2")
    figures = measure(options.runs)
    if options.json:
        sys.stdout.write(json.dumps(figures) + "\n")
        return 0
    for braids, figure in figures["heads"].items():
        sys.stdout.write(f"{braids:>4} braids: {figure['median_ms']:.3f} ms median, "
                         f"{figure['p95_ms']:.3f} ms P95\n")  # fmt: skip
    sys.stdout.write(f"drawing of 300 braids: {figures['drawing']['median_ms']:.2f} ms median\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
