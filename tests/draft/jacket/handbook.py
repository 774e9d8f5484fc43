"""Published drafts, set out point by point as their books do, to lay beside ours.

Bunka new-style bodice: the formulas of sources 2.3 (from memory there; the numbers for
bust 83, 88 and 96 in that table are the check on this file). Origin at the back neck point, x
towards the front, y up, as in the book's frame: the back stands left, the front right.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin, sqrt


@dataclass(frozen=True)
class BunkaBlock:
    """Main sizes and points of the new-style bodice for a bust, waist and back length (cm)."""

    bust: float
    waist: float
    back_length: float

    @property
    def half_width(self) -> float:
        return self.bust / 2 + 6

    @property
    def bust_line(self) -> float:
        """Depth of the bust line below the back neck point."""
        return self.bust / 12 + 13.7

    @property
    def back_width(self) -> float:
        return self.bust / 8 + 7.4

    @property
    def front_width(self) -> float:
        return self.bust / 8 + 6.2

    @property
    def front_rise(self) -> float:
        """Front neck-point level above the bust line."""
        return self.bust / 5 + 8.3

    @property
    def front_neck_width(self) -> float:
        return self.bust / 24 + 3.4

    @property
    def front_neck_depth(self) -> float:
        return self.front_neck_width + 0.5

    @property
    def back_neck_width(self) -> float:
        return self.front_neck_width + 0.2

    @property
    def back_neck_rise(self) -> float:
        return self.back_neck_width / 3

    @property
    def bust_dart(self) -> float:
        """Degrees."""
        return self.bust / 4 - 2.5

    @property
    def shoulder_dart(self) -> float:
        return self.bust / 32 - 0.8

    @property
    def suppression(self) -> float:
        return (self.bust / 2 + 6) - (self.waist / 2 + 3)

    @property
    def front_shoulder(self) -> float:
        """From the front neck point at 22 degrees to 1.8 past the chest line."""
        across = self.front_width - self.front_neck_width
        return across / cos(radians(22)) + 1.8

    @property
    def back_shoulder(self) -> float:
        """Flat, dart included: the front shoulder and the dart."""
        return self.front_shoulder + self.shoulder_dart

    @property
    def front_tip_above_bust_line(self) -> float:
        return self.front_rise - self.front_shoulder * sin(radians(22))

    @property
    def back_tip_above_bust_line(self) -> float:
        rise = self.bust_line + self.back_neck_rise
        return rise - self.back_shoulder * sin(radians(18))

    @property
    def back_tip_x(self) -> float:
        return self.back_neck_width + self.back_shoulder * cos(radians(18))

    @property
    def bust_point_x(self) -> float:
        """From the centre front: half the front width and 0.7 towards the side."""
        return self.front_width / 2 + 0.7

    @property
    def armhole_width(self) -> float:
        return self.half_width - self.back_width - self.front_width

    @property
    def side_from_centre_back(self) -> float:
        return self.back_width + self.armhole_width / 2

    @property
    def side_from_centre_front(self) -> float:
        return self.front_width + self.armhole_width / 2

    @property
    def front_armhole_depth_dart_in_side(self) -> float:
        """Shoulder end to underarm, upright, once the bust dart is turned into the side seam.

        The underarm turns about the bust point, which lies on the bust line, by the dart's angle.
        """
        arm = self.side_from_centre_front - self.bust_point_x
        return self.front_tip_above_bust_line - arm * sin(radians(self.bust_dart))


def school_sleeve(armhole: float) -> tuple[float, float, float]:
    """Cap height, sleeve width, and where the underarm curve crosses the cap line from the edge.

    One-piece foundation sleeve (sources 2.4, R): 4 in, armhole/2 + 1/2 in on the fold, armhole/5.
    """
    return 10.16, 2 * (armhole / 2 + 1.27), armhole / 5


def triangle_width(slant_front: float, slant_back: float, height: float) -> float:
    """Sleeve width by the cap triangle: two slanting sides and the height fix the base."""
    return sqrt(slant_front**2 - height**2) + sqrt(slant_back**2 - height**2)
