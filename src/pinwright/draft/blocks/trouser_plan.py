"""The numbers of a trouser draft: levels and widths from the body, before any line is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinwright.draft.blocks import trouser_rules as rules
from pinwright.errors import DraftError
from pinwright.measures.estimate import Body
from pinwright.measures.relations import girth_below_waist

MEASURES = (
    "waist_girth",
    "worn_waist_girth",
    "worn_waist_drop",
    "hip_girth",
    "waist_front_arc",
    "waist_back_arc",
    "hip_front_arc",
    "hip_back_arc",
    "thigh_girth",
    "knee_girth",
    "ankle_girth",
    "body_rise",
    "outside_leg",
    "inside_leg",
    "waist_to_hip",
    "waist_to_knee",
    "front_crotch_length",
    "back_crotch_length",
    "heel_height",
)


@dataclass(frozen=True, slots=True)
class TrouserPlan:
    """Levels (height over the bare floor), widths of one half and lengths, all in cm.

    ``depth`` is how far below the natural waist the waist seam lies; ``side_top`` how high the
    side seam's waist end stands over the hip line; ``waist_*`` the sewn waist without,
    ``gather_*`` the cloth gathered or eased into the band on top of it; ``front_crotch`` and
    ``back_crotch`` what the crotch curves must measure.
    """

    ease: rules.Ease
    depth: float
    girth: float
    hip_y: float
    crotch_y: float
    knee_y: float
    hem_y: float
    side_top: float
    front_hip: float
    back_hip: float
    front_waist: float
    back_waist: float
    front_gather: float
    back_gather: float
    front_fork: float
    back_fork: float
    front_knee: float
    back_knee: float
    front_hem: float
    back_hem: float
    front_crotch: float
    back_crotch: float


def number(choices: Mapping[str, object], name: str) -> float:
    """A choice that is a number, as a float."""
    value = choices[name]
    if not isinstance(value, int | float):
        raise DraftError(f"trousers: {name} must be a number, not {value!r}.")
    return float(value)


def girth_at(body: Body, depth: float) -> float:
    """Body girth at ``depth`` below the natural waist, through the girth taped at the worn waist.

    Between waist and hip the girth swells as in :func:`girth_below_waist`; the whole curve is
    shifted so that it passes through the worn waist girth at the worn waist's level.
    """
    waist, hip, level = body["waist_girth"], body["hip_girth"], body["waist_to_hip"]
    drop = body["worn_waist_drop"]
    taped = body["worn_waist_girth"] if drop > 0.0 else waist
    return taped + (
        girth_below_waist(waist, hip, min(1.0, depth / level))
        - girth_below_waist(waist, hip, min(1.0, drop / level))
    )


def eased(choices: Mapping[str, object], part: str) -> float:
    """Cloth eased and gathered into the band on one half of the front or back, cm.

    Gathers are stated for the whole front or back. Ease in place of darts: 0.6 to a half front
    and 1.0 to a half back, what a firm cloth takes under the iron (common practice).
    """
    gathers = number(choices, f"gather_{part}") / 2.0
    return gathers + ({"front": 0.6, "back": 1.0}[part] if choices["waist"] == "eased" else 0.0)


def crotch_level(body: Body, ease: rules.Ease) -> float:
    """Height of the crotch line over the floor, cm.

    BLOCK: waist to floor less the body rise; the leg decides when it was taped and the rise was
    not. Lowered by the ease in the rise.
    """
    if "inside_leg" in body.given and "body_rise" not in body.given:
        return body["inside_leg"] - ease.rise
    return body["outside_leg"] - body["body_rise"] - ease.rise


def knee_level(body: Body, crotch: float) -> float:
    """Height of the knee line over the floor: where it was taped, else by the block's rule."""
    if "waist_to_knee" in body.given:
        return body["outside_leg"] - body["waist_to_knee"]
    return rules.knee_height(crotch)


