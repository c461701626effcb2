"""Take-off: from a style to braids, minutes with their odds, and hair.

Counting is in `parting`, minutes in `labour`, odds in `odds`, crews and phases in `crew`, hair in
`hair`; `rates`, `sizes`, `techniques` and `materials` hold the data, `reckoning` puts it together.
"""

from schemas.hair import Material
from schemas.takeoff import Rate, TakeOff, TakeOffRequest
from solver.takeoff.materials import HOUSE_MATERIALS, request_shelf
from solver.takeoff.rates import HOUSE_BOOK
from solver.takeoff.reckoning import take_off
from solver.takeoff.sentences import reckoning_of
from solver.takeoff.sizes import SIZE_NAMES
from solver.takeoff.techniques import TECHNIQUES


def house_materials() -> tuple[Material, ...]:
    """The plain hair that every take-off may name."""
    return HOUSE_MATERIALS


def house_rates() -> tuple[Rate, ...]:
    """Every figure take-offs reckon with: unit, plausible range, provenance."""
    return HOUSE_BOOK.all()


def techniques() -> tuple[str, ...]:
    """Ids of the techniques, which are the skill tags of their braiding as well."""
    return tuple(technique.id for technique in TECHNIQUES)


def sizes() -> tuple[str, ...]:
    """Names of the size classes, narrowest box first."""
    return SIZE_NAMES


def explained(request: TakeOffRequest) -> TakeOff:
    """`take_off` with its figures in sentences, beside the lines. Raises StyleError as it does."""
    answer = take_off(request)
    sentences = reckoning_of(answer, request_shelf(request))
    return answer.model_copy(update={"reckoning": sentences})


__all__ = [
    "explained",
    "house_materials",
    "house_rates",
    "reckoning_of",
    "sizes",
    "take_off",
    "techniques",
]
