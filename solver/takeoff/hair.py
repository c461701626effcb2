"""Hair: strands, grams, whole packs or bundles, and money.

`grams = strands * grams per strand * (1 + waste)`, and a strand weighs its linear density (g per
cm) times the length of the hair it is cut from: what is cut off is used up too. Fill hair that is
shorter than the braid is lengthened by further strands, each overlapping the one before; bulk hair
and wefts are not. Strands are whole: each material of a mixed colour rounds its share up.

**Weight of hair.** A hair of diameter d weighs `density * pi d^2 / 4` per cm, so a curl of
0.0225 g per cm is some 440 hairs of 70 um.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, fsum, pi

from schemas.hair import HairChoice, HairQuantity, HairRole, Material
from schemas.style import Style
from schemas.takeoff import HairPrice, Provenance
from solver.errors import Fault, StyleError
from solver.takeoff.case import Case
from solver.takeoff.labour import Line
from solver.takeoff.materials import plain_material
from solver.takeoff.rates import RateBook
from solver.takeoff.techniques import Technique

_ROUNDING = 1e-9
MAX_HEAD_GRAMS = 5000
"""More than this on one head is a slip of the pen, in grams."""


@dataclass(frozen=True, slots=True)
class Need:
    """What a style asks of one role, before a material is chosen."""

    role: HairRole
    strands: int
    """Strands of full length."""
    length_cm: float
    """Length one strand has to reach."""
    grams_per_cm: float
    """Linear density of one strand."""
    waste: float
    overlap_cm: float | None
    """Overlap where a strand is lengthened; none where it cannot be."""
    weighed_by: str
    """How the linear density comes about, with the codes of the rates behind it."""
    made_by: tuple[Provenance, Provenance]
    """Provenance of the linear density and of the waste."""

    @property
    def hung_grams(self) -> float:
        """Weight that ends up on the head: no waste, no offcuts."""
        return self.strands * self.length_cm * self.grams_per_cm


def linear_density(diameter_um: float, density: float = 1.32) -> float:
    """Grams per cm of a single hair `diameter_um` thick; `density` in g per cm3.

    The density of keratin is from memory of the literature (1.30 to 1.33), without a text to name.
    """
    radius_cm = diameter_um / 2 * 1e-4
    return density * pi * radius_cm**2


def needs(case: Case, units: int, curls: int) -> tuple[Need, ...]:
    """The roles a style takes hair for; none for braids in the client's own hair."""
    style, technique, rates = case.style, case.technique, case.rates
    named = [choice.role for choice in style.hair if choice.role is not HairRole.BULK]
    role = named[0] if named else technique.role
    found = []
    if role is not None:
        rate = rates[f"hair-{technique.id}"]
        per_cm = case.size.fill * rate if technique.sized else rate
        found.append(
            Need(
                role=role,
                strands=units * technique.pieces,
                length_cm=style.length_cm,
                grams_per_cm=per_cm / technique.pieces,
                waste=rates[f"waste-{role.value}"],
                overlap_cm=rates["join-overlap"] if role is HairRole.FILL else None,
                weighed_by=_weighed(case),
                made_by=_made_by(rates, f"hair-{technique.id}", role),
            )
        )
    if curls:
        visible = style.curls.length_cm or rates["curl-length"]
        found.append(
            Need(
                role=HairRole.BULK,
                strands=curls,
                length_cm=visible + rates["curl-in-braid"],
                grams_per_cm=rates["curl-density"],
                waste=rates["waste-bulk"],
                overlap_cm=None,
                weighed_by=f"curl-density {rates['curl-density']:g} g per cm",
                made_by=_made_by(rates, "curl-density", HairRole.BULK),
            )
        )
    return tuple(found)


def _weighed(case: Case) -> str:
    technique, style = case.technique, case.style
    code = f"hair-{technique.id}"
    words = f"{code} {case.rates[code]:g}"
    if technique.sized:
        size = f"fill-{style.size}" if style.box_width_cm is None else "fill of the box's width"
        words = f"{size} {case.size.fill:.4g} g per cm * {words}"
    return words if technique.pieces == 1 else f"{words} / {technique.pieces} strands"


def _made_by(rates: RateBook, code: str, role: HairRole) -> tuple[Provenance, Provenance]:
    return rates.provenance(code), rates.provenance(f"waste-{role.value}")


def choices_of(
    style: Style, technique: Technique, shelf: Mapping[str, Material]
) -> dict[HairRole, list[tuple[HairChoice, Material]]]:
    """The style's choices by role, checked.

    Raises StyleError for an unknown material, one of another role, a role the technique does not
    take, a material named twice and shares that do not come to one.
    """
    chosen: dict[HairRole, list[tuple[HairChoice, Material]]] = {}
    faults = []
    for index, choice in enumerate(style.hair):
        where, material = f"/style/hair/{index}", shelf.get(choice.material)
        if material is None:
            detail = f"the material {choice.material} is not known; add it to the materials"
            faults.append(Fault(f"{where}/material", detail))
        elif material.role is not choice.role:
            detail = f"{material.id} is {material.role} hair, not {choice.role}"
            faults.append(Fault(f"{where}/material", detail))
        elif choice.role not in technique.takes:
            roles = " and ".join(technique.takes)
            faults.append(Fault(f"{where}/role", f"{technique.id} takes {roles} hair only"))
        elif any(
            (other.material, other.brought_by_client) == (choice.material, choice.brought_by_client)
            for other, _ in chosen.get(choice.role, ())
        ):
            faults.append(Fault(f"{where}/material", f"{choice.material} is named twice"))
        else:
            chosen.setdefault(choice.role, []).append((choice, material))
    for role, pairs in chosen.items():
        total = fsum(choice.share for choice, _ in pairs)
        if not faults and abs(total - 1) > 1e-6:
            faults.append(Fault("/style/hair", f"the shares of {role} come to {total:g}, not 1"))
    if faults:
        raise StyleError(*faults)
    return chosen


