"""The body measurements a jacket and trousers need, by ISO 8559-1 term.

Numbers are those of ISO 8559-1:2017 as seen in one second-hand listing (sources 1.2);
where the number was not seen the field is empty and the note says so. Definitions are in our own
words. Limits: outside low..high a value is refused, outside usual_low..usual_high it is warned of.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

TermUnit = Literal["cm", "deg", "kg"]

SEEN = "number as in a second-hand listing of ISO 8559-1:2017; check it against the standard"
UNSEEN = "clause number not checked against the standard"
NOT_ISO = "trade measure, not an ISO 8559-1 item as far as we know"


@dataclass(frozen=True, slots=True)
class Term:
    """One body measurement: what it is, how to tape it, and between which limits.

    unit: "cm", "deg" or "kg", for low, high, usual_low, usual_high alike.
    sided: may be given separately for left and right (term_left, term_right).
    garments: the garments that use it. required: those that cannot be drafted without it.
    """

    name: str
    iso: str
    iso_note: str
    definition: str
    how: str
    landmarks: tuple[str, ...]
    unit: TermUnit
    low: float
    high: float
    usual_low: float
    usual_high: float
    sided: bool = False
    garments: tuple[str, ...] = ("trousers", "jacket")
    required: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """The term as a person reads it."""
        return self.name.replace("_", " ")


_T = ("trousers",)
_J = ("jacket",)
_BOTH = ("trousers", "jacket")


def _term(
    name: str,
    iso: str,
    definition: str,
    how: str,
    landmarks: str,
    limits: tuple[float, float, float, float],
    *,
    note: str = "",
    unit: TermUnit = "cm",
    sided: bool = False,
    garments: tuple[str, ...] = _BOTH,
    required: tuple[str, ...] = (),
) -> Term:
    low, usual_low, usual_high, high = limits
    return Term(
        name=name,
        iso=iso,
        iso_note=note or (SEEN if iso else UNSEEN),
        definition=definition,
        how=how,
        landmarks=tuple(part.strip() for part in landmarks.split(",")),
        unit=unit,
        low=low,
        high=high,
        usual_low=usual_low,
        usual_high=usual_high,
        sided=sided,
        garments=garments,
        required=required,
    )


_ALL: tuple[Term, ...] = (
    _term(
        "height",
        "",
        "Floor to the top of the head, standing upright without shoes.",
        "Back to a wall, heels together, a set square on the crown.",
        "floor, top of head",
        (120, 145, 190, 215),
        required=_BOTH,
    ),
    _term(
        "weight",
        "",
        "Body mass in light clothing.",
        "On scales, without shoes.",
        "whole body",
        (30, 40, 120, 200),
        unit="kg",
    ),
    _term(
        "bust_girth",
        "5.3.4",
        "Round the body at the level of the bust points.",
        "Tape level, bra worn, breathing normally, arms down.",
        "bust point",
        (60, 74, 140, 180),
        garments=_J,
        required=_J,
    ),
    _term(
        "under_bust_girth",
        "5.3.8",
        "Round the ribs just below the breasts.",
        "Tape level in the crease under the breasts, breathing out.",
        "under-bust level",
        (50, 62, 120, 160),
        garments=_J,
    ),
    _term(
        "upper_chest_girth",
        "",
        "Round the chest above the breast tissue, close under the arms.",
        "Tape high under the arms, level at the back, above the breasts in front.",
        "armpits",
        (60, 72, 130, 170),
        garments=_J,
    ),
    _term(
        "waist_girth",
        "5.3.10",
        "Round the body at the natural waist: half way between the lowest rib and the top of the "
        "hip bone at the side.",
        "Tie an elastic, bend sideways to let it settle, tape level over it, breathing out.",
        "lowest rib, top of hip bone",
        (45, 55, 130, 180),
        required=_BOTH,
    ),
    _term(
        "worn_waist_girth",
        "",
        "Round the body at the level where the top of the trousers is to sit.",
        "Tape where the band will lie, following its slope.",
        "worn waist level",
        (45, 56, 135, 185),
        note=NOT_ISO,
        garments=_T,
    ),
    _term(
        "top_hip_girth",
        "5.3.12",
        "Round the body half way between waist and hip level.",
        "Tape level over the front of the hip bones.",
        "waist level, hip level",
        (55, 65, 145, 190),
    ),
    _term(
        "hip_girth",
        "5.3.13",
        "Round the body at the fullest backward point of the seat.",
        "Feet together, tape level over the fullest part of the seat.",
        "greatest projection of the seat",
        (65, 78, 150, 190),
        required=_BOTH,
    ),
    _term(
        "neck_base_girth",
        "5.3.3",
        "Round the root of the neck over back, side and front neck points.",
        "Tape on edge over the seventh cervical, the shoulder roots and the collar-bone hollow.",
        "back neck point, side neck points, front neck point",
        (28, 33, 48, 60),
        garments=_J,
    ),
    _term(
        "neck_girth",
        "5.3.2",
        "Round the neck just under the larynx, square to its axis.",
        "Tape easy, one finger inside.",
        "larynx",
        (25, 29, 45, 55),
        garments=_J,
    ),
    _term(
        "upper_arm_girth",
        "5.3.16",
        "Round the upper arm half way from shoulder point to elbow.",
        "Arm hanging, tape square to the arm.",
        "shoulder point, elbow",
        (17, 22, 45, 60),
        sided=True,
        garments=_J,
    ),
    _term(
        "elbow_girth",
        "",
        "Round the elbow, arm nearly straight.",
        "Tape over the tip of the elbow and the crook.",
        "elbow point",
        (16, 19, 36, 48),
        sided=True,
        garments=_J,
    ),
    _term(
        "wrist_girth",
        "5.3.19",
        "Round the wrist over the bone on the little-finger side.",
        "Tape over the bone, easy.",
        "wrist bone",
        (11, 13, 21, 26),
        sided=True,
        garments=_J,
    ),
    _term(
        "thigh_girth",
        "5.3.20",
        "Round the thigh at its fullest, under the fold of the seat.",
        "Feet a little apart, weight on both, tape level and high.",
        "gluteal fold",
        (35, 45, 82, 100),
        sided=True,
        garments=_T,
    ),
    _term(
        "mid_thigh_girth",
        "5.3.21",
        "Round the thigh half way from crotch level to knee centre.",
        "Tape level.",
        "crotch level, knee centre",
        (30, 38, 72, 90),
        sided=True,
        garments=_T,
    ),
    _term(
        "knee_girth",
        "",
        "Round the knee at the middle of the knee-cap.",
        "Leg straight, tape level.",
        "knee centre",
        (24, 29, 52, 65),
        sided=True,
        garments=_T,
    ),
    _term(
        "calf_girth",
        "",
        "Round the calf at its fullest.",
        "Standing, tape level.",
        "fullest calf",
        (22, 28, 50, 65),
        sided=True,
        garments=_T,
    ),
    _term(
        "ankle_girth",
        "",
        "Round the ankle over the outer ankle bone.",
        "Tape over the bone.",
        "outer ankle bone",
        (15, 17, 30, 42),
        sided=True,
        garments=_T,
    ),
    _term(
        "shoulder_length",
        "",
        "Side neck point to shoulder point along the shoulder.",
        "Along the crest of the shoulder to the bone at its end.",
        "side neck point, shoulder point",
        (7, 10, 15.5, 18),
        sided=True,
        garments=_J,
    ),
    _term(
        "shoulder_slope",
        "",
        "Fall of the shoulder line below the horizontal, as an angle.",
        "Inclinometer along the shoulder, or drop over length.",
        "side neck point, shoulder point",
        (0, 12, 30, 40),
        unit="deg",
        sided=True,
        garments=_J,
    ),
    _term(
        "across_back_shoulder_width",
        "5.4.3",
        "Shoulder point over the back neck point to the other shoulder point.",
        "Tape over the back, arms down.",
        "shoulder points, back neck point",
        (28, 33, 48, 56),
        garments=_J,
    ),
    _term(
        "across_back_width",
        "",
        "Across the back between the arm breaks, half way down the scye.",
        "Arms hanging, tape level from crease to crease.",
        "back arm-break points",
        (25, 29, 46, 55),
        garments=_J,
    ),
    _term(
        "across_front_width",
        "",
        "Across the front between the arm breaks, above the bust.",
        "Arms hanging, tape level from crease to crease.",
        "front arm-break points",
        (23, 27, 46, 55),
        garments=_J,
    ),
    _term(
        "back_waist_length",
        "5.4.5",
        "Back neck point down the spine to waist level.",
        "Over the contour, to the elastic at the waist.",
        "back neck point, waist level",
        (30, 35, 47, 54),
        garments=_J,
    ),
    _term(
        "front_waist_length",
        "",
        "Side neck point over the bust point to waist level.",
        "Over the bust point, then straight down to the elastic.",
        "side neck point, bust point, waist level",
        (32, 37, 56, 64),
        garments=_J,
    ),
    _term(
        "side_neck_to_bust_point",
        "",
        "Side neck point to bust point.",
        "Straight to the point, bra worn.",
        "side neck point, bust point",
        (18, 21, 38, 46),
        sided=True,
        garments=_J,
    ),
    _term(
        "bust_point_width",
        "",
        "Bust point to bust point.",
        "Straight across, bra worn.",
        "bust points",
        (11, 14, 29, 34),
        garments=_J,
    ),
    _term(
        "scye_depth",
        "",
        "Back neck point down the spine to the level of the underarm.",
        "A level strip under the arms, tape down the spine to its top edge.",
        "back neck point, underarm level",
        (14, 17, 27, 34),
        garments=_J,
    ),
    _term(
        "arm_length",
        "5.7.8",
        "Shoulder point over the bent elbow to the wrist bone.",
        "Arm a little bent, tape along the outside.",
        "shoulder point, elbow point, wrist bone",
        (42, 49, 66, 75),
        sided=True,
        garments=_J,
    ),
    _term(
        "back_neck_to_wrist",
        "5.4.17",
        "Back neck point over shoulder point and bent elbow to the wrist bone.",
        "Arm bent, tape along the outside.",
        "back neck point, shoulder point, elbow point, wrist bone",
        (60, 66, 92, 102),
        sided=True,
        garments=_J,
    ),
    _term(
        "total_crotch_length",
        "",
        "Front waist between the legs to back waist.",
        "Tape easy through the fork, both ends at the waist elastic.",
        "waist level front and back, fork",
        (48, 58, 94, 110),
        garments=_T,
    ),
    _term(
        "front_crotch_length",
        "",
        "Front waist to the fork, where the inside seams meet.",
        "The front part of the total crotch length; mark the fork on the tape.",
        "waist level front, fork",
        (20, 25, 44, 56),
        note=NOT_ISO,
        garments=_T,
    ),
    _term(
        "back_crotch_length",
        "",
        "Fork to the back waist.",
        "The back part of the total crotch length.",
        "fork, waist level back",
        (24, 30, 54, 64),
        note=NOT_ISO,
        garments=_T,
    ),
    _term(
        "body_rise",
        "",
        "Seated: side waist straight down to the seat of a hard flat chair.",
        "Sitting upright, over the hip.",
        "waist level, chair",
        (18, 22, 37, 42),
        garments=_T,
    ),
    _term(
        "outside_leg",
        "",
        "Side waist to floor, following the hip.",
        "From the elastic over the hip, then straight down, no shoes.",
        "waist level, floor",
        (75, 90, 122, 142),
        sided=True,
        garments=_T,
    ),
    _term(
        "inside_leg",
        "",
        "Fork straight down to the floor, no shoes.",
        "A book held up firmly between the legs, tape from its top edge.",
        "fork, floor",
        (55, 64, 92, 106),
        sided=True,
        garments=_T,
    ),
    _term(
        "waist_to_hip",
        "",
        "Side waist to hip level over the curve.",
        "At the side seam.",
        "waist level, hip level",
        (12, 16, 26, 32),
        sided=True,
    ),
    _term(
        "waist_to_knee",
        "",
        "Side waist to the middle of the knee-cap.",
        "At the side, over the hip.",
        "waist level, knee centre",
        (42, 50, 69, 80),
        garments=_T,
    ),
    _term(
        "worn_waist_drop",
        "",
        "How far below the natural waist the trousers are worn.",
        "At the side, from the elastic to the top of the band; 0 when worn at the waist.",
        "waist level, worn waist level",
        (0, 0, 8, 12),
        note=NOT_ISO,
        garments=_T,
    ),
    _term(
        "heel_height",
        "",
        "Heel of the shoes to be worn with the garment.",
        "Upright at the back of the heel, less the sole under the ball.",
        "shoe",
        (0, 0, 11, 16),
        note=NOT_ISO,
        garments=_T,
    ),
    _term(
        "bust_front_arc",
        "",
        "Front part of the bust girth, side line to side line.",
        "From under the middle of one armpit over the bust points to the other.",
        "side lines, bust points",
        (28, 36, 80, 102),
        note=NOT_ISO,
        garments=_J,
    ),
    _term(
        "bust_back_arc",
        "",
        "Back part of the bust girth, side line to side line.",
        "As the front arc, over the back.",
        "side lines",
        (26, 33, 68, 88),
        note=NOT_ISO,
        garments=_J,
    ),
    _term(
        "waist_front_arc",
        "",
        "Front part of the waist girth, side line to side line.",
        "On the elastic between the side lines.",
        "side lines, waist level",
        (20, 26, 74, 105),
        note=NOT_ISO,
    ),
    _term(
        "waist_back_arc",
        "",
        "Back part of the waist girth, side line to side line.",
        "On the elastic between the side lines.",
        "side lines, waist level",
        (18, 25, 68, 95),
        note=NOT_ISO,
    ),
    _term(
        "hip_front_arc",
        "",
        "Front part of the hip girth, side line to side line.",
        "At hip level between the side lines.",
        "side lines, hip level",
        (28, 36, 78, 100),
        note=NOT_ISO,
    ),
    _term(
        "hip_back_arc",
        "",
        "Back part of the hip girth, side line to side line.",
        "At hip level over the seat.",
        "side lines, hip level",
        (30, 38, 84, 108),
        note=NOT_ISO,
    ),
    _term(
        "front_neck_to_waist",
        "",
        "Front neck point down the centre front to waist level.",
        "Bridging between the breasts.",
        "front neck point, waist level",
        (22, 28, 43, 52),
        garments=_J,
    ),
    _term(
        "cervical_height",
        "",
        "Back neck point to floor, standing.",
        "Upright from the floor to the seventh cervical.",
        "back neck point, floor",
        (100, 122, 166, 190),
        garments=_J,
    ),
)

TERMS: Mapping[str, Term] = MappingProxyType({term.name: term for term in _ALL})
"""Every measurement by name, in the order of a measuring form."""
