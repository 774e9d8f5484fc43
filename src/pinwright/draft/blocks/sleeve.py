"""The straight one-piece sleeve, drafted to the real armhole."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, sin, sqrt

import numpy as np

from pinwright.draft.blocks.bodice_curves import Array, vec
from pinwright.draft.blocks.bodice_pieces import HEM_LEAST, HEM_RESERVE, HEM_TURN_UP, level_line
from pinwright.errors import DraftError
from pinwright.geometry.cubic import lengths
from pinwright.geometry.motion import Motion
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Piece, edge

SHARE_BACK = 0.55
"""Share of the cap ease that falls behind the shoulder: more in the back half (sources 2.4)."""

FIRST_OF_RANGE = 0.3
"""A low cap takes its ease from the lower part of the cloth's range (common practice)."""

LEAST_CAP = 0.08
"""Least cap height by the round of the armhole before the draft is refused."""

STRAIGHT = 0.76
"""Width of a straight sleeve's hem by its width round the arm (common practice)."""

ELBOW = 0.56
"""Shoulder point to elbow by the arm's length (common practice, from memory)."""

SEAM_RESERVE = 1.0
"""Reserve of both edges of the sleeve seam, cm (sources 3.5: sleeve side 1 to 1.5)."""


@dataclass(frozen=True, slots=True)
class HalfShape:
    """How half a cap is drawn: ``under`` and ``top`` are the shares of the half width that run
    along the underarm line and along the top before the curve turns, ``turn`` where on the slope
    between them it bends the other way, ``soft`` how far the handles reach from there."""

    under: float
    top: float
    turn: float
    soft: float


FRONT_SHAPE = HalfShape(0.30, 0.40, 0.44, 0.50)
BACK_SHAPE = HalfShape(0.24, 0.44, 0.46, 0.50)


@dataclass(frozen=True, slots=True)
class ArmholeLengths:
    """Sewn lengths of the armhole in cm: below and above the notch, front and back."""

    front_low: float
    front_high: float
    back_high: float
    back_low: float

    @property
    def total(self) -> float:
        """Round of the armhole."""
        return self.front_low + self.front_high + self.back_high + self.back_low


@dataclass(frozen=True, slots=True)
class SleeveDraft:
    """The sleeve: its piece, planned ease (cm) in front and behind, cap height and widths."""

    piece: Piece
    ease_front: float
    ease_back: float
    cap_height: float
    width: float
    hem_width: float


def cap_ease(limits: tuple[float, float]) -> tuple[float, float]:
    """Planned ease of the front and of the back half of the cap from the cloth's range, cm."""
    planned = limits[0] + FIRST_OF_RANGE * (limits[1] - limits[0])
    return planned * (1.0 - SHARE_BACK), planned * SHARE_BACK


def half_cap(width: float, height: float, lean: float, shape: HalfShape) -> Array:
    """Half a cap as two cubics (2, 4, 2) from the underarm at (width, 0) to the top at (0, height).

    It leaves the underarm square to an underarm seam that leans out by ``lean`` radians, turns
    the other way where both cubics have no curvature, and reaches the top level.
    """
    u = np.array([width, 0.0])
    a = u + shape.under * width * np.array([-cos(lean), sin(lean)])
    b = np.array([shape.top * width, height])
    i = a + shape.turn * (b - a)
    return np.array(
        [
            [u, a, i - shape.soft * (i - a), i],
            [i, i + shape.soft * (b - i), b, [0.0, height]],
        ]
    )


def fit_half_cap(length: float, height: float, lean: float, shape: HalfShape) -> Array:
    """Half a cap whose curve is exactly ``length`` long: its width is solved for.

    Raises:
        DraftError: the cap is higher than its curve is long.
    """
    if length <= 1.02 * height:
        raise DraftError(
            f"jacket: a sleeve cap {height:.1f} cm high cannot be drawn with {length:.1f} cm of "
            "curve on each side; check scye_depth and upper_arm_girth."
        )
    x0 = sqrt(length**2 - height**2) * 0.97
    f0 = float(lengths(half_cap(x0, height, lean, shape)).sum()) - length
    x1 = x0 - f0
    for _ in range(30):
        f1 = float(lengths(half_cap(x1, height, lean, shape)).sum()) - length
        if abs(f1) < 1e-12 or f1 == f0:
            break
        x0, f0, x1 = x1, f1, x1 - f1 * (x1 - x0) / (f1 - f0)
    return half_cap(x1, height, lean, shape)


def cap_for_width(height: float, width: float, wanted: float, armhole: float) -> float:
    """The cap height at which a sleeve now ``width`` wide becomes ``wanted`` wide.

    By the cap triangle (sources 2.4): the slanting side keeps its length, half the width and the
    height are the other two. Repeated, because a curve bends otherwise when it is flatter.

    Raises:
        DraftError: the armhole is too small for a sleeve of that width.
    """
    room = height**2 + (width**2 - wanted**2) / 4.0
    if room <= (LEAST_CAP * armhole) ** 2:
        raise DraftError(
            f"jacket: the armhole of {armhole:.1f} cm is too small for a sleeve {wanted:.1f} "
            "cm wide; deepen the armhole (ease) or check upper_arm_girth and scye_depth."
        )
    return sqrt(room)


