"""How hard the body presses on the cloth."""

from __future__ import annotations

import numpy as np

from pinwright.drape.data import Array, Hung
from pinwright.drape.reading.cloth import vertex_areas

KPA = 1e-4
"""kPa in a dyn/cm2: 1 dyn is 1e-5 N, 1 cm2 is 1e-4 m2 (SI)."""

TOUCHES = 1e-3
"""A vertex is touched where the pressure is more, kPa: a tenth of what 100 g/m2 of cloth weigh."""


def pressure(hung: Hung) -> Array:
    """The pressure at each vertex (n,), kPa: the force on it over its area as it hangs."""
    area = vertex_areas(hung.points, hung.shell.triangles)
    found: Array = np.where(area > 0.0, hung.touch / np.where(area > 0.0, area, 1.0), 0.0) * KPA
    return found
