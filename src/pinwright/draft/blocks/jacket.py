"""The jacket's ease and the measures it is drafted from, gathered in one frozen plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinwright.errors import DraftError
from pinwright.measures.estimate import Body

Choices = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Ease:
    """What a loose, regular or slim jacket adds, in cm round the body unless said.

    Source: bust 14-20 and hip 12-18 loose, 8-10 and 6-8 fitted, armhole lowered 1.5-2.5 fitted
    and 3-6 more for a shirt, shoulder + 1-3 (sources 2.3 and 2.5, from memory); regular lies
    between. ``waist_in`` is taken in at the waist of each side seam edge, ``shoulder`` added
    beyond the shoulder point.

    ``cap`` is the cap height by the round of the armhole: the first is drafted (shirt AH/6 to
    AH/4, sources 2.4) unless the sleeve would have more than the second of ``upper_arm`` in ease
    round the upper arm; then the cap is raised, and the sleeve narrowed, up to the second (AH/3
    for a one-piece set-in sleeve, sources 2.4). The first of ``upper_arm`` is the least ease: for
    it the cap is lowered. So slim is narrower than regular and regular than loose on every arm.
    """

    bust: float
    hip: float
    waist: float
    waist_in: float
    shoulder: float
    armhole: float
    cap: tuple[float, float]
    upper_arm: tuple[float, float]
    wrist: float


EASE: Mapping[str, Ease] = {
    "loose": Ease(18.0, 15.0, 12.0, 0.0, 1.5, 3.0, (0.25, 0.25), (8.0, 20.0), 13.0),
    "regular": Ease(14.0, 11.0, 10.0, 0.8, 0.8, 2.2, (0.27, 0.30), (6.5, 12.0), 11.0),
    "slim": Ease(10.0, 8.0, 8.0, 1.6, 0.3, 1.5, (0.30, 0.33), (5.0, 8.0), 9.0),
}

CAP_EASE: Mapping[str, tuple[float, float]] = {
    "shirting": (0.5, 1.5),
    "firm": (1.5, 2.5),
    "wool": (2.5, 4.0),
}
"""Range of cap ease by cloth, cm (sources 2.4 working limits, from memory)."""

SHOULDER_EASE = 0.5
"""How much longer the back shoulder is than the front, cm (0.3 to 1.0, sources 3.4)."""

NECK_EASE = 0.4
"""Added to each neck width and to the front neck depth for a garment worn over a blouse, cm."""

LENGTH_EASE = 0.8
"""Added to back and front length for the cloth over the blades and bust, cm (1, sources 2.3)."""

USED = (
    "bust_girth",
    "waist_girth",
    "hip_girth",
    "bust_front_arc",
    "bust_back_arc",
    "neck_base_girth",
    "shoulder_length",
    "shoulder_slope",
    "across_back_width",
    "across_front_width",
    "back_waist_length",
    "front_waist_length",
    "side_neck_to_bust_point",
    "bust_point_width",
    "scye_depth",
    "waist_to_hip",
    "arm_length",
    "upper_arm_girth",
    "wrist_girth",
)
"""The measures a jacket is drafted from."""


@dataclass(frozen=True, slots=True)
class JacketPlan:
    """A client's measures (cm, degrees) with the chosen ease and the style's lengths."""

    bust: float
    waist: float
    hip: float
    front_arc: float
    back_arc: float
    neck: float
    shoulder: float
    slope: float
    across_back: float
    across_front: float
    back_length: float
    front_length: float
    neck_to_bust_point: float
    bust_point_width: float
    scye_depth: float
    waist_to_hip: float
    arm: float
    upper_arm: float
    wrist: float
    ease: Ease
    hem_below_hip: float
    back_hem_drop: float
    button_stand: float
    bust_dart: str
    cap_ease: tuple[float, float]


def number(choices: Choices, name: str) -> float:
    """A choice that is a number."""
    value = choices[name]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise DraftError(f"jacket: {name} is {value!r}; it must be a number.")
    return float(value)


def jacket_plan(body: Body, choices: Choices) -> JacketPlan:
    """Gather what the draft needs from the body and the choices.

    Raises:
        DraftError: a choice that is no number, or a body no jacket can be drafted for.
    """
    plan = JacketPlan(
        bust=body["bust_girth"],
        waist=body["waist_girth"],
        hip=body["hip_girth"],
        front_arc=body["bust_front_arc"],
        back_arc=body["bust_back_arc"],
        neck=body["neck_base_girth"],
        shoulder=body["shoulder_length"],
        slope=body["shoulder_slope"],
        across_back=body["across_back_width"],
        across_front=body["across_front_width"],
        back_length=body["back_waist_length"],
        front_length=body["front_waist_length"],
        neck_to_bust_point=body["side_neck_to_bust_point"],
        bust_point_width=body["bust_point_width"],
        scye_depth=body["scye_depth"],
        waist_to_hip=body["waist_to_hip"],
        arm=body["arm_length"],
        upper_arm=body["upper_arm_girth"],
        wrist=body["wrist_girth"],
        ease=EASE[str(choices["ease"])],
        hem_below_hip=number(choices, "length_below_hip"),
        back_hem_drop=number(choices, "back_hem_drop"),
        button_stand=number(choices, "button_stand"),
        bust_dart=str(choices["bust_dart"]),
        cap_ease=CAP_EASE[str(choices["cloth"])],
    )
    if not 0.0 <= plan.slope <= 35.0:
        raise DraftError(
            f"jacket: shoulder_slope is {plan.slope:g} degrees; a jacket can be drafted for 0 to "
            "35 degrees."
        )
    room = plan.back_length - plan.scye_depth
    if room < 10.0:
        raise DraftError(
            f"jacket: back_waist_length {plan.back_length:.1f} leaves {room:.1f} cm between the "
            f"underarm (scye_depth {plan.scye_depth:.1f}) and the waist; at least 10 cm are needed."
        )
    return plan
