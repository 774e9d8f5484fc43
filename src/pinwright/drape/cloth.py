"""The handle of a cloth: the constants by which it stretches, shears, bends and lies.

"Handle" is the textile word (Peirce 1930, "The handle of cloth as a measurable quantity"). Weights
are g/m2 and stiffnesses N/m and uN.m, as laboratories write them; :attr:`Handle.cgs` gives them in
the g, cm, s of the drape. ``cloths.toml`` holds the table of published cloths.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite, sqrt
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

from pinwright.drape.cloth_lab import from_fast, from_kes
from pinwright.errors import OrderError, meant

PATH = Path(__file__).with_name("cloths.toml")

Mark = Literal["read", "memory", "computed"]
"""How sure a value is: read in its source, from memory, or computed from others."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where some constants of a cloth come from.

    ``of``: the constants. ``band``: how far off they may be, as a part of their value.
    """

    of: tuple[str, ...]
    mark: Mark
    band: float
    said: str


@dataclass(frozen=True, slots=True)
class Cgs:
    """A handle in g, cm and s: mass g/cm2, stretch and shear dyn/cm, bend dyn.cm, thickness cm."""

    mass: float
    stretch_along: float
    stretch_across: float
    poisson: float
    shear: float
    bend_along: float
    bend_across: float
    thickness: float
    friction: float

    @property
    def membrane(self) -> tuple[float, float, float, float]:
        """Along, across, coupling and shear stiffness, dyn/cm.

        Tension along = first x strain along + third x strain across, and so on; tension in shear
        = fourth x shear angle (rad). ``poisson`` is the geometric mean of the two coefficients, so
        the coupling is the same both ways and the stiffness positive for any of them below 1.
        """
        free = 1.0 - self.poisson**2
        coupling = self.poisson * sqrt(self.stretch_along * self.stretch_across)
        return self.stretch_along / free, self.stretch_across / free, coupling / free, self.shear


RANGES: Mapping[str, tuple[float, float, str]] = MappingProxyType(
    {
        "mass": (15.0, 1000.0, "g/m2"),
        "stretch_along": (20.0, 200_000.0, "N/m"),
        "stretch_across": (20.0, 200_000.0, "N/m"),
        "poisson": (0.0, 0.4, ""),
        "shear": (3.0, 3000.0, "N/m"),
        "bend_along": (0.1, 1000.0, "uN.m"),
        "bend_across": (0.1, 1000.0, "uN.m"),
        "thickness": (0.03, 10.0, "mm"),
        "friction": (0.02, 1.5, ""),
    }
)
"""What a woven cloth can have, with its unit: from a thin silk to a fulled coating or a canvas."""


@dataclass(frozen=True, slots=True)
class Handle:
    """The mechanical constants of a cloth, at the small loads of wear.

    mass: g/m2. stretch_along, stretch_across: force for a width and for a strain, N/m, secant.
    poisson: the geometric mean of its two coefficients. shear: N/m for a radian. bend_along,
    bend_across: rigidity for a width, uN.m, of a strip that runs along (across). thickness: mm.
    friction: of the cloth on the body or on what is worn under it.

    Raises:
        OrderError: a constant that is no number or that no woven cloth has.
    """

    name: str
    mass: float
    stretch_along: float
    stretch_across: float
    poisson: float
    shear: float
    bend_along: float
    bend_across: float
    thickness: float
    friction: float
    sources: tuple[Source, ...] = ()

    def __post_init__(self) -> None:
        for what, (least, most, unit) in RANGES.items():
            value = getattr(self, what)
            if (
                isinstance(value, bool)
                or not isinstance(value, int | float)
                or not isfinite(value)
                or not least <= value <= most
            ):
                shown = f"{value:g}" if isinstance(value, int | float) else repr(value)
                told = f" {unit}" if unit else ""
                raise OrderError(
                    f"Cloth {self.name or 'without a name'}: {what} is {shown}; "
                    f"it may be from {least:g} to {most:g}{told}."
                )

    def having(self, name: str, found: Mapping[str, float], source: Source) -> Handle:
        """The handle of another cloth: of these constants, and like this one in all others."""
        kept = (replace(s, of=tuple(c for c in s.of if c not in found)) for s in self.sources)
        made = {c: found.get(c, getattr(self, c)) for c in CONSTANTS}
        return Handle(name=name, sources=(source, *(s for s in kept if s.of)), **made)

    @property
    def cgs(self) -> Cgs:
        """The constants in g, cm and s.

        1 N/m = 1e5 dyn / 100 cm = 1e3 dyn/cm; 1 uN.m = 1e-6 x 1e7 = 10 dyn.cm; 1 g/m2 = 1e-4
        g/cm2.
        """
        return Cgs(
            mass=self.mass * 1e-4,
            stretch_along=self.stretch_along * 1e3,
            stretch_across=self.stretch_across * 1e3,
            poisson=self.poisson,
            shear=self.shear * 1e3,
            bend_along=self.bend_along * 10.0,
            bend_across=self.bend_across * 10.0,
            thickness=self.thickness * 0.1,
            friction=self.friction,
        )


CONSTANTS = tuple(RANGES)
"""The names of the constants, in the order they are told."""


@dataclass(frozen=True, slots=True)
class Row:
    """A cloth of the table: its handle, the words it is known by, its drape coefficient.

    words: names that mean it; fibres: words that mean it where no name is there. drape: Cusick's
    coefficient, per cent, lowest and highest for such cloths (30 cm specimen on an 18 cm disc).
    tailoring: the chart of SiroFAST is meant for it. read: what the laboratory read, by its own
    letters.
    """

    handle: Handle
    words: tuple[str, ...]
    fibres: tuple[str, ...]
    drape: tuple[float, float]
    tailoring: bool
    read: Mapping[str, Any]


@lru_cache(maxsize=4)
def read_table(path: Path = PATH) -> Mapping[str, Row]:
    """The table of published cloths by name, in its order."""
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    return MappingProxyType({row["name"]: _row(row) for row in data["cloth"]})


def _row(row: Mapping[str, Any]) -> Row:
    sources = tuple(
        Source(tuple(s["of"]), s["mark"], float(s["band"]), s["said"]) for s in row["source"]
    )
    lab = from_kes(row["kes"]) if "kes" in row else from_fast(row["fast"])
    return Row(
        Handle(
            name=row["name"],
            poisson=float(row["poisson"]),
            friction=float(row["friction"]),
            sources=sources,
            **lab,
        ),
        tuple(row.get("words", ())),
        tuple(row.get("fibres", ())),
        (float(row["drape"][0]), float(row["drape"][1])),
        bool(row.get("tailoring", False)),
        MappingProxyType(row["kes"] if "kes" in row else row["fast"]),
    )


def row(name: str) -> Row:
    """A cloth of the table.

    Raises:
        OrderError: the table has none of that name.
    """
    table = read_table()
    if name not in table:
        raise OrderError(
            f"The table of cloths has no {name!r}.{meant(name, table)} It has {'; '.join(table)}."
        )
    return table[name]


def handle(name: str) -> Handle:
    """The handle of a cloth of the table; see :func:`row`."""
    return row(name).handle
