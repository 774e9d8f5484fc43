"""Back and front of the loose jacket: points and curves, before they become pieces.

Heights are above the waist; x runs from the centre towards the side. Front and back draw the
same side curve, so the side seam agrees stretch by stretch. The front is first thought closed
along the bust dart; its side above the dart is then turned about the dart's point, and the
armhole is drawn to where that takes the underarm.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, degrees, hypot, radians, sin

import numpy as np

from pinwright.draft.blocks import bodice_rules as rule
from pinwright.draft.blocks.bodice_curves import (
    HEM_SWING,
    Array,
    armhole,
    back_neck,
    front_neck,
    hem,
    left,
    side,
    turned,
    vec,
)
from pinwright.draft.blocks.jacket import LENGTH_EASE, NECK_EASE, SHOULDER_EASE, JacketPlan
from pinwright.errors import DraftError
from pinwright.geometry.motion import Motion
from pinwright.geometry.path import Path

LEAST_DART, MOST_DART = 8.0, 23.0
"""Angles, degrees, between which the bust dart of a loose jacket is kept; what the body wants
beyond the upper one stays as ease in the armhole (common practice)."""

LEAST_BESIDE = 5.0
"""Least distance of the bust point from the side seam, cm, in which a dart can be drawn."""


@dataclass(frozen=True, slots=True)
class Levels:
    """Heights above the waist, cm (below it negative)."""

    nape: float
    underarm: float
    hip: float
    hem: float


@dataclass(frozen=True, slots=True)
class BackDraft:
    """The back, flat, with its shoulder dart open."""

    neck: Path
    shoulder: tuple[Path, Path]
    dart: Array
    armhole: tuple[Path, Path, Path]
    side: tuple[Path, Path, Path]
    hem: Path
    blade: float
    over_back: float


@dataclass(frozen=True, slots=True)
class FrontDraft:
    """The front, flat, with the bust dart open in the side; ``mouth_at`` is the sewn distance
    of the mouth above the waist along the side, ``dart_angle`` in degrees about ``dart``."""

    neck: Path
    shoulder: Path
    armhole: tuple[Path, Path]
    side: tuple[Path, ...]
    side_above: Path
    hem: Path
    dart: Array
    dart_angle: float
    bust_point: Array
    over_front: float


@dataclass(frozen=True, slots=True)
class BodiceDraft:
    """Back and front with the levels they share."""

    levels: Levels
    back: BackDraft
    front: FrontDraft


def bodice(p: JacketPlan) -> BodiceDraft:
    """Draft back and front of the loose jacket on a client's measures.

    Raises:
        DraftError: measures that contradict each other so far that no armhole can be drawn.
    """
    levels = Levels(
        nape=p.back_length + LENGTH_EASE,
        underarm=p.back_length + LENGTH_EASE - p.scye_depth - p.ease.armhole,
        hip=-p.waist_to_hip,
        hem=-p.waist_to_hip - p.hem_below_hip,
    )
    over_back = rule.width_over_back(p.across_back, p.ease.bust)
    over_front = rule.width_over_front(p.across_front, p.ease.bust)
    at_back, at_front = rule.side_seam_places(
        p.back_arc, p.front_arc, p.ease.bust, over_back, over_front
    )
    curve = _side(p, levels, at_back + at_front)
    neck_b = rule.neck_width_back(p.neck, NECK_EASE)
    neck_f = rule.neck_width_front(p.neck, NECK_EASE)
    slope_f, slope_b = rule.shoulder_slopes(p.slope)
    # long enough that the armhole does not overhang the shoulder's end
    sewn = max(
        p.shoulder + p.ease.shoulder,
        (over_back + 0.5 - neck_b) / cos(radians(slope_b)),
        (over_front + 0.8 - neck_f) / cos(radians(slope_f)),
    )
    back = _back(p, levels, curve, at_back, over_back, neck_b, slope_b, sewn + SHOULDER_EASE)
    tip_b = back.shoulder[0].start
    depth = float(tip_b[1]) - levels.underarm - rule.FRONT_ARMHOLE_SHALLOWER
    front = _front(p, levels, curve, at_front, over_front, neck_f, slope_f, sewn, depth)
    return BodiceDraft(levels, back, front)


def _side(p: JacketPlan, levels: Levels, half_bust: float) -> tuple[Path, Path, Path]:
    """The side curve: half of what the hip and waist need beyond the bust, on each edge."""
    at_hip = max(((p.hip + p.ease.hip) / 2.0 - half_bust) / 2.0, 0.0)
    straight = at_hip * levels.underarm / (levels.underarm - levels.hip)
    least = ((p.waist + p.ease.waist) / 2.0 - half_bust) / 2.0
    at_waist = max(straight - p.ease.waist_in, least)
    fall = (at_hip - at_waist) / -levels.hip
    at_hem = at_hip + 0.5 * fall * (levels.hip - levels.hem)
    return side(levels.underarm, levels.hip, levels.hem, at_waist, at_hip, at_hem)


def _placed(parts: tuple[Path, Path, Path], x: float) -> tuple[Path, Path, Path]:
    shift = Motion.translation((x, 0.0))
    a, b, c = (part.transformed(shift) for part in parts)
    return a, b, c


def _hem(start: Array, side_start: Path, drop: float) -> Path:
    """The hem from a centre or front edge at x = ``start[0]`` to the side's lower end."""
    t = side_start.start_tangent
    rise = HEM_SWING * -t[0] / float(hypot(t[0], t[1]))
    end = side_start.start
    return hem(vec(float(start[0]), float(end[1]) - max(rise, -1.0) - drop), end, t)


