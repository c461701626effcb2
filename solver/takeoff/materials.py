"""The plain hair a house keeps, so that a take-off needs no list of materials to begin with.

Lengths are strands as they lie in the hand, in cm (18 in. is 45.7). Prices and delivery days are
invented; a salon states its own materials, which go before these where the id is the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from schemas.hair import HairRole, Material
from schemas.takeoff import TakeOffRequest

_INCH = 2.54
_LINES = (
    # role, textures, lengths in inches, grams in a pack, price of the shortest, and per inch more
    (HairRole.FILL, ("kinky", "wavy"), (20, 26, 30, 36, 42, 52), 82, 450, 15),
    (HairRole.BULK, ("wavy", "straight"), (14, 18, 22, 26), 100, 6500, 450),
    (HairRole.WEFT, ("straight", "wavy"), (14, 18, 22, 26), 100, 7000, 450),
)
_COLOURS = ("black", "brown")


def _plain() -> Iterable[Material]:
    for role, textures, lengths, grams, price, more in _LINES:
        for texture in textures:
            for colour in _COLOURS:
                for inches in lengths:
                    yield Material(
                        id=f"{role.value}-{texture}-{colour}-{inches}",
                        role=role,
                        texture=texture,
                        colour=colour,
                        length_cm=round(inches * _INCH, 1),
                        pack_grams=grams,
                        pack_price=price + more * (inches - lengths[0]),
                        currency="EUR",
                        name=f"{texture.capitalize()} {role.value} hair, {colour}, {inches} in.",
                    )


HOUSE_MATERIALS: tuple[Material, ...] = tuple(_plain())
_HOUSE_SHELF = {material.id: material for material in HOUSE_MATERIALS}
DEFAULT_COLOUR = "black"


def shelf(materials: Iterable[Material]) -> dict[str, Material]:
    """Materials by id: the house's plain ones, and `materials` in their place or beside them."""
    return {**_HOUSE_SHELF, **{material.id: material for material in materials}}


def request_shelf(request: TakeOffRequest) -> dict[str, Material]:
    """What a request may name."""
    return shelf(request.materials) if request.materials else _HOUSE_SHELF


@cache
def plain_material(role: HairRole, texture: str, needed_cm: float) -> Material:
    """The house's shortest plain material that is long enough, or else its longest."""
    fitting = [
        material
        for material in HOUSE_MATERIALS
        if (material.role, material.texture, material.colour) == (role, texture, DEFAULT_COLOUR)
    ]
    enough = [material for material in fitting if material.length_cm >= needed_cm]
    if enough:
        return min(enough, key=lambda material: material.length_cm)
    return max(fitting, key=lambda material: material.length_cm)
