"""Lengths of shoulders, arms and bodice, read quickly."""

from __future__ import annotations

import numpy as np

from pinwright.figure.fitting.reader import BACK, UP, Surface
from pinwright.figure.fitting.rows import Reading, combined, joined, polyline, reading, vertex
from pinwright.figure.landmarks import SIDES, UNDER_ARMPIT


def lengths(s: Surface, found: dict[str, Reading]) -> None:
    """Lengths and widths of the upper trunk, put among what was found; arms come before."""
    over = (BACK + UP) / np.sqrt(2.0)
    halves = []
    for side in SIDES:
        neck, end = f"side_neck_point_{side}", f"shoulder_point_{side}"
        found[f"shoulder_length_{side}"] = s.line(neck, end, UP, s.parts.whole)
        found[f"shoulder_slope_{side}"] = _slope(s, neck, end)
        half = s.line("back_neck_point", end, over)
        halves.append(half)
        found[f"back_neck_to_wrist_{side}"] = half + found[f"arm_length_{side}"]
        ahead = s.points[s.at[f"bust_point_{side}"]] - s.points[s.at[neck]]
        level_ahead = ahead * [1.0, 1.0, 0.0]
        found[f"side_neck_to_bust_point_{side}"] = s.line(neck, f"bust_point_{side}", level_ahead)
    found["across_back_shoulder_width"] = halves[0] + halves[1]
    found["across_back_width"] = s.line("back_arm_break_left", "back_arm_break_right", BACK)
    found["across_front_width"] = s.line("front_arm_break_left", "front_arm_break_right", -BACK)
    bust = [vertex(s.points, s.at[f"bust_point_{side}"]) for side in SIDES]
    value, gradient = polyline(joined(*bust))
    found["bust_point_width"] = reading(value, joined(*bust), gradient)
    ring = s.waist_ring[1]
    neck_point = vertex(s.points, s.at["back_neck_point"])
    end_point = s.on_ring(ring, float(s.points[s.at["back_waist"], 0]), back=True)
    plane = s.waist + s.floor
    back = s.taut(neck_point, end_point, BACK, s.parts.trunk, plane)
    found["back_waist_length"] = back.length()
    found["scye_depth"] = s.down_to(back, s.z("armpit").plus(-UNDER_ARMPIT))
    neck_point = vertex(s.points, s.at["front_neck_point"])
    end_point = s.on_ring(ring, float(s.points[s.at["front_waist"], 0]), back=False)
    front = s.taut(neck_point, end_point, -BACK, s.parts.trunk, plane)
    found["front_neck_to_waist"] = front.length()
    for side, point in zip(SIDES, bust, strict=True):
        lower = s.fall(point, ring)
        found[f"front_waist_length_{side}"] = found[f"side_neck_to_bust_point_{side}"] + lower
    pair = [found[f"front_waist_length_{side}"] for side in SIDES]
    found["front_waist_length"] = combined((0.5, pair[0]), (0.5, pair[1]))


def _slope(s: Surface, neck: str, end: str) -> Reading:
    i, j = s.at[neck], s.at[end]
    d = s.points[i] - s.points[j]
    flat = float(np.hypot(d[0], d[1]))
    angle = np.arctan2(d[2], flat)
    by = np.array([-d[0] / flat * d[2], -d[1] / flat * d[2], flat]) / (flat**2 + d[2] ** 2)
    by = np.degrees(by)
    return Reading(float(np.degrees(angle)), np.array([i, j]), np.stack([by, -by]))
