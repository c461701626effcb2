"""The demo studio's style menu. Prices are invented."""

from __future__ import annotations

from api.demo.shelf import HONEY
from schemas.hair import HairChoice, HairRole
from schemas.style import (
    CurlPlacement,
    CurlPlan,
    MenuEntry,
    Parting,
    RowPattern,
    Section,
    Style,
    Wearer,
)

CURRENCY = "EUR"
SHOWPIECE = "knotless-waist-curls"

_PARTING = Parting(
    sections=(
        Section(name="front-left", rows=(2, 2, 2, 4)),
        Section(name="front-right", mirror_of="front-left"),
        Section(name="back", pattern=RowPattern(first=(3, 4), rows=7)),
    )
)
_ALONG = CurlPlan(placement=CurlPlacement.ALONG, per_braid=4, crown_and_front_extra=1)
_ENDS = CurlPlan(placement=CurlPlacement.ENDS, per_braid=1)
_SHOULDER, _MID_BACK, _WAIST = 40, 60, 75


def _style(name: str, technique: str, size: str, length_cm: float, **more: object) -> Style:
    facts = {"name": name, "technique": technique, "size": size, "length_cm": length_cm}
    return Style.model_validate({**facts, **more})


def _entry(
    menu_id: str,
    euros: int,
    style: Style,
    *,
    assistants: int = 1,
    features: tuple[str, ...] = (),
    tags: tuple[str, ...] = (),
) -> MenuEntry:
    return MenuEntry(
        id=menu_id,
        style=style,
        price=euros * 100,
        currency=CURRENCY,
        max_assistants=assistants,
        chair_features=features,
        tags=tags,
    )


MENU = (
    _entry(
        SHOWPIECE,
        210,
        _style(
            "Knotless to the waist, curls along",
            "knotless",
            "large",
            _WAIST,
            parting=_PARTING,
            curls=_ALONG,
        ),
        assistants=2,
        tags=("long-install",),
    ),
    _entry(
        "knotless-medium",
        180,
        _style("Knotless, medium, mid-back", "knotless", "medium", _MID_BACK),
        tags=("long-install",),
    ),
    _entry(
        "knotless-small",
        260,
        _style("Knotless, small, mid-back", "knotless", "small", _MID_BACK),
        assistants=2,
        tags=("long-install",),
    ),
    _entry(
        "knotless-bob",
        120,
        _style(
            "Knotless bob, curls at the ends",
            "knotless",
            "large",
            30,
            curls=_ENDS,
            hair=(
                HairChoice(role=HairRole.FILL, material="fill-kinky-brown-20"),
                HairChoice(role=HairRole.BULK, material="bulk-wavy-brown-18"),
            ),
        ),
    ),
    _entry("box-large", 110, _style("Box braids, large", "knotted-box", "large", _SHOULDER)),
    _entry(
        "box-medium",
        160,
        _style(
            "Box braids, medium, mid-back",
            "knotted-box",
            "medium",
            _MID_BACK,
            hair=(
                HairChoice(role=HairRole.FILL, material="fill-kinky-black-26", share=0.7),
                HairChoice(role=HairRole.FILL, material=HONEY.id, share=0.3),
            ),
        ),
        tags=("long-install",),
    ),
    _entry("twists-natural", 70, _style("Two-strand twists", "two-strand-twist", "medium", 25)),
    _entry(
        "twists-rope",
        130,
        _style("Rope twists, mid-back", "rope-twist", "medium", _MID_BACK, hot_water_set=True),
    ),
    _entry("cornrows-back", 55, _style("Cornrows, straight back", "cornrow", "large", 35)),
    _entry("feed-in-eight", 90, _style("Eight feed-ins", "feed-in", "jumbo", _MID_BACK, braids=8)),
    _entry(
        "faux-locs",
        170,
        _style("Faux locs, shoulder", "faux-locs", "large", _SHOULDER),
        tags=("long-install",),
    ),
    _entry(
        "soft-locs",
        190,
        _style("Soft locs, mid-back", "soft-locs", "large", _MID_BACK),
        tags=("long-install",),
    ),
    _entry("sew-in", 150, _style("Sew-in, straight", "sew-in", "large", 45)),
    _entry("crochet", 100, _style("Crochet, wavy", "crochet", "large", 40)),
    _entry(
        "cornrows-child",
        40,
        _style("Cornrows for a child", "cornrow", "large", 25, wearer=Wearer(child=True)),
        features=("child-height",),
    ),
)

LONG_INSTALLS = frozenset(entry.id for entry in MENU if "long-install" in entry.tags)
