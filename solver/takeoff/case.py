"""What every part of a take-off looks at."""

from __future__ import annotations

from typing import NamedTuple

from schemas.style import Style
from solver.takeoff.rates import RateBook
from solver.takeoff.sizes import SizeFigures
from solver.takeoff.techniques import Technique


class Case(NamedTuple):
    """A style with its technique and size looked up, and the rates to reckon with."""

    style: Style
    technique: Technique
    size: SizeFigures
    rates: RateBook

    @property
    def around_cm(self) -> float:
        """Circumference of the head, in cm."""
        style, rates = self.style, self.rates
        if style.head_circumference_cm is not None:
            return style.head_circumference_cm
        return rates["head-child"] if style.wearer.child else rates["head-grown"]
