"""Figures for sheets, made without fitting: their records are all but what they measure."""

from __future__ import annotations

from functools import cache

from pinwright.figure.body.model import body
from pinwright.figure.ease import Ease
from pinwright.figure.figure import Figure, Measured
from pinwright.figure.posture import Posture
from pinwright.measures import TERMS
from pinwright.measures.units import LengthUnit
from pinwright.sheets.drawn import Heading
from tests.figure.test_lines import figure as standing
from tests.figure.test_lines import measures

ESTIMATED = 30
"""So many of the measures are only estimated."""


@cache
def client(who: str) -> Figure:
    """A body of tests.figure.test_lines; the last ESTIMATED of its measures were not taped."""
    points, marks = standing(who)
    has = measures(who)
    names: list[str] = []
    for term, t in TERMS.items():
        sides = [f"{term}_left", f"{term}_right"] if t.sided else []
        names += sides if all(s in has for s in sides) and sides else [term] if term in has else []
    rows = []
    for k, name in enumerate(names):
        given = k < len(names) - ESTIMATED
        off = 0.07 if given else 1.3
        rows.append(
            Measured(name, has[name] - off, has[name], 10.0 * off, given, 0.0 if given else 0.9)
        )
    return Figure(points, body().faces, marks, tuple(rows), Posture(), 0.0)


EASES = {
    "trousers": (
        Ease("waist", "whole", 81.5, 79.0),
        Ease("waist", "front", 40.0, 40.4),
        Ease("waist", "back", 41.5, 38.6),
        Ease("hip", "whole", 112.5, 102.5),
        Ease("hip", "front", 54.1, 49.0, True),
        Ease("hip", "back", 58.4, 53.5),
        Ease("thigh", "whole", 76.6, 60.0, side="right"),
        Ease("hem", "whole", 51.0, 22.6, True, "left"),
    ),
    "jacket": (
        Ease("bust", "whole", 94.0, 95.0),
        Ease("upper_arm", "whole", 44.7, 29.5, side="left"),
    ),
}
OPINIONS = ("front neck to waist: estimated 35.1, give or take 1.5; the figure has 36.7. Tape it.",)
CAUTION = "The figure is a model made from numbers. Fit is judged at the fitting."


def heading(unit: LengthUnit = "cm") -> Heading:
    """What stands at the head of each page."""
    return Heading(
        "Ingrid Ångström-Løv",
        "2026-014",
        "jacket and trousers",
        "before the fitting",
        "4 March 2026",
        unit,
    )