def _back(
    p: JacketPlan,
    levels: Levels,
    curve: tuple[Path, Path, Path],
    at_side: float,
    over: float,
    neck: float,
    slope: float,
    sewn: float,
) -> BackDraft:
    nape = vec(0.0, levels.nape)
    neck_point = vec(neck, levels.nape + rule.neck_rise_back(neck))
    blade = levels.nape - rule.blade_depth(p.back_length)
    dart = vec(0.5 * over + 0.4, blade)
    intake = rule.shoulder_dart_intake(p.bust)
    inner = 0.36 * sewn
    # The dart's outer part hangs turned down by its angle; the shoulder's chord keeps the slope.
    reach = hypot(neck + inner * cos(radians(slope)) - dart[0], neck_point[1] - 2.0 - blade)
    angle = degrees(2.0 * asin(intake / (2.0 * reach)))
    first = slope - 0.6 * angle
    for _ in range(3):
        p1 = neck_point + inner * vec(cos(radians(first)), -sin(radians(first)))
        angle = degrees(2.0 * asin(intake / (2.0 * float(np.hypot(*(p1 - dart))))))
        p2 = dart + turned(p1 - dart, -angle)
        end = first + angle
        tip = p2 + (sewn - inner) * vec(cos(radians(end)), -sin(radians(end)))
        chord = tip - neck_point
        first += slope - degrees(atan2(-chord[1], chord[0]))
    parts = _placed(curve, at_side)
    underarm = parts[2].end
    arrive = vec(sin(radians(end)), cos(radians(end)))
    pitch = vec(over, levels.underarm + 0.42 * (float(tip[1]) - levels.underarm))
    low, high = armhole(underarm, left(parts[2].end_tangent), pitch, tip, arrive)
    # the yoke's line falls from the dart by half its angle, so that both its edges mirror
    down = radians(angle / 2.0)
    ray = Path.line(dart, dart + 60.0 * vec(cos(down), -sin(down)))
    cut = high.intersections(ray)
    if not cut or not 0.3 < cut[0][0] < high.length - 0.3:
        raise DraftError(
            f"jacket: the shoulder-blade level, {levels.nape - blade:.1f} cm below the nape, does "
            "not cross the armhole between its pitch point and the shoulder; check scye_depth and "
            "shoulder_slope."
        )
    below, above = high.split(cut[0][0])
    inner_shoulder = Path.line(p1, neck_point)
    return BackDraft(
        neck=back_neck(neck_point, left(inner_shoulder.end_tangent), nape),
        shoulder=(Path.line(tip, p2), inner_shoulder),
        dart=dart,
        armhole=(low, below, above),
        side=parts,
        hem=_hem(vec(0.0, 0.0), parts[0], p.back_hem_drop),
        blade=blade,
        over_back=over,
    )


