"""What could stand in for hair that the shelf is short of, and what that costs in grams.

A substitute has the role, texture and colour of the material asked for, and another length or
another pack. Longer hair is cut down; shorter fill hair is lengthened by more strands; shorter bulk
hair and wefts are no substitute.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from schemas.hair import HairQuantity, HairSubstitute, Material, StockLine
from solver.takeoff.hair import Need, Reckoned, quantity_of

MOST_OFFERED = 3
"""Substitutes offered for one material."""


def substitutes(
    hair: Reckoned, shelf: Mapping[str, Material], stock: Sequence[StockLine]
) -> Iterator[HairSubstitute]:
    """Substitutes for every material of `hair` that `stock` lists with less than is needed.

    Best first: what is on hand, then what takes the fewest grams more. A material that the client
    brings, or that `stock` does not list, draws none.
    """
    on_hand = {line.material: line.on_hand_grams for line in stock}
    for quantity, (need, material, share) in zip(hair.quantities, hair.chosen, strict=True):
        there = on_hand.get(material.id)
        if there is None or quantity.brought_by_client or there >= quantity.grams:
            continue
        offers = [
            _offer(quantity, other, quantity_of(need, other, share), need, on_hand)
            for other in shelf.values()
            if _could_stand_in(other, material, need)
        ]
        offers.sort(key=lambda offer: (not offer.on_hand, offer.extra_grams, offer.material))
        yield from offers[:MOST_OFFERED]


def _could_stand_in(other: Material, material: Material, need: Need) -> bool:
    if other.id == material.id:
        return False
    if (other.role, other.texture, other.colour) != (
        material.role,
        material.texture,
        material.colour,
    ):
        return False
    if need.overlap_cm is None:
        return other.length_cm >= min(need.length_cm, material.length_cm)
    return other.length_cm > need.overlap_cm


def _offer(
    quantity: HairQuantity,
    other: Material,
    instead: HairQuantity,
    need: Need,
    on_hand: Mapping[str, float],
) -> HairSubstitute:
    extra = instead.grams - quantity.grams
    same_money = instead.currency == quantity.currency
    return HairSubstitute(
        instead_of=quantity.material,
        short_grams=quantity.grams - on_hand[quantity.material],
        material=other.id,
        grams=instead.grams,
        packs=instead.packs,
        extra_grams=extra,
        extra_price=instead.price - quantity.price if same_money else None,
        on_hand=on_hand.get(other.id, 0.0) >= instead.grams,
        sentence=_sentence(other, need, extra)[:200],
    )


def _sentence(other: Material, need: Need, extra: float) -> str:
    over = other.length_cm - need.length_cm
    if over >= 0:
        how = f"cut down by {over:.0f} cm"
    elif need.overlap_cm is None:
        how = f"each ends {-over:.0f} cm higher"
    else:
        how = f"lengthened, strands overlapping by {need.overlap_cm:.0f} cm"
    return f"{other.name}: {how}, {abs(extra):.0f} g {'more' if extra >= 0 else 'less'}"
