"""Drafting rules of the bodice of a loose jacket: one rule, one function, one source.

Lengths in cm, angles in degrees. "From memory" marks a rule that was not read again in its book.
"""

from __future__ import annotations

from math import sqrt

from pinwright.errors import DraftError

FRONT_ARMHOLE_SHALLOWER = 2.0
"""The front armhole is this much less deep than the back one, shoulder end to underarm (common
practice; the new Bunka block on bust 83 gives 2.7 once its dart is turned out of the armhole)."""

BUST_DART_SHORT = 2.5
"""The bust dart is sewn this far short of the bust point (sources 3.4: 2 to 2.5)."""

LEAST_HOLLOW = 2.0
"""Least width of one half of the armhole under the arm that a curve can be drawn in."""


def neck_width_back(neck_base_girth: float, ease: float) -> float:
    """Half width of the back neck: a fifth of the neck less 0.2, plus the neck's share of ease.

    Source: British close-fitting bodice block (Aldrich), from memory.
    """
    return neck_base_girth / 5.0 - 0.2 + ease


def neck_width_front(neck_base_girth: float, ease: float) -> float:
    """Half width of the front neck: a fifth of the neck less 0.7, plus ease (Aldrich, memory)."""
    return neck_base_girth / 5.0 - 0.7 + ease


def neck_depth_front(neck_base_girth: float, ease: float) -> float:
    """Depth of the front neck below the neck point: a fifth of the neck less 0.2, plus ease.

    Source: British close-fitting bodice block (Aldrich), from memory.
    """
    return neck_base_girth / 5.0 - 0.2 + ease


def neck_rise_back(width: float) -> float:
    """How far the back neck point stands above the nape: a third of the back neck's half width.

    Source: Bunka new-style bodice (sources 2.3, from memory).
    """
    return width / 3.0


def shoulder_slopes(slope: float) -> tuple[float, float]:
    """Angles of the front and the back shoulder below the horizontal from the body's slope.

    The seam lies forward of the crest: 2 degrees steeper in front, 2 flatter behind, as the
    22 and 18 degrees of the Bunka new-style bodice about their mean 20 (sources 2.3, from memory).
    """
    return slope + 2.0, slope - 2.0


def width_over_back(across_back_width: float, bust_ease: float) -> float:
    """Half width across the back: half the body's and a quarter of the half bust ease.

    Source: two splits of the bust ease were read (sources 2.3, 2.5): back 20, armhole 80, front 0 %
    for women's blocks and 26.5, 41.5, 32 % as the mean of men's suits. A shirt-like jacket lies
    between: 25, 60, 15 (common practice).
    """
    return across_back_width / 2.0 + 0.25 * bust_ease / 2.0


def width_over_front(across_front_width: float, bust_ease: float) -> float:
    """Half width across the front: half the body's and 15 % of the half bust ease.

    Source: see :func:`width_over_back`.
    """
    return across_front_width / 2.0 + 0.15 * bust_ease / 2.0


def side_seam_places(
    back_arc: float, front_arc: float, ease: float, over_back: float, over_front: float
) -> tuple[float, float]:
    """Distance of the side seam from centre back and from centre front at the underarm.

    Each is half its arc of the bust plus a quarter of the ease, but neither half of the armhole
    keeps less than 45 % of the armhole's width (common practice: the underarm hollow about
    equal front and back).

    Raises:
        DraftError: the widths across leave no room for an armhole.
    """
    half = (back_arc + front_arc + ease) / 2.0
    hollow = half - over_back - over_front
    if hollow < 2.5 * LEAST_HOLLOW:
        raise DraftError(
            f"jacket: across back {2 * over_back:.1f} and across front {2 * over_front:.1f} cm "
            f"leave {hollow:.1f} cm for the armhole within half the bust and ease of {half:.1f} "
            f"cm; it needs at least {2.5 * LEAST_HOLLOW:.1f} cm, so check across_back_width, "
            "across_front_width and bust_girth."
        )
    back = back_arc / 2.0 + ease / 4.0
    back = min(max(back, over_back + 0.45 * hollow), over_back + 0.55 * hollow)
    return back, half - back


def front_neck_height(
    front_waist_length: float, side_neck_to_bust_point: float, bust_point_x: float, neck_x: float
) -> tuple[float, float]:
    """Heights above the waist of the front neck point and of the bust point.

    The tape runs from the side neck point over the bust point to the waist; drawn flat its upper
    part slants from the neck's width to the bust point (Pythagoras), its lower part hangs plumb.

    Raises:
        DraftError: the bust point lies nearer to the neck point than their widths allow.
    """
    aside = bust_point_x - neck_x
    if side_neck_to_bust_point <= abs(aside) + 5.0:
        raise DraftError(
            f"jacket: side_neck_to_bust_point is {side_neck_to_bust_point:.1f} cm, too short for a "
            f"bust point {bust_point_x:.1f} cm from the centre; check bust_point_width."
        )
    bust_point = front_waist_length - side_neck_to_bust_point
    return bust_point + sqrt(side_neck_to_bust_point**2 - aside**2), bust_point


def shoulder_dart_intake(bust_girth: float) -> float:
    """Intake of the back shoulder dart: a thirty-second of the bust less 0.8, 1.0 to 2.4.

    Source: Bunka new-style bodice (sources 2.3, from memory); the limits are common practice.
    """
    return min(max(bust_girth / 32.0 - 0.8, 1.0), 2.4)


def bunka_bust_dart_angle(bust_girth: float) -> float:
    """Angle of the whole bust dart by the handbook: a quarter of the bust less 2.5, in degrees.

    Source: Bunka new-style bodice (sources 2.3, from memory). Used here for the first guess of the
    dart's middle and for the upper limit of a loose jacket's dart.
    """
    return bust_girth / 4.0 - 2.5


def blade_depth(back_waist_length: float) -> float:
    """Shoulder-blade level below the nape: 8 cm on a back of 38, in proportion.

    Source: Bunka new-style bodice, guide line 8 cm below the nape (from memory).
    """
    return 8.0 * back_waist_length / 38.0