def _front(
    p: JacketPlan,
    levels: Levels,
    curve: tuple[Path, Path, Path],
    at_side: float,
    over: float,
    neck: float,
    slope: float,
    sewn: float,
    depth: float,
) -> FrontDraft:
    x_bust = p.bust_point_width / 2.0
    height, y_bust = rule.front_neck_height(
        p.front_length + LENGTH_EASE, p.neck_to_bust_point + 0.4, x_bust, neck
    )
    neck_point = vec(neck, height)
    centre = vec(0.0, height - rule.neck_depth_front(p.neck, NECK_EASE))
    line = vec(cos(radians(slope)), -sin(radians(slope)))
    tip = neck_point + sewn * line
    bust_point = vec(x_bust, y_bust)
    parts = _placed(curve, at_side)
    top = parts[2]
    lower, upper = top.split(_mouth_height(p, levels, top, y_bust))
    mouth, underarm = lower.end, top.end
    guess = turned(mouth - bust_point, 0.5 * rule.bunka_bust_dart_angle(p.bust))
    if p.bust_dart == "armhole":
        guess = vec(over + 2.0, y_bust + 5.0) - bust_point
    size = float(np.hypot(*guess))
    beside = float(mouth[0]) - x_bust
    if beside < LEAST_BESIDE:
        raise DraftError(
            f"jacket: the bust points, {p.bust_point_width:.1f} cm apart, leave {beside:.1f} cm to "
            f"the side seam; a bust dart needs at least {LEAST_BESIDE:g} cm, so check "
            "bust_point_width and bust_front_arc."
        )
    dart = bust_point + guess * (rule.BUST_DART_SHORT / size)
    angle = _angle_to_height(underarm - dart, float(tip[1]) - depth - float(dart[1]))
    angle = min(max(angle, LEAST_DART), MOST_DART)
    turn = Motion.rotation(angle, dart)
    upper = upper.transformed(turn)
    under = upper.end
    hollow = float(under[0]) - over
    if hollow < rule.LEAST_HOLLOW or float(tip[1] - under[1]) < 9.0:
        raise DraftError(
            f"jacket: the front armhole would be {float(tip[1] - under[1]):.1f} cm deep and "
            f"{hollow:.1f} cm wide at the underarm; at least 9 and {rule.LEAST_HOLLOW:g} cm are "
            "needed, so check front_waist_length, scye_depth and across_front_width."
        )
    arrive = vec(sin(radians(slope)), cos(radians(slope)))
    pitch = vec(over, float(under[1]) + 0.40 * float(tip[1] - under[1]))
    return FrontDraft(
        neck=front_neck(neck_point, left(-line), centre),
        shoulder=Path.line(tip, neck_point),
        armhole=armhole(under, left(upper.end_tangent), pitch, tip, arrive),
        side=(parts[0], parts[1], lower),
        side_above=upper,
        hem=_hem(vec(-p.button_stand, 0.0), parts[0], 0.0),
        dart=dart,
        dart_angle=angle,
        bust_point=bust_point,
        over_front=over,
    )


def _mouth_height(p: JacketPlan, levels: Levels, top: Path, y_bust: float) -> float:
    """Sewn distance above the waist at which the bust dart opens in the side seam.

    The plain side seam dart rises a little to the bust point and keeps 4.5 cm of seam above it;
    "high" opens close below the underarm, "low" a quarter of the way up from the waist (common
    practice: side seam, underarm and French dart). A dart turned to the armhole afterwards is
    drafted from the plain one.
    """
    most, least = top.length - 4.5, 0.22 * top.length
    if p.bust_dart == "side_seam_high":
        return most
    if p.bust_dart == "side_seam_low":
        return least
    return min(max(y_bust - 3.0, 0.45 * top.length), most - 1.0)


def _angle_to_height(arm: Array, want: float) -> float:
    """Degrees by which ``arm`` (2,) must turn anticlockwise for its end to stand at ``want``."""
    size = float(np.hypot(*arm))
    here = atan2(float(arm[1]), float(arm[0]))
    return degrees(asin(min(max(want / size, -0.99), 0.99)) - here)
