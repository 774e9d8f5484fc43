"""Will it sew together, hang right, and go round the client."""

from __future__ import annotations

from dataclasses import replace

from pinwright.check.drawing import curve_checks, outline_checks
from pinwright.check.levels import clearance_checks, hem_checks
from pinwright.check.measuring import girth_checks, room_checks
from pinwright.check.result import Check
from pinwright.check.running import run_through_checks
from pinwright.check.sewing import (
    balance_checks,
    dart_checks,
    ease_checks,
    halves_checks,
    seam_checks,
)
from pinwright.fitting.ledger import Fitted, Half
from pinwright.geometry.cubic import lengths

__all__ = ["Check", "all_checks", "failures", "remeasured"]


def remeasured(half: Half) -> Half:
    """The half with every span's length measured anew from its curve."""
    return replace(half, lengths=lengths(half.ctrl))


def all_checks(fitted: Fitted) -> tuple[Check, ...]:
    """Every check of a garment with its ledger, side by side where right and left differ."""
    found: list[Check] = []
    right = remeasured(fitted.right)
    left = right if fitted.left is fitted.right else remeasured(fitted.left)
    for side, half in fitted.halves:
        measured = left if side == "left" else right
        checks = [
            *seam_checks(measured),
            *ease_checks(measured),
            *dart_checks(measured),
            *run_through_checks(measured),
            *balance_checks(measured),
            *outline_checks(half),
            *hem_checks(measured),
            *clearance_checks(measured),
            *curve_checks(measured),
        ]
        found += checks if side == "both" else [replace(c, side=side) for c in checks]
    found += halves_checks(right, left)
    found += girth_checks(right, left)
    found += room_checks(right, left)
    return tuple(found)


def failures(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """The checks that are wrong."""
    return tuple(c for c in checks if c.verdict == "wrong")
