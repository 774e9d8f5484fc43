"""The table of cloth need: areas fitted to drafts, and how densely they are laid.

``need_table.json`` is written by ``benchmarks/need_fit.py``; nothing in it is set by hand.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from pinwright.cutting.lay_density import Density, Measured
from pinwright.cutting.least_squares import Line
from pinwright.cutting.repeat_cost import RepeatCost
from pinwright.draft.style import Style

PATH = Path(__file__).with_name("need_table.json")


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


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """All that is known of cloth need.

    ``ways`` ("one way", "folded") tells the density of such a lay as a share of the plain one's,
    ``repeats`` what matching a repeat costs (None: it was not measured).
    """

    fits: tuple[AreaFit, ...]
    measured: tuple[Measured, ...] = ()
    ways: Mapping[str, Density] | None = None
    made: str = ""
    repeats: RepeatCost | None = None

    def rows(self, style: Style, chosen: Mapping[str, object]) -> tuple[AreaFit, ...]:
        """The fits, one a layer, for the main ones of these (checked) choices."""
        return tuple(
            f
            for f in self.fits
            if f.style == style.name and all(chosen.get(k) == v for k, v in f.choices.items())
        )


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
            Measured(
                tuple(m["garments"]),
                m["area"] / (m["usable"] * m["longest"]),
                m["area"] / (m["usable"] * m["length"]),
                m.get("layer", "shell"),
            )
            for m in data["lays"]
            if m["way"] == "plain"
        ),
        {name: _density(way, "measured") for name, way in data["ways"].items()},
        data["made"],
        RepeatCost(**data["repeats"]) if data.get("repeats") else None,
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
