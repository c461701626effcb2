"""Styles and requests that the tests of take-offs are about."""

from schemas.style import CurlPlacement, CurlPlan, Parting, RowPattern, Section, Style
from schemas.takeoff import TakeOffRequest

FRONT_LEFT = Section(name="front-left", rows=(2, 2, 2, 4))
FRONT_RIGHT = Section(name="front-right", mirror_of="front-left")
BACK = Section(name="back", pattern=RowPattern(first=(3, 4), rows=7))
WORKED_PARTING = Parting(sections=(FRONT_LEFT, FRONT_RIGHT, BACK))
CURLS_ALONG = CurlPlan(placement=CurlPlacement.ALONG, per_braid=4, crown_and_front_extra=1)
CURLS_AT_ENDS = CurlPlan(placement=CurlPlacement.ENDS, per_braid=2)


def style(**changes):
    """Large knotless braids with curls on the worked head of 44 boxes, but for `changes`."""
    facts = {
        "name": "Large knotless with curls",
        "technique": "knotless",
        "size": "large",
        "length_cm": 70,
        "parting": WORKED_PARTING,
        "curls": CURLS_ALONG,
    }
    if "braids" in changes or "by_density" in changes:
        changes.pop("by_density", None)
        facts.pop("parting")
    return Style.model_validate(facts | changes)


def request(**changes):
    """A take-off request for `style(...)`; what a request itself states goes to the request."""
    own = {name: changes.pop(name) for name in TakeOffRequest.model_fields if name in changes}
    return TakeOffRequest.model_validate({"style": style(**changes)} | own)
