"""Laboratory readings turned into the constants of a handle: KES-F and FAST.

KES-F (Kawabata 1980, The Standardization and Analysis of Hand Evaluation) pulls to 500 gf/cm and
bends and shears in gf and degrees; FAST (De Boos & Tester 1994, SiroFAST) pulls to 5, 20 and 100
gf/cm and has a cantilever. Both are made the stiffness at :data:`LOAD`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import pi
from typing import Any

GRAVITY = 9.81
"""m/s2, as FAST's own formulas have it."""

GF_CM = GRAVITY / 10.0
"""1 gf/cm in N/m."""

LOAD = 20.0
"""The pull, gf/cm, at which the table's stretch is told.

A metre of suiting pulls about 2.5 gf/cm by its own weight, a garment that is tight 20 to 100; the
machines' last reading, 100 or 500 gf/cm, would make cloth half or a third as ready to give.
"""

KES_LOAD = 500.0
"""The pull, gf/cm, at which KES-F reads EMT."""

FAST_BIAS = 5.0
"""The pull, gf/cm, on FAST's bias strip."""

KES_BEND = GF_CM * 100.0
"""1 gf.cm2/cm in uN.m."""

KES_SHEAR = GF_CM * 180.0 / pi
"""1 gf/(cm.deg) in N/m for a radian."""


def kes_strain(emt: float, lt: float, load: float) -> float:
    """Strain at a pull from KES-F's strain at 500 gf/cm and linearity of the curve.

    A curve F = 500 (e / EMT)^n holds the work 500 EMT / (n + 1); LT is twice the work over
    500 EMT, so n = 2 / LT - 1. emt: per cent. load: gf/cm. Returns per cent. Real curves bend more
    sharply where the crimp is used up, so it is a guess between the two ends.
    """
    return float(emt * (load / KES_LOAD) ** (1.0 / (2.0 / lt - 1.0)))


def secant(load: float, strain: float) -> float:
    """Stiffness, N/m, from a pull (gf/cm) and the strain there (per cent)."""
    return load * GF_CM / (strain / 100.0)


def rigidity(mass: float, bending_length: float) -> float:
    """Bending rigidity, uN.m: weight x bending length cubed (Peirce 1930).

    mass: g/m2. bending_length: cm. FAST writes it W c^3 9.81e-6 with c in mm.
    """
    return mass * 1e-3 * GRAVITY * bending_length**3


def fast_shear(eb5: float) -> float:
    """FAST's shear rigidity, N/m, from the stretch on the bias at 5 gf/cm, per cent: 123 / EB5."""
    return 123.0 / eb5


def from_kes(kes: Mapping[str, Any]) -> dict[str, float]:
    """Constants from KES-F: W mg/cm2, T mm, EMT per cent, LT, B gf.cm2/cm, G gf/(cm.deg).

    EMT and B hold what was read along and across.
    """
    stretch = [secant(LOAD, kes_strain(e, kes["LT"], LOAD)) for e in kes["EMT"]]
    return _constants(
        kes["W"] * 10.0,
        kes["T"],
        stretch,
        [b * KES_BEND for b in kes["B"]],
        kes["G"] * KES_SHEAR,
    )


def from_fast(fast: Mapping[str, Any]) -> dict[str, float]:
    """Constants from FAST: W g/m2, T mm, E20 and EB5 per cent, bending length c mm."""
    return _constants(
        fast["W"],
        fast["T"],
        [secant(LOAD, e) for e in fast["E20"]],
        [rigidity(fast["W"], c / 10.0) for c in fast["c"]],
        fast_shear(fast["EB5"]),
    )


def _constants(
    mass: float, thickness: float, stretch: Sequence[float], bend: Sequence[float], shear: float
) -> dict[str, float]:
    return {
        "mass": float(mass),
        "stretch_along": stretch[0],
        "stretch_across": stretch[1],
        "shear": shear,
        "bend_along": bend[0],
        "bend_across": bend[1],
        "thickness": float(thickness),
    }


def drape_expected(mass: float, bend_along: float, bend_across: float) -> float:
    """Drape coefficient to be expected, per cent, of a specimen 25.4 cm on a disc of 12.7 cm.

    mass: g/m2. bend_along, bend_across: uN.m. Morooka & Niwa 1976 (J. Text. Mach. Soc. Japan 22,
    67-73), from memory: 5.1 + 115.0 (B across / W)^(1/3) + 131.1 (B along / W)^(1/3) +
    1.2 (B on the bias / W)^(1/3), B in gf.cm2/cm and W in mg/cm2. The bias is taken as the mean of
    the two: its share is below half a per cent. It knows nothing of shear, so it is too low for
    cotton with a firm finish. An overhang of 6.35 cm is near Cusick's 6 (30 on 18 cm), not the
    same.
    """
    w = mass / 10.0
    along, across = (b / KES_BEND / w for b in (bend_along, bend_across))
    mean = (along + across) / 2.0
    return float(5.1 + 115.0 * across ** (1 / 3) + 131.1 * along ** (1 / 3) + 1.2 * mean ** (1 / 3))