def _caps(
    armhole: ArmholeLengths,
    ease: tuple[float, float],
    height: float,
    hem_least: float,
    under: float,
) -> tuple[Array, Array, float]:
    """Front and back half of the cap, each (2, 4, 2), and the lean of the sleeve seam, radians."""
    chord = 0.96 * (armhole.total + sum(ease)) / 2.0
    guess = 2.0 * sqrt(max(chord**2 - height**2, 1.0))
    lean = atan2(0.75 * max(guess - max(hem_least, STRAIGHT * guess), 0.0), under)
    front = armhole.front_low + armhole.front_high + ease[0]
    back = armhole.back_low + armhole.back_high + ease[1]
    return (
        fit_half_cap(front, height, lean, FRONT_SHAPE),
        fit_half_cap(back, height, lean, BACK_SHAPE),
        lean,
    )


def sleeve(
    armhole: ArmholeLengths,
    limits: tuple[float, float],
    share: tuple[float, float],
    between: tuple[float, float],
    hem_least: float,
    length: float,
    elbow: float,
) -> SleeveDraft:
    """Draft the sleeve.

    Args:
        armhole: sewn lengths between the notches.
        limits: range of cap ease for the cloth, cm.
        share: cap height by the round of the armhole: as drafted, and the most it is raised to.
        between: least and most width round the upper arm, cm. The cap is lowered until the sleeve
            has the least; above the most it is raised as far as ``share`` allows.
        hem_least: least width of the hem, cm.
        length: from the shoulder to the hem, cm.
        elbow: from the shoulder to the elbow, cm.

    Raises:
        DraftError: an armhole too small for the arm, or a sleeve shorter than its cap.
    """
    ease = cap_ease(limits)
    height, most_height = (s * armhole.total for s in share)
    least_width, most_width = between
    wanted = 0.0
    for _ in range(20):
        under = length - height
        if under < 15.0:
            raise DraftError(
                f"jacket: the sleeve is {length:.1f} cm long and its cap {height:.1f} cm high; at "
                "least 15 cm of underarm seam are needed, so check arm_length."
            )
        front, back, lean = _caps(armhole, ease, height, hem_least, under)
        width_f, width_b = float(front[0, 0, 0]), float(back[0, 0, 0])
        width = width_f + width_b
        if not wanted and least_width <= width <= most_width:
            break
        wanted = wanted or (least_width if width < least_width else most_width)
        if abs(width - wanted) < 1e-6:
            break
        before, height = height, cap_for_width(height, width, wanted, armhole.total)
        if wanted == most_width:
            height = min(height, most_height)
        if height == before:
            break
    hem = min(max(hem_least, STRAIGHT * (width_f + width_b)), width_f + width_b)
    taper = (width_f + width_b - hem) / 2.0
    # both underarm edges are the same curve: inclined at the top, plumb at the hem
    top, foot = vec(width_f, 0.0), vec(width_f - taper, -under)
    seam = Path.cubic(
        foot,
        foot + vec(0.0, 0.42 * under),
        top - 0.30 * under * vec(sin(lean), cos(lean)),
        top,
    )
    low_f, high_f = Path(front).split(armhole.front_low)
    low_b, high_b = Path(back).split(armhole.back_low)
    mirror = Motion.mirror_x(0.0)
    below, above = seam.split(seam.length * min(max((length - elbow) / under, 0.1), 0.9))
    other = Motion.mirror_x((width_f - width_b) / 2.0)
    hem_y = -under
    edges = (
        edge(
            "under_back",
            "underarm_back",
            above.transformed(other).reversed(),
            "elbow",
            below.transformed(other).reversed(),
            "hem_back",
            reserve=SEAM_RESERVE,
        ),
        edge(
            "hem",
            "hem_back",
            Path.line((taper - width_b, hem_y), (0.0, hem_y)),
            "hem_centre",
            Path.line((0.0, hem_y), (width_f - taper, hem_y)),
            "hem_front",
            allowance=HEM_TURN_UP,
            reserve=HEM_RESERVE,
            least=HEM_LEAST,
        ),
        edge(
            "under_front",
            *("hem_front", below, "elbow", above, "underarm_front"),
            reserve=SEAM_RESERVE,
        ),
        edge(
            "cap",
            "underarm_front",
            low_f,
            "front_notch",
            high_f,
            "shoulder",
            high_b.transformed(mirror).reversed(),
            "back_notch",
            low_b.transformed(mirror).reversed(),
            "underarm_back",
        ),
    )
    elbow_x, elbow_y = float(below.end[0]), float(below.end[1])
    piece = Piece(
        "sleeve",
        "Sleeve",
        edges,
        grain=np.array([[0.0, hem_y + 4.0], [0.0, height - 6.0]]),
        cut="pair",
        lines=(
            level_line("upper_arm", 0.0, -width_b, width_f),
            level_line("elbow", elbow_y, width_f - width_b - elbow_x, elbow_x),
        ),
    )
    return SleeveDraft(piece, ease[0], ease[1], height, width_f + width_b, hem)
