"""What can be done at each place: noun and action to the kind of correction and its sign.

Signs are those of the catalogue: a seam + lets out, a hem + is longer, a dart + is deeper.
Common practice throughout; where the trade uses one word in two senses (a seam "1 out"), the
table holds no rule for it and the reader asks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from pinwright.fitting.proposal import GarmentName, MeantAs

BOTH_GARMENTS: tuple[GarmentName, ...] = ("trousers", "jacket")


@dataclass(frozen=True)
class Rule:
    """One thing that can be done: catalogue kind, place, sign (+1 or −1), meaning of the amount.

    ``meant_as`` None: the meaning must be said, or is asked. ``at``: the option of that name.
    """

    kind: str
    place: str
    sign: int
    meant_as: MeantAs | None
    at: str | None = None


@dataclass(frozen=True)
class Noun:
    """A named thing: what each action does to it, and what an amount alone would mean.

    ``alone``: the action taken where none is said, because the noun itself says it (a hollow back
    of 1.5). ``ask``: actions to choose from where none is said. ``part``: the part it is on.
    ``refuses``: actions a cutter may say of it that no correction makes, each with the reason.
    """

    acts: dict[str, Rule]
    label: str
    alone: str | None = None
    ask: tuple[str, ...] = ()
    part: str | None = None
    refuses: Mapping[str, str] = field(default_factory=dict)


_Pairs = tuple[tuple[str, str], ...]
DEPTH: _Pairs = (("deeper", "shallower"), ("plus", "minus"))
LENGTH: _Pairs = (("longer", "shorter"), ("plus", "minus"))
LOWER: _Pairs = (("down", "up"),)
SEAM: _Pairs = (("out", "in"), ("plus", "minus"))


def _acts(
    kind: str, place: str, meant_as: MeantAs | None, *pairs: tuple[str, str], at: str | None = None
) -> dict[str, Rule]:
    """Rules for pairs of opposite actions, the first of each pair with the sign +."""
    acts: dict[str, Rule] = {}
    for more, less in pairs:
        acts[more] = Rule(kind, place, 1, meant_as, at)
        acts[less] = Rule(kind, place, -1, meant_as, at)
    return acts


def _dart(kind: str, place: str, label: str) -> Noun:
    acts = _acts(kind, place, "intake", *DEPTH, ("in", "out"), ("in_word", "out"), ("more", "less"))
    acts["pin"] = acts["take"] = acts["take_out"] = acts["wider"] = acts["deeper"]
    acts["narrower"] = acts["shallower"]
    return Noun(acts, label, ask=("plus", "minus"))


def _seam(place: str, label: str) -> Noun:
    acts = _acts("let_out", place, None, *SEAM)
    for act in ("take", "in_word", "pin", "take_out", "off"):
        acts[act] = acts["in"]
    if place == "shoulder_seam":
        acts["pick_up"] = acts["take_up"] = acts["in"]
    acts["room"], acts["less_room"] = acts["out"], acts["in"]
    acts["tighter"], acts["looser"] = acts["in"], acts["out"]
    if place in {"side_seam", "inseam"}:
        acts["narrower"], acts["wider"] = acts["in"], acts["out"]
    return Noun(acts, label, ask=("plus", "minus"))


def _region(region: str, label: str) -> Noun:
    acts = _acts(
        "fullness", region, None, ("more", "less"), ("wider", "narrower"), ("plus", "minus")
    )
    acts |= _acts("fullness", region, None, ("room", "less_room"), ("looser", "tighter"))
    acts["out"] = acts["ease"] = acts["more"]
    return Noun(acts, label, ask=("plus", "minus"))


def _pocket(place: str, label: str, opening: bool) -> Noun:
    acts = _acts("pocket_move", place, "level", ("down", "up"), ("deeper", "shallower"))
    acts |= _acts("pocket_opening", place, "length", ("longer", "shorter"), ("wider", "narrower"))
    if place != "side_pocket":
        acts |= _acts("pocket_across", "patch_pocket", "length", ("toward_side", "toward_centre"))
    ask = ("longer", "shorter", "down", "up") if opening else ("down", "up", "longer", "shorter")
    return Noun(acts, label, ask=ask)


def _hem(place: str, label: str) -> Noun:
    acts = _acts("hem", place, "level", ("down", "up"), *LENGTH)
    acts["take_up"] = acts["off"] = acts["take"] = acts["up"]
    acts["out"] = acts["down"]  # "let out the hem"
    return Noun(acts, label, ask=("plus", "minus"))


def _neck(place: str, label: str) -> Noun:
    acts = _acts("neckline", place, "level", *LOWER, ("deeper", "shallower"))
    acts |= _acts("neck_point", "neck_point", "length", ("wider", "narrower"))
    return Noun(acts, label, ask=("down", "up"))


def _sleeve() -> Noun:
    acts = _acts("sleeve_length", "sleeve_hem", "level", *LENGTH, ("down", "up"))
    acts["off"] = acts["take_up"] = acts["shorter"]
    acts |= _acts("sleeve_pitch", "sleeve", "length", ("forward", "backward"))
    return Noun(acts, "sleeve", ask=("plus", "minus"))


def _fork(place: str, label: str) -> Noun:
    acts = _acts("fork_extension", place, "length", *LENGTH, ("out", "in"), ("wider", "narrower"))
    acts |= _acts("fork_extension", place, "length", ("outward", "in_word"), ("more", "less"))
    return Noun(acts, label, ask=("plus", "minus"))


def _rise(kind: str, place: str, label: str, alone: str | None = None) -> Noun:
    acts = _acts(kind, place, "level", *LENGTH, ("up", "down"), ("more", "less"))
    return Noun(acts, label, alone=alone, ask=("plus", "minus"))


def _amount_of(kind: str, place: str, label: str) -> Noun:
    """A figure fault named by a noun that is itself the direction: hollow back 1.5."""
    acts = _acts(kind, place, "level", ("more", "less"), ("plus", "minus"), ("deeper", "shallower"))
    acts["take_out"] = acts["take"] = acts["out"] = acts["pin"] = acts["more"]
    return Noun(acts, label, alone="more")


def _body() -> Noun:
    acts = _acts("body_length", "body", "level", *LENGTH)
    acts["off"] = acts["take"] = acts["take_out"] = acts["shorter"]
    return Noun(acts, "body", ask=("plus", "minus"))


_ARMHOLE = _acts("armhole_depth", "armhole", "level", *DEPTH, *LOWER)
_SLOPE = _acts("shoulder_slope", "shoulder", "level", *LOWER, ("sloping", "square"))
_CROTCH = _acts("crotch_depth", "crotch", "level", *DEPTH, *LOWER, *LENGTH)
_BAND = _acts("waistband_length", "waistband", "length", *LENGTH, ("out", "in"), ("more", "less"))
_BAND["take"] = _BAND["in_word"] = _BAND["off"] = _BAND["pin"] = _BAND["in"]
_BAND["tighter"], _BAND["looser"] = _BAND["in"], _BAND["out"]
_BAND["measured"] = Rule("waistband_length", "waistband", 1, "measure")
_BAND["ease"] = _BAND["gather"] = Rule("waistband_gather", "waistband", 1, "length")
_NECK_POINT = _acts(
    "neck_point", "neck_point", "length", ("outward", "in_word"), ("wider", "narrower")
)
_NECK_POINT |= _acts("neck_point", "neck_point", "length", ("out", "in"), ("plus", "minus"))
_PITCH = _acts("sleeve_pitch", "sleeve", "length", ("forward", "backward"), ("plus", "minus"))
_MOUTH = _acts("bust_dart_direction", "bust_dart", "length", ("up", "down"), ("plus", "minus"))
_MOUTH |= _acts("bust_dart_intake", "bust_dart", "intake", ("wider", "narrower"))
_POINT = _acts("bust_dart_length", "bust_dart", "length", *LENGTH)
_POINT_STAYS = (
    "no correction moves the point of a bust dart up or down; its mouth can be moved along the "
    "side seam, and the dart made longer or shorter"
)
_WHOLE_STAYS = (
    "no correction moves a whole bust dart up or down; its mouth can be moved along the side seam"
)
_JACKET_HEM = _hem("jacket_hem", "hem at centre back")
_BUST = _dart("bust_dart_intake", "bust_dart", "bust dart")
_BUST.acts.update(_acts("bust_dart_length", "bust_dart", "length", ("longer", "shorter")))
_ELBOW = _acts("sleeve_length", "elbow", "level", *LENGTH)

NOUNS: dict[str, Noun] = {
    "bust_dart": _BUST,
    "bust_dart_mouth": Noun(_MOUTH, "mouth of the bust dart", ask=("up", "down")),
    "bust_dart_point": Noun(
        _POINT,
        "point of the bust dart",
        ask=("longer", "shorter"),
        refuses=dict.fromkeys(("up", "down"), _POINT_STAYS),
    ),
    "bust_dart_whole": Noun(
        _BUST.acts,
        "bust dart",
        _BUST.alone,
        _BUST.ask,
        refuses=dict.fromkeys(("up", "down"), _WHOLE_STAYS),
    ),
    "jacket_hem": replace(_JACKET_HEM, label="jacket hem"),
    "jacket_hem_back": replace(_JACKET_HEM, part="back"),
    "shoulder_dart": _dart("shoulder_dart_intake", "shoulder_dart", "shoulder dart"),
    "front_waist_dart": _dart("waist_dart_intake", "front_waist_dart", "front waist dart"),
    "back_waist_dart": _dart("waist_dart_intake", "back_waist_dart", "back waist dart"),
    "side_seam": _seam("side_seam", "side seam"),
    "centre_back": _seam("centre_back", "centre back seam"),
    "inseam": _seam("inseam", "inseam"),
    "seat_seam": _seam("seat_seam", "seat seam"),
    "front_crotch_seam": _seam("front_crotch_seam", "front crotch seam"),
    "shoulder_seam": _seam("shoulder_seam", "shoulder seam"),
    "sleeve_seam": _seam("sleeve_seam", "sleeve seam"),
    "back_pass": Noun(
        _acts("pass_back", "side_seam", "level", ("up", "down")), "back", ask=("up", "down")
    ),
    "neck_point": Noun(_NECK_POINT, "neck point", ask=("plus", "minus")),
    "front_neck": _neck("front_neck", "front neck"),
    "back_neck": _neck("back_neck", "back neck"),
    "sleeve": _sleeve(),
    "sleeve_pitch": Noun(_PITCH, "sleeve pitch", ask=("forward", "backward")),
    "sleeve_hem": _hem("sleeve_hem", "sleeve hem"),
    "elbow": Noun(_ELBOW, "sleeve at the elbow", ask=("plus", "minus")),
    "hem": _hem("hem", "hem"),
    "leg": _hem("trouser_hem", "trouser leg"),
    "body": _body(),
    "armhole": Noun(_ARMHOLE, "armhole", ask=("plus", "minus")),
    "shoulder": Noun(_SLOPE, "shoulder"),
    "shoulder_slope": Noun(
        _SLOPE | _acts("shoulder_slope", "shoulder", "level", ("plus", "minus"), ("more", "less")),
        "shoulder slope",
        ask=("plus", "minus"),
    ),
    "hollow_back": _amount_of("hollow_back", "back_waist", "hollow back"),
    "round_back": _amount_of("round_back", "upper_back", "round back"),
    "crotch": Noun(_CROTCH, "crotch", ask=("plus", "minus")),
    "front_fork": _fork("front_fork", "front fork"),
    "back_fork": _fork("back_fork", "back fork"),
    "seat_wedge": _rise("seat_wedge", "seat", "seat wedge", alone="plus"),
    "back_rise": _rise("seat_wedge", "seat", "back rise"),
    "front_rise": _rise("front_rise", "front_waist", "front rise"),
    "side_pocket": _pocket("side_pocket", "side pocket", False),
    "patch_pocket": _pocket("patch_pocket", "patch pocket", False),
    "pocket": _pocket("pocket", "pocket", False),
    "side_pocket_opening": _pocket("side_pocket", "side pocket opening", True),
    "patch_pocket_opening": _pocket("patch_pocket", "patch pocket opening", True),
    "pocket_opening": _pocket("pocket", "pocket opening", True),
    "waistband": Noun(_BAND, "waistband"),
    **{
        name: _region(name, label)
        for name, label in (
            ("over_seat", "seat"),
            ("across_back", "back"),
            ("across_front", "front"),
            ("thigh", "thigh"),
            ("upper_arm", "upper arm"),
            ("waist_back", "back of the waist"),
        )
    },
}
_BAND_SIGNED = _acts("waistband_length", "waistband", "length", ("plus", "minus"))
NOUNS["waistband"].acts.update(_BAND_SIGNED)

# A noun said without its front or back: what it can be.
EITHER: dict[str, tuple[str, ...]] = {
    "waist_dart": ("front_waist_dart", "back_waist_dart", "both"),
    "neckline": ("front_neck", "back_neck", "both"),
    "fork": ("front_fork", "back_fork", "both"),
    "rise": ("crotch", "front_rise", "back_rise"),
    "dart": ("bust_dart", "shoulder_dart", "front_waist_dart", "back_waist_dart"),
    "waist": ("side_seam", "centre_back"),
    "hip": ("side_seam", "centre_back"),
    "crotch_seam": ("front_crotch_seam", "seat_seam", "both"),
    "leg_width": ("side_seam", "inseam", "both"),
    "bust_dart_moved": ("bust_dart_mouth", "bust_dart_point", "bust_dart_whole"),
    "cb_level": ("back_rise", "jacket_hem_back", "back_neck"),  # "drop CB"
}
WITH_PART: dict[tuple[str, str], str] = {
    ("waist_dart", "front"): "front_waist_dart",
    ("waist_dart", "back"): "back_waist_dart",
    ("dart", "front"): "front_waist_dart",
    ("dart", "back"): "back_waist_dart",
    ("neckline", "front"): "front_neck",
    ("neckline", "back"): "back_neck",
    ("fork", "front"): "front_fork",
    ("fork", "back"): "back_fork",
    ("rise", "front"): "front_rise",
    ("rise", "back"): "back_rise",
    ("crotch_seam", "front"): "front_crotch_seam",
    ("crotch_seam", "back"): "seat_seam",
    ("waist", "back"): "waist_back",
}

# Where each place is; a place that two garments have under one word is named by garment below.
PLACE_GARMENTS: dict[str, tuple[GarmentName, ...]] = {
    "bust_dart": ("jacket",), "shoulder_dart": ("jacket",), "front_waist_dart": ("trousers",),
    "back_waist_dart": ("trousers",), "side_seam": BOTH_GARMENTS, "centre_back": BOTH_GARMENTS,
    "inseam": ("trousers",), "seat_seam": ("trousers",), "front_crotch_seam": ("trousers",),
    "shoulder_seam": ("jacket",), "sleeve_seam": ("jacket",), "neck_point": ("jacket",),
    "front_neck": ("jacket",), "back_neck": ("jacket",), "sleeve": ("jacket",),
    "sleeve_hem": ("jacket",), "elbow": ("jacket",), "hem": BOTH_GARMENTS,
    "trouser_hem": ("trousers",), "jacket_hem": ("jacket",), "body": ("jacket",),
    "armhole": ("jacket",),
    "shoulder": ("jacket",), "back_waist": ("jacket",), "upper_back": ("jacket",),
    "crotch": ("trousers",), "front_fork": ("trousers",), "back_fork": ("trousers",),
    "seat": ("trousers",), "front_waist": ("trousers",), "side_pocket": ("trousers",),
    "patch_pocket": ("jacket",), "pocket": BOTH_GARMENTS, "waistband": ("trousers",),
    "over_seat": BOTH_GARMENTS, "across_back": ("jacket",), "across_front": ("jacket",),
    "thigh": ("trousers",), "upper_arm": ("jacket",), "waist_back": BOTH_GARMENTS,
}  # fmt: skip
# Kinds that only some of the garments with the place have, and what to say of the others.
KIND_GARMENTS: dict[str, tuple[tuple[GarmentName, ...], str]] = {
    "pass_back": (("jacket",), "the back is passed on a jacket"),
}
# Places that are there on the right and on the left.
PAIRED = frozenset(PLACE_GARMENTS) - {
    "centre_back", "seat_seam", "front_crotch_seam", "front_neck", "back_neck", "body",
    "back_waist", "upper_back", "crotch", "seat", "front_waist", "waistband", "over_seat",
    "across_back", "across_front", "waist_back",
}  # fmt: skip
IN_GARMENT: dict[tuple[str, str], str] = {
    ("hem", "trousers"): "trouser_hem",
    ("hem", "jacket"): "jacket_hem",
    ("pocket", "trousers"): "side_pocket",
    ("pocket", "jacket"): "patch_pocket",
    ("centre_back", "trousers"): "seat_seam",
}
ON_LEG = frozenset({"thigh", "knee", "hem"})  # levels where a trouser seam goes round one leg
LEVEL_GARMENT: dict[str, GarmentName] = {
    "underarm": "jacket", "bust": "jacket", "crotch": "trousers", "thigh": "trousers",
    "knee": "trousers",
}  # fmt: skip
