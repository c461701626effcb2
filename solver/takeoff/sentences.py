"""The figures of a take-off that are no sum of lines, each with how it comes about."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from schemas.hair import HairQuantity, Material
from schemas.takeoff import PaceEstimate, TakeOff


def reckoning_of(answer: TakeOff, materials: Mapping[str, Material]) -> tuple[str, ...]:
    """Braids, odds, crews, packs and money of `answer`, a sentence each.

    `materials` are those it was reckoned with, by id.
    """
    return tuple(sentence[:400] for sentence in _all(answer, materials))


def _all(answer: TakeOff, materials: Mapping[str, Material]) -> Iterator[str]:
    yield from _counts(answer)
    if answer.pace_estimate is not None:
        yield _learned(answer.pace_estimate)
    odds = answer.minutes
    yield (
        f"The visit's mean of {odds.mean:.2f} min is the sum of its lines. As a lognormal with a "
        f"CV of {odds.cv:.3f} that is {odds.p50:.1f} min at P50, {odds.p80:.1f} at P80 and "
        f"{odds.p95:.1f} at P95; booked at P{odds.percentile}, up to the next five: {odds.booked}."
    )
    for crew in answer.crews[1:]:
        yield (
            f"{crew.crew.capitalize()}: only the braiding is shared, which leaves a mean of "
            f"{crew.mean:.2f} min with a CV of {crew.cv:.3f}, so {crew.booked} min are booked, "
            f"{crew.saved_by_last} less than without the last pair of hands."
        )
    for quantity in answer.hair:
        yield _packs(quantity, materials.get(quantity.material))


def _counts(answer: TakeOff) -> Iterator[str]:
    sections: dict[str, list[tuple[int, int]]] = {}
    for row in answer.rows:
        sections.setdefault(row.section, []).append((row.braids, row.curls))
    for name, rows in sections.items():
        braids, curls = sum(braids for braids, _ in rows), sum(curls for _, curls in rows)
        words = f"{name}: {' + '.join(str(each) for each, _ in rows)} = {braids} braids"
        yield words + (f", {curls} curls left out of them." if curls else ".")


def _learned(estimate: PaceEstimate) -> str:
    what = estimate.technique or "all techniques"
    return (
        f"The pace of {estimate.lead} in {what} is learned from {estimate.visits} finished visits: "
        f"{estimate.pace:.2f}, with nine chances in ten between {estimate.low:.2f} and "
        f"{estimate.high:.2f}."
    )


def _packs(quantity: HairQuantity, material: Material | None) -> str:
    words = f"{quantity.material}: {quantity.grams:.1f} g"
    if material is None:
        return words + "."
    size = material.pack_grams
    words += (
        f" over packs of {size:g} g is {quantity.grams / size:.2f}, so {quantity.packs} whole "
        f"packs, {quantity.left_over_grams:.1f} g of them left over"
    )
    if quantity.brought_by_client:
        return words + "; the client brings it."
    return (
        f"{words}; {quantity.packs} * {material.pack_price} = {quantity.price} minor units of "
        f"{material.currency}."
    )
