"""Will it sew together, hang right, and go round the client."""

from __future__ import annotations

from dataclasses import replace

from pinwright.check.drawing import curve_checks, outline_checks
from pinwright.check.levels import clearance_checks, hem_checks
from pinwright.check.measuring import girth_checks
from pinwright.check.result import Check
from pinwright.check.sewing import (
    balance_checks,
    dart_checks,
    halves_checks,
    run_through_checks,
    seam_checks,
)
from pinwright.fitting.ledger import Fitted

__all__ = ["Check", "all_checks", "failures"]


def all_checks(fitted: Fitted, curves: bool = True) -> tuple[Check, ...]:
    """Every check of a garment with its ledger, side by side where right and left differ."""
    found: list[Check] = []
    drafted = not fitted.ledger
    for side, half in fitted.halves:
        checks = [
            *seam_checks(half),
            *dart_checks(half),
            *run_through_checks(half),
            *balance_checks(half),
            *outline_checks(half),
            *hem_checks(half),
            *clearance_checks(half),
        ]
        if curves:
            checks += curve_checks(half, drafted)
        found += checks if side == "both" else [replace(c, side=side) for c in checks]
    found += halves_checks(fitted.right, fitted.left)
    found += girth_checks(fitted.right, fitted.left)
    return tuple(found)


def failures(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """The checks that are wrong."""
    return tuple(c for c in checks if c.verdict == "wrong")