def plan(body: Body, choices: Mapping[str, object]) -> TrouserPlan:
    """The numbers of the draft.

    Raises:
        DraftError: measures that leave no room for a pair of trousers.
    """
    ease = rules.EASES[str(choices["fit"])]
    hip, drop = body["hip_girth"], body["worn_waist_drop"]
    shaped = choices["band"] == "shaped"
    depth = drop + (number(choices, "band_depth") if shaped else 0.0)
    girth = girth_at(body, depth)
    side_top = rules.side_waist(body["waist_to_hip"], depth)
    hip_y = body["outside_leg"] - body["waist_to_hip"]
    crotch_y = crotch_level(body, ease)
    knee_y = knee_level(body, crotch_y + ease.rise)
    hem_y = number(choices, "above_floor") - body["heel_height"]
    _levels_hold(side_top, hip_y - crotch_y, crotch_y - knee_y, knee_y - hem_y)

    front_part = _front_part(body, min(1.0, depth / body["waist_to_hip"]))
    front_hip = body["hip_front_arc"] / 2.0 + ease.hip / 4.0
    back_hip = (hip + ease.hip) / 2.0 - front_hip
    front_waist = girth * front_part / 2.0 + ease.waist / 4.0
    back_waist = (girth + ease.waist) / 2.0 - front_waist

    front_fork = rules.front_extension(hip, ease.fork)
    back_fork = rules.back_extension(hip, front_fork)
    leg = front_hip + back_hip + front_fork + back_fork
    more = rules.extension_for_thigh(leg, body["thigh_girth"], ease.thigh)
    front_fork, back_fork = front_fork + more / 3.0, back_fork + more * 2.0 / 3.0

    hem = number(choices, "hem_round")
    least = rules.heel_passes(body["ankle_girth"])
    if hem == 0.0:
        hem = rules.hem_round(hip, body["ankle_girth"], ease)
    elif hem < least:
        raise DraftError(
            f"trousers: a hem of {hem:.1f} cm does not pass over the heel; this client needs "
            f"at least {least:.1f} cm."
        )
    share = rules.front_leg_share()
    beside_crease = (front_hip + front_fork) / 2.0 - rules.crease_from_middle() + share
    up_leg = (knee_y - hem_y) / (crotch_y - hem_y)
    straight = rules.straight_leg(4.0 * beside_crease, hem, up_leg)
    knee = rules.knee_round(hem, straight, hip, body["knee_girth"] + ease.knee)
    return TrouserPlan(
        ease=ease,
        depth=depth,
        girth=girth,
        hip_y=hip_y,
        crotch_y=crotch_y,
        knee_y=knee_y,
        hem_y=hem_y,
        side_top=side_top,
        front_hip=front_hip,
        back_hip=back_hip,
        front_waist=front_waist,
        back_waist=back_waist,
        front_gather=eased(choices, "front"),
        back_gather=eased(choices, "back"),
        front_fork=front_fork,
        back_fork=back_fork,
        front_knee=knee / 4.0 - share,
        back_knee=knee / 4.0 + share,
        front_hem=hem / 4.0 - share,
        back_hem=hem / 4.0 + share,
        front_crotch=body["front_crotch_length"] - depth + ease.crotch_front,
        back_crotch=body["back_crotch_length"] - depth + ease.crotch_back,
    )


def _front_part(body: Body, part: float) -> float:
    """Share of the front arc in the girth at a level between waist (0) and hip (1)."""
    waist = body["waist_front_arc"] / body["waist_girth"]
    hip = body["hip_front_arc"] / body["hip_girth"]
    return waist + (hip - waist) * part


def _levels_hold(side_top: float, seat: float, thigh: float, shin: float) -> None:
    checks = (
        (side_top, 6.0, "from the waist seam to the hip line"),
        (seat, 3.0, "from the hip line to the crotch line"),
        (thigh, 10.0, "from the crotch line to the knee"),
        (shin, 5.0, "from the knee to the hem"),
    )
    for value, least, where in checks:
        if value < least:
            raise DraftError(
                f"trousers: {value:.1f} cm {where} is too little; at least {least:.0f} cm are "
                "needed: check outside leg, body rise, waist to hip, waist to knee and the choices."
            )