def strands_of(need: Need, material: Material, share: float) -> int:
    """Whole strands of `material` for its `share` of the need."""
    lengthening = 1.0
    if need.overlap_cm is not None and material.length_cm < need.length_cm:
        reach = material.length_cm - need.overlap_cm
        if reach <= 0:
            detail = (
                f"{material.id} is {material.length_cm:g} cm long, too short to lengthen a strand "
                f"with an overlap of {need.overlap_cm:g} cm"
            )
            raise StyleError(Fault("/style/hair", detail))
        lengthening = (need.length_cm - need.overlap_cm) / reach
    return ceil(need.strands * share * lengthening - _ROUNDING)


def quantity_of(
    need: Need, material: Material, share: float = 1.0, *, brought: bool = False
) -> HairQuantity:
    """Strands, grams, packs and price of `material` for its `share` of the need."""
    strands = strands_of(need, material, share)
    net, waste = _amounts(need, material, strands)
    grams = fsum((net, waste))
    packs = ceil(grams / material.pack_grams - _ROUNDING)
    return HairQuantity(
        material=material.id,
        role=need.role,
        grams=grams,
        strands=strands,
        packs=packs,
        left_over_grams=max(0.0, packs * material.pack_grams - grams),
        brought_by_client=brought,
        price=0 if brought else packs * material.pack_price,
        currency=None if brought else material.currency,
    )


def _amounts(need: Need, material: Material, strands: int) -> tuple[float, float]:
    """Grams in the strands, and grams wasted."""
    net = strands * (need.grams_per_cm * material.length_cm)
    return net, net * need.waste


@dataclass(frozen=True)
class Reckoned:
    """The hair of a style."""

    quantities: tuple[HairQuantity, ...]
    lines: tuple[Line, ...]
    prices: tuple[HairPrice, ...]
    chosen: tuple[tuple[Need, Material, float], ...]
    """Need, material and share behind each of `quantities`."""

    @property
    def grams(self) -> float:
        return fsum(line.amount for line in self.lines)


def reckon_hair(
    found: Sequence[Need],
    chosen: Mapping[HairRole, list[tuple[HairChoice, Material]]],
    texture: str,
) -> Reckoned:
    """Quantities of every material for the needs `found`; `texture` is for hair nobody chose.

    Raises StyleError where no head could carry it.
    """
    quantities: list[HairQuantity] = []
    lines: list[Line] = []
    picked: list[tuple[Need, Material, float]] = []
    for need in found:
        if sum(need_.hung_grams for need_ in found) > MAX_HEAD_GRAMS:
            break
        pairs = [
            (choice.share, material, choice.brought_by_client)
            for choice, material in chosen.get(need.role, ())
        ]
        if not pairs:
            plain = "wavy" if need.role is HairRole.BULK else texture
            pairs = [(1.0, plain_material(need.role, plain, need.length_cm), False)]
        for share, material, brought in pairs:
            quantity = quantity_of(need, material, share, brought=brought)
            quantities.append(quantity)
            picked.append((need, material, share))
            lines.extend(_lines(need, material, quantity.strands))
    reckoned = Reckoned(tuple(quantities), tuple(lines), _prices(quantities), tuple(picked))
    hung = fsum(need.hung_grams for need in found)
    if max(hung, reckoned.grams) > MAX_HEAD_GRAMS:
        detail = (
            f"{max(hung, reckoned.grams) / 1000:.1f} kg of hair is more than a head can carry: "
            "check braids, size and length"
        )
        raise StyleError(Fault("/style", detail))
    return reckoned


def _lines(need: Need, material: Material, strands: int) -> tuple[Line, Line]:
    per_strand = need.grams_per_cm * material.length_cm
    net, _ = _amounts(need, material, strands)
    role, (density, waste) = need.role.value, need.made_by
    worked = f"{need.weighed_by}, * {material.length_cm:g} cm"
    return (
        Line(
            role, material.id, "Strands", strands, per_strand, "g per strand", None, density, worked
        ),
        Line(role, material.id, "Waste", net, need.waste, "share", f"waste-{role}", waste),
    )


def _prices(quantities: Sequence[HairQuantity]) -> tuple[HairPrice, ...]:
    sums: dict[str, int] = {}
    for quantity in quantities:
        if quantity.currency is not None:
            sums[quantity.currency] = sums.get(quantity.currency, 0) + quantity.price
    return tuple(HairPrice(currency=code, price=price) for code, price in sorted(sums.items()))
