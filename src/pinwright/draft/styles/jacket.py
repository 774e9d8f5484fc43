"""The shirt-like jacket: front with bust dart, back with dart or yoke, one-piece sleeve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from pinwright.draft.blocks import jacket_seams as sewn
from pinwright.draft.blocks.bodice import bodice
from pinwright.draft.blocks.bodice_pieces import back_piece, front_piece
from pinwright.draft.blocks.jacket import CAP_EASE, EASE, USED, jacket_plan, number
from pinwright.draft.blocks.jacket_yoke import yoked
from pinwright.draft.blocks.sleeve import ELBOW, sleeve
from pinwright.draft.features.collar import collar, collar_junctions, neck_seam
from pinwright.draft.features.patch_pocket import with_buttons, with_patch_pocket
from pinwright.draft.features.yoke import fractions
from pinwright.draft.style import Choice, Choices, Style
from pinwright.makingup.facing import front_facing
from pinwright.makingup.interfacing import interfacing, undercollar
from pinwright.makingup.jacket_lining import jacket_lining
from pinwright.makingup.patch_pocket import patch_pocket
from pinwright.measures.estimate import Body
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

ARMHOLE_DART_BELOW_NOTCH = 3.5
"""Where a bust dart opens in the armhole, cm below the front notch."""

FIRST_BUTTON = 1.5
"""First button below the neckline, cm."""

CHOICES = (
    Choice("ease", "loose", "how much room the jacket has", tuple(EASE)),
    Choice("back", "shoulder_dart", "how the blade is shaped", ("shoulder_dart", "yoke")),
    Choice(
        "bust_dart",
        "side_seam",
        "where the bust dart opens",
        ("side_seam", "side_seam_high", "side_seam_low", "armhole"),
    ),
    Choice("cloth", "firm", "what the cloth can take up as cap ease", tuple(CAP_EASE)),
    Choice("length_below_hip", 6.0, "hem below the hip level at the side", (), 3.0, 40.0, "cm"),
    Choice("back_hem_drop", 0.0, "how much longer the hem is at centre back", (), 0.0, 8.0, "cm"),
    Choice("collar_width", 7.0, "collar at the centre back", (), 5.0, 10.0, "cm"),
    Choice("collar_point", 1.5, "collar point beyond a square front end", (), 0.0, 5.0, "cm"),
    Choice("pockets", True, "patch pockets on the fronts"),
    Choice("pocket_width", 13.0, "width of the patch pocket", (), 10.0, 18.0, "cm"),
    Choice("pocket_below_waist", 5.0, "pocket opening below the waist", (), -2.0, 12.0, "cm"),
    Choice("buttons", 5.0, "buttons down the front", (), 3.0, 9.0, "count"),
    Choice("button_stand", 2.0, "width of the button stand", (), 1.0, 4.0, "cm"),
    Choice("lining", "none", "lined throughout, or not", ("none", "full")),
)


def block(body: Body, choices: Choices) -> Garment:
    """Front, back and sleeve with their seams.

    Raises:
        DraftError: a body no jacket can be drafted for, in one sentence.
    """
    p = jacket_plan(body, choices)
    d = bodice(p)
    in_armhole = ARMHOLE_DART_BELOW_NOTCH if p.bust_dart == "armhole" else None
    front = front_piece(d.front, d.levels, p.button_stand, in_armhole)
    back = back_piece(d.back, d.levels, d.front.side[2].length)
    # what the shoulder is longer than the body's is missing from the sleeve
    beyond = front.edge("shoulder").length - p.shoulder
    s = sleeve(
        sewn.armhole_lengths(front, back),
        p.cap_ease,
        p.ease.cap,
        (p.upper_arm + p.ease.upper_arm[0], p.upper_arm + p.ease.upper_arm[1]),
        p.wrist + p.ease.wrist,
        p.arm - beyond + 1.0,
        ELBOW * p.arm - beyond,
    )
    yoke_at = fractions(back)
    pieces = (front, back, s.piece)
    return Garment(
        "jacket",
        "jacket",
        pieces,
        sewn.block_seams(p, s),
        sewn.block_junctions(),
        sewn.block_targets(p, {x.name: x for x in pieces}),
        sewn.block_places(front.dart("bust dart").edge),
        facts={
            "bust_dart_angle": d.front.dart_angle,
            "yoke_centre_fraction": yoke_at[0],
            "yoke_armhole_fraction": yoke_at[1],
            "armhole": sewn.armhole_lengths(front, back).total,
            "cap_height": s.cap_height,
            "sleeve_width": s.width,
            "over_back": d.back.over_back,
            "over_front": d.front.over_front,
            "button_stand": p.button_stand,
            "scye_depth": body["scye_depth"],
        },
        choices=dict(choices),
        estimated=tuple(m for m in USED if body.is_estimated(m)),
    )


def finish(garment: Garment, body: Body, choices: Choices) -> Garment:
    """The jacket with its yoke, collar, patch pockets and buttons.

    Raises:
        DraftError: a collar or pocket that does not fit the pieces.
    """
    g = yoked(garment) if choices["back"] == "yoke" else garment
    front = g.piece("front")
    hip = float(front.point("side:hip")[1])
    if choices["pockets"]:
        front = with_patch_pocket(
            front, number(choices, "pocket_width"), number(choices, "pocket_below_waist")
        )
    front = with_buttons(front, round(number(choices, "buttons")), FIRST_BUTTON, hip)
    upper = "yoke" if g.has("yoke") else "back"
    turned = collar(
        front.edge("neck").length,
        g.piece(upper).edge("neck").length,
        number(choices, "collar_width"),
        number(choices, "collar_point"),
    )
    pieces = tuple(front if p.name == "front" else p for p in g.pieces)
    return replace(
        g,
        pieces=(*pieces, turned),
        seams=(*g.seams, neck_seam(upper)),
        junctions=(*g.junctions, *collar_junctions()),
    )


def derive(pieces: Mapping[str, Piece], garment: Garment) -> tuple[Piece, ...]:
    """Facing, patch pocket, undercollar, interfacings and lining from the solved pieces."""
    front, turned = pieces["front"], pieces["collar"]
    facing = front_facing(front)
    derived = [
        facing,
        undercollar(turned),
        interfacing(facing, "front_interfacing", "Front interfacing"),
        interfacing(turned, "collar_interfacing", "Collar interfacing"),
    ]
    if garment.choices["pockets"]:
        derived.append(patch_pocket(front))
    if garment.choices.get("lining") == "full":
        derived += jacket_lining(pieces, facing)
    return tuple(derived)


STYLE = Style(
    name="jacket",
    title="Jacket",
    summary="A shirt-like jacket, loose, regular or slim, with a bust dart and a straight "
    "one-piece sleeve.",
    choices=CHOICES,
    measures=USED,
    block=block,
    finish=finish,
    derive=derive,
)
