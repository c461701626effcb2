"""What a month sells: `python -m tests.benchmarks.hindsight [--seeds 1,2,3] [--json]`.

Requests reach a small salon one by one for more than it can do (see `month`). Printed for each
seed, in minutes of work sold:

* `first_fit`: each client is named the first three starts, and takes the first that suits her;
* `ours`: likewise, three offers in our order;
* `by_start`: as `ours`, asked for the earliest start and not the earliest day;
* `read_out`: the starts are read out to her, from the first on, until one suits her;
* `hindsight_bound`: no plan sells more, had every request been known at once (see `month_bound`);
* `hindsight_plan`: what a plan made with that knowledge sells, with `--plan-seconds` for each day;
  the truth lies between the two.

`asked` is what all requests come to. The same clients ask in the same order. The shares are of the
bound, so that what hindsight could truly reach would show them higher, never lower.
"""

from __future__ import annotations

import argparse
import json
import sys

from schemas.openings import Wish
from solver.checker import hard_findings
from tests.benchmarks.full_books import Size
from tests.benchmarks.month import Month, Sales, first_fit, month, ranked, read_out, sell_month
from tests.benchmarks.month_bound import best_plan, bound, listed


def measure(size: Size, requests: int, seed: int, plan_seconds: float) -> dict[str, object]:
    """One month under each policy, and its bound."""
    asked = month(size, requests, seed)
    minutes = {
        "first_fit": judged(asked, sell_month(asked, first_fit)),
        "ours": judged(asked, sell_month(asked, ranked())),
        "by_start": judged(asked, sell_month(asked, ranked(wish=Wish.SOONEST))),
        "read_out": judged(asked, sell_month(asked, read_out)),
    }
    known = asked.book.model_copy(update={"requests": tuple(each.whole for each in asked.clients)})
    sets = listed(known)
    limit = bound(sets)
    row: dict[str, object] = {"seed": seed, "requests": requests, **minutes}
    row["hindsight_bound"] = limit.minutes
    if plan_seconds:
        row["hindsight_plan"] = best_plan(known, sets, limit, plan_seconds)
    row["asked"] = sum(client.minutes for client in asked.clients)
    row |= {f"{name}_share": round(sold / limit.minutes, 4) for name, sold in minutes.items()}
    return row


def judged(asked: Month, sales: Sales) -> int:
    """What was sold, once the checker has read the whole book. Raises ValueError for a breach."""
    requests = tuple(client.request for client in asked.clients)
    book = asked.book.model_copy(update={"requests": requests})
    bought = {client.request.id for client in sales.bought}
    declined = tuple(each.id for each in requests if each.id not in bought)
    plan = sales.plan.model_copy(update={"declined": declined})
    broken = hard_findings(book, plan)
    if broken or {visit.visit for visit in plan.visits} != bought:
        raise ValueError(f"the book sold is no plan: {broken}")
    return sales.minutes


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print a JSON list")
    parser.add_argument("--seeds", default="1,2,3")
    parser.add_argument("--requests", type=int, default=200)
    parser.add_argument("--weeks", type=int, default=4)
    parser.add_argument("--chairs", type=int, default=4)
    parser.add_argument("--leads", type=int, default=3)
    parser.add_argument("--assistants", type=int, default=2)
    parser.add_argument("--plan-seconds", type=float, default=1.0, help="for each day; 0 for none")
    options = parser.parse_args()
    size = Size(options.weeks, options.chairs, options.leads, options.assistants)
    rows = [
        measure(size, options.requests, int(seed), options.plan_seconds)
        for seed in options.seeds.split(",")
    ]
    if options.json:
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
        return
    for row in rows:
        sys.stdout.write("  ".join(f"{key} {value}" for key, value in row.items()) + "\n")


if __name__ == "__main__":
    main()
