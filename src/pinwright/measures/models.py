"""Straight-line models of the measures that the open data does not hold.

Each model: target = constant + sum of slope x measure (cm, degrees), with the standard error of a
single woman about the line and where it comes from. "M" in a source: from memory, not re-read.
"Aldrich size 12": W. Aldrich, Metric Pattern Cutting, bust 88, waist 68, hip 94, about 164 tall.
Several models of one target are averaged by their standard errors; an exact one is used alone.
biacromial_breadth and forearm_girth are no terms: they come from the regressions on bdims.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

ALDRICH = "Aldrich size 12 (M)"
BUNKA = "Bunka new-style bodice (M)"
ASTM_RATIO = "mean ratio of the neck rows of ASTM D5585-11e1 Table 1, sizes 8, 10, 12"
ASTM = "least squares through ASTM D5585-11e1 Table 1, sizes 8, 10, 12"
COMMON = "common practice, from memory"
IDENTITY = "by definition"


@dataclass(frozen=True, slots=True)
class Linear:
    """target = constant + slopes · measures, standard error in the target's unit.

    needs: measures that must have been given (not estimated) for the model to be used.
    exact: an identity; when it applies no other model of the target is used.
    """

    target: str
    constant: float
    slopes: tuple[tuple[str, float], ...]
    standard_error: float
    source: str
    needs: tuple[str, ...] = ()
    exact: bool = False

    @property
    def text(self) -> str:
        """The model in words: "12.6 + 0.25 upper_chest_girth"."""
        parts = [f"{self.constant:g}"] if self.constant or not self.slopes else []
        for name, slope in self.slopes:
            size = "" if abs(slope) == 1.0 else f"{abs(slope):.4g} "
            parts.append(f"{'-' if slope < 0 else '+'} {size}{name}")
        return " ".join(parts).removeprefix("+ ")


def _line(
    target: str,
    constant: float,
    se: float,
    source: str,
    needs: Iterable[str] = (),
    exact: bool = False,
    **slopes: float,
) -> Linear:
    return Linear(target, constant, tuple(slopes.items()), se, source, tuple(needs), exact)


_ABSW, _CHEST = "across_back_shoulder_width", "upper_chest_girth"

LINES: tuple[Linear, ...] = (
    # limbs, beside the regressions on bdims
    _line("mid_thigh_girth", 0, 1.5, COMMON, thigh_girth=0.65, knee_girth=0.35),
    _line("elbow_girth", 0, 0.8, "elbow as large as the greatest forearm: " + COMMON,
          forearm_girth=1),
    # neck and shoulder
    _line("neck_base_girth", 15.97, 1.5, ASTM, upper_chest_girth=0.2329),
    _line("neck_base_girth", 0, 1.2, ASTM_RATIO, ["neck_girth"], neck_girth=1.068),
    _line("neck_girth", 7.76, 1.5, ASTM, upper_chest_girth=0.2945),
    _line("neck_girth", 0, 1.2, ASTM_RATIO, ["neck_base_girth"], neck_base_girth=0.936),
    _line(_ABSW, 0, 0.8,
          "tape over the neck point 1.09 of the breadth between the bones: GB/T 1335.2 160/84A "
          "shoulder 39.4 (M) against bdims at that height", biacromial_breadth=1.09),
    _line(_ABSW, 0, 1.4, COMMON, ["shoulder_length"], shoulder_length=2, neck_base_girth=0.4),
    _line(_ABSW, 5, 1.5, ALDRICH + ": back width 34.4; GB/T 1335.2 (M): shoulder 39.4",
          ["across_back_width"], across_back_width=1),
    _line("shoulder_length", 0, 0.7,
          "common practice, from memory; gives the 12.25 of " + ALDRICH +
          " from the shoulder width 39.4 of GB/T 1335.2 (M) and a neck base of 37",
          across_back_shoulder_width=0.5, neck_base_girth=-0.2),
    _line("shoulder_slope", 20, 3.5, "mean of " + BUNKA + ": front 22, back 18"),
    # trunk
    _line("under_bust_girth", -15.9, 3.0,
          "ASTM D5585-11e1 Table 1, sizes 8, 10, 12: 6 1/4 in less in each; cups vary 3 cm",
          bust_girth=1),
    _line("across_back_width", 12.64, 1.3, ALDRICH + ": back 34.4, and 1 per 4 of bust",
          upper_chest_girth=0.25),
    _line("across_back_width", -5, 1.5, ALDRICH + " and GB/T 1335.2 (M)", [_ABSW],
          across_back_shoulder_width=1),
    _line("across_front_width", 6.29, 1.3,
          "British block: chest 32.4, and 1.2 per 4 of bust (burdastyle how-to, step 20)",
          upper_chest_girth=0.3),
    _line("back_waist_length", 0, 1.6,
          "0.25 of height (" + ALDRICH + "), 0.2375 (GB/T 1335.2, M), 0.24 (Bunka, M): middle",
          height=0.245),
    _line("back_waist_length", 2.0, 1.2, COMMON, ["cervical_height", "outside_leg"],
          cervical_height=1, outside_leg=-1),
    _line("front_waist_length", -5.73, 1.5,
          BUNKA + ": B/5 + 8.3 less B/12 + 13.7 over the back; cup beyond the average 0.35",
          back_waist_length=1, bust_girth=0.4667, upper_chest_girth=-0.35),
    _line("front_waist_length", 0, 1.8, COMMON, ["side_neck_to_bust_point"],
          side_neck_to_bust_point=1, back_waist_length=0.48),
    _line("front_waist_length", 5.9, 1.8, COMMON, ["front_neck_to_waist"],
          front_neck_to_waist=1, bust_girth=0.0417),
    _line("front_neck_to_waist", -5.9, 1.5,
          BUNKA + ": neck depth B/24 + 3.9; 2 for the way over the bust (common practice)",
          front_waist_length=1, bust_girth=-0.0417),
    _line("side_neck_to_bust_point", 8.3, 1.5, BUNKA + ": B/5 + 8.3", bust_girth=0.2),
    _line("side_neck_to_bust_point", 0, 1.8, COMMON, ["front_waist_length"],
          front_waist_length=1, back_waist_length=-0.48),
    _line("bust_point_width", 0.6, 1.3, COMMON, bust_girth=0.2),
    _line("scye_depth", 7.38, 1.2,
          BUNKA + ": B/12 + 13.7 at height 160; height 0.04 (common practice)",
          upper_chest_girth=0.0833, height=0.04),
    _line("scye_depth", 0, 1.3, ALDRICH + ": 21 of 41", ["back_waist_length"],
          back_waist_length=0.512),
    _line("bust_front_arc", 1.2, 1.5, COMMON + ": the cup lies wholly in the front",
          bust_girth=1, upper_chest_girth=-0.5),
    _line("bust_front_arc", 0, 0.5, IDENTITY, ["bust_back_arc"], True,
          bust_girth=1, bust_back_arc=-1),
    _line("bust_back_arc", 0, 0.5, IDENTITY, (), True, bust_girth=1, bust_front_arc=-1),
    _line("waist_front_arc", 1, 1.5, COMMON, waist_girth=0.5),
    _line("waist_front_arc", 0, 0.5, IDENTITY, ["waist_back_arc"], True,
          waist_girth=1, waist_back_arc=-1),
    _line("waist_back_arc", 0, 0.5, IDENTITY, (), True, waist_girth=1, waist_front_arc=-1),
    _line("hip_front_arc", -1, 1.5,
          "trouser block: front H/4 + 0.5, back H/4 + 1.5 (Practical English for Garments, 3rd "
          "ed., part 3)", hip_girth=0.5),
    _line("hip_front_arc", 0, 0.5, IDENTITY, ["hip_back_arc"], True,
          hip_girth=1, hip_back_arc=-1),
    _line("hip_back_arc", 0, 0.5, IDENTITY, (), True, hip_girth=1, hip_front_arc=-1),
    # arm
    _line("arm_length", 0, 1.8,
          "between 58.5 at 164 (" + ALDRICH + ") and 50.5 at 160, arm straight (GB/T 1335.2, M)",
          height=0.345),
    _line("arm_length", 0, 0.5, IDENTITY, ["back_neck_to_wrist"], True,
          back_neck_to_wrist=1, across_back_shoulder_width=-0.5),
    _line("back_neck_to_wrist", 0, 0.5, IDENTITY, (), True,
          arm_length=1, across_back_shoulder_width=0.5),
    # leg
    _line("body_rise", 0.32, 1.5, ALDRICH + ": rise 28; height 0.10, hip 0.12 (common practice)",
          height=0.10, hip_girth=0.12),
    _line("body_rise", 0, 1.5, COMMON, ["total_crotch_length"],
          total_crotch_length=0.5, hip_girth=-0.065),
    _line("body_rise", 0, 1.5, COMMON, ["front_crotch_length", "back_crotch_length"],
          front_crotch_length=0.5, back_crotch_length=0.5, hip_girth=-0.065),
    _line("body_rise", 0, 1.0, IDENTITY, ["outside_leg", "inside_leg"], True,
          outside_leg=1, inside_leg=-1),
    _line("inside_leg", 0, 2.0, ALDRICH + ": waist to floor 104 less rise 28", height=0.463),
    _line("inside_leg", 0, 1.0, IDENTITY, ["outside_leg"], True, outside_leg=1, body_rise=-1),
    _line("outside_leg", 0, 1.0, IDENTITY, (), True, inside_leg=1, body_rise=1),
    _line("waist_to_hip", 0, 1.2, ALDRICH + ": 20.6", height=0.1256),
    _line("waist_to_hip", 0, 1.0, ALDRICH + ": 20.6 of rise 28", ["body_rise"], body_rise=0.7357),
    _line("waist_to_knee", 0, 1.6, ALDRICH + ": 58.5", height=0.3567),
    _line("waist_to_knee", 0, 1.5, ALDRICH + ": 58.5 of 104", ["outside_leg"],
          outside_leg=0.5625),
    _line("total_crotch_length", 0, 0.5, IDENTITY,
          ["front_crotch_length", "back_crotch_length"], True,
          front_crotch_length=1, back_crotch_length=1),
    _line("total_crotch_length", 0, 2.5,
          "two rises, and 0.13 H for the fork (the two extensions of the textbook trouser block "
          "together are 0.127 H)",
          body_rise=2, hip_girth=0.13),
    _line("total_crotch_length", 0, 2.7, COMMON, ["front_crotch_length"],
          front_crotch_length=1 / 0.45),
    _line("total_crotch_length", 0, 2.7, COMMON, ["back_crotch_length"],
          back_crotch_length=1 / 0.55),
    _line("front_crotch_length", 0, 1.2, COMMON, total_crotch_length=0.45),
    _line("front_crotch_length", 0, 0.5, IDENTITY, ["back_crotch_length"], True,
          total_crotch_length=1, back_crotch_length=-1),
    _line("back_crotch_length", 0, 0.5, IDENTITY, (), True,
          total_crotch_length=1, front_crotch_length=-1),
    _line("cervical_height", -2, 1.5, COMMON, outside_leg=1, back_waist_length=1),
    # choices, not bodies
    _line("worn_waist_drop", 0, 0.0, "worn at the natural waist unless said"),
    _line("heel_height", 0, 0.0, "no heel unless said"),
)  # fmt: skip
"""Every straight-line model, in the order in which targets are filled."""


def _by_target() -> tuple[tuple[str, tuple[Linear, ...]], ...]:
    order = dict.fromkeys(line.target for line in LINES)
    return tuple((t, tuple(line for line in LINES if line.target == t)) for t in order)


MODELS = _by_target()
"""(target, its models), in filling order."""
