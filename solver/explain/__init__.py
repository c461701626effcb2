"""Why a request does not fit, and the cheapest changes that would make it fit.

`case` cuts out a day, `causes` states each rule and each promise together with the day book without
it, `reasons` thins them out by deletion, `changes` proposes, `prove` asks the planner.
"""

from __future__ import annotations

from solver.explain.why import why_not

__all__ = ["why_not"]
