"""Two visits never share a chair at one time.

A chair is taken from the first to the last minute of the visit, washing at the basin included: the
client's things stay there. `[9:00, 13:00)` and `[13:00, 15:00)` only touch and may follow.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.rules import RuleSetting
from solver.rules.reading import Reading
from solver.rules.rule import Breach, NoParameters, Rule
from solver.rules.stretches import chair_stretches, clashes


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    for chair, stays in chair_stretches(reading).items():
        for first, second in clashes(stays):
            start, end = second.start, min(first.end, second.end)
            one, other = reading.client(first.visit or ""), reading.client(second.visit or "")
            yield Breach(
                detail=f"{one} and {other} both sit in {reading.chair(chair)}, "
                f"{reading.when(start, end)}.",
                remedy=f"Give {other} another chair, or a start no earlier than "
                f"{reading.at(first.end)}.",
                visits=tuple(dict.fromkeys((first.visit or "", second.visit or ""))),
                window=reading.window(start, end),
            )


RULE = Rule(
    code="chair-one-client",
    sentence="Two clients never share a chair at one time.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
