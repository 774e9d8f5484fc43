"""The table of cloth need: areas fitted to drafts, and how densely they are laid.

``need_table.json`` is written by ``benchmarks/need_fit.py``; nothing in it is set by hand.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from pinwright.cutting.least_squares import Line
from pinwright.draft.style import Style

PATH = Path(__file__).with_name("need_table.json")

PUBLISHED = (0.75, 0.85)
"""Share of the cloth that becomes pieces (sources 5.3: "75-85 %", from memory)."""


@dataclass(frozen=True, slots=True, eq=False)
class AreaFit:
    """Cut area (cm2) and longest piece (cm) of a style by height and one girth (cm).

    ``choices`` are the style's main ones; all others are at their defaults.
    ``reach`` is the greatest leverage among the people it was fitted to.
    """

    style: str
    choices: Mapping[str, object]
    layer: str
    girth: str
    area: Line
    longest: Line
    reach: float

    def covers(self, height: float, girth: float) -> bool:
        """Whether these measures are no more out of the way than those it was fitted to."""
        return self.area.leverage(np.array([height, girth])) <= self.reach


@dataclass(frozen=True, slots=True)
class Density:
    """How much of the usable cloth becomes pieces: mean and standard deviation of one lay.

    ``freedom`` are the degrees of freedom that ``sd`` is known with; 0 is the published rule, its
    range taken as 95 %. ``source`` says where it is from.
    """

    mean: float
    sd: float
    freedom: int
    source: str


RULE = Density(
    sum(PUBLISHED) / 2.0,
    (PUBLISHED[1] - PUBLISHED[0]) / 2.0 / 1.96,
    0,
    "published rule, 75 to 85 % (from memory)",
)


@dataclass(frozen=True, slots=True)
class Measured:
    """Lays measured at one width: for which garments, and the usable width in cm."""

    garments: tuple[str, ...]
    usable: float
    density: Density


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """All that is known of cloth need.

    ``ways`` ("one way", "folded") tells the density of such a lay as a share of the plain one's.
    """

    fits: tuple[AreaFit, ...]
    measured: tuple[Measured, ...] = ()
    ways: Mapping[str, Density] | None = None
    made: str = ""

    def rows(self, style: Style, chosen: Mapping[str, object]) -> tuple[AreaFit, ...]:
        """The fits, one a layer, for the main ones of these (checked) choices."""
        return tuple(
            f
            for f in self.fits
            if f.style == style.name and all(chosen.get(k) == v for k, v in f.choices.items())
        )

    def density(self, garments: Sequence[str], layers: Sequence[str], usable: float) -> Density:
        """How densely these garments' pieces lie on so much usable width (cm).

        From lays of the same garments' shell, or else of all that were measured, the published
        rule for other layers; between two measured
        widths it is interpolated. A lay also fits on any wider cloth, so what is used across,
        width times density, never falls with the width.
        """
        if "shell" not in layers:
            return RULE
        mine = tuple(sorted(garments))
        same = [m for m in self.measured if m.garments == mine]
        rows = same or list(self.measured)
        if not rows:
            return RULE
        widths = sorted({m.usable for m in rows})
        used, sd = [], []
        for w in widths:
            at = [m.density for m in rows if m.usable == w]
            used.append(w * float(np.mean([d.mean for d in at])))
            sd.append(float(np.sqrt(np.mean([d.sd**2 for d in at]) + np.var([d.mean for d in at]))))
        used = list(np.maximum.accumulate(used))
        nearest = min(max(usable, widths[0]), widths[-1])
        mean = float(np.interp(nearest, widths, used)) / nearest
        words = "lays of " + (" with ".join(mine) if same else "other garments")
        freedom = min(m.density.freedom for m in rows)
        return Density(mean, float(np.interp(nearest, widths, sd)), freedom, f"{words}, measured")


@lru_cache(maxsize=4)
def read_table(path: Path = PATH) -> Table:
    """The table as it was written; an empty one where there is none."""
    if not path.exists():
        return Table(())
    return table_of(json.loads(path.read_text(encoding="utf-8")))


def table_of(data: Mapping[str, Any]) -> Table:
    """The table from its plain data."""
    return Table(
        tuple(_area_fit(row) for row in data["areas"]),
        tuple(
            Measured(tuple(m["garments"]), m["usable"], _density(m, "measured"))
            for m in data["densities"]
        ),
        {name: _density(way, "measured") for name, way in data["ways"].items()},
        data["made"],
    )


def _density(row: Mapping[str, Any], source: str) -> Density:
    return Density(row["mean"], row["sd"], row["freedom"], source)


def _area_fit(row: Mapping[str, Any]) -> AreaFit:
    return AreaFit(
        row["style"],
        row["choices"],
        row["layer"],
        row["girth"],
        _line(row["area"]),
        _line(row["longest"]),
        row["reach"],
    )


def _line(row: Mapping[str, Any]) -> Line:
    return Line(np.array(row["coefficients"]), row["residual"], np.array(row["spread"]), row["n"])


def line_data(line: Line) -> dict[str, Any]:
    """A fitted line as plain data, as the table keeps it."""
    return {
        "coefficients": line.coefficients.tolist(),
        "residual": line.residual,
        "spread": line.spread.tolist(),
        "n": line.n,
    }
