"""Windows that must be fitted one at a time: two that touch are not one long window."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from solver.bits import runs, span


@dataclass(frozen=True)
class Layers:
    """Bit sets whose runs are single windows, so that no run crosses a seam."""

    layers: tuple[int, ...]

    @classmethod
    def of(cls, spans: Iterable[tuple[int, int]]) -> Layers:
        """Spreads `[start, end)` over as few layers as keep a slot between any two of one layer."""
        layers: list[tuple[int, int]] = []  # (end of the last window, bits)
        for start, end in sorted(spans):
            if end <= start:
                continue
            for index, (last, bits) in enumerate(layers):
                if max(start, 0) > last:
                    layers[index] = (end, bits | span(start, end))
                    break
            else:
                layers.append((end, span(start, end)))
        return cls(tuple(bits for _, bits in layers))

    def fits(self, length: int) -> int:
        """The starts from which `length` slots lie in one of the windows."""
        found = 0
        for bits in self.layers:
            found |= runs(bits, length)
        return found

    @property
    def union(self) -> int:
        found = 0
        for bits in self.layers:
            found |= bits
        return found
