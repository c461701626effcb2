"""The demo studio's shelf of hair: what lies there, what is on its way. All of it is invented."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from schemas.hair import HairRole, Material, StockOrder
from schemas.shelf import StockSetting

HONEY = Material(
    id="fill-kinky-honey-26",
    role=HairRole.FILL,
    texture="kinky",
    colour="honey",
    length_cm=66,
    pack_grams=82,
    pack_price=620,
    currency="EUR",
    supplier_days=10,
    name="Kinky fill hair, honey, 26 in.",
)
"""A colour of the studio's own, beside the plain ones of the house."""

_PACKS = {
    # material: grams in a pack, packs on the shelf, packs on order and the day they come
    "fill-kinky-black-20": (82, 66, 0, 0),
    "fill-kinky-black-26": (82, 124, 90, 8),
    "fill-kinky-black-30": (82, 54, 0, 0),
    "fill-kinky-brown-20": (82, 20, 24, 5),
    "fill-wavy-black-20": (82, 14, 0, 0),
    "fill-wavy-black-26": (82, 50, 40, 10),
    "bulk-wavy-black-18": (100, 10, 14, 4),
    "bulk-wavy-brown-18": (100, 10, 0, 0),
    "weft-straight-black-18": (100, 12, 10, 7),
    HONEY.id: (82, 14, 0, 0),
}


def stock(first: date) -> Iterator[tuple[str, StockSetting]]:
    """Each material with its stock; deliveries are counted from the Monday `first`."""
    for material, (pack, here, coming, after) in _PACKS.items():
        order = StockOrder(grams=float(pack * coming or 1), arrives=first + timedelta(days=after))
        yield (
            material,
            StockSetting(
                on_hand_grams=float(pack * here),
                on_order=(order,) if coming else (),
                material=HONEY if material == HONEY.id else None,
            ),
        )
