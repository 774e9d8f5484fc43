"""How much cloth to have before anything is drafted, and how sure that is.

From the client's height, bust, waist and hip alone: drafts of the same style over the women of the
open data set "bdims" give the cut area, measured lays its share of the cloth. Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, hypot

from pinwright.cutting.garment_size import garment_size, quantile
from pinwright.cutting.lay_density import Density, density_at
from pinwright.cutting.need_table import Table, read_table
from pinwright.errors import LayError
from pinwright.pattern.piece import Layer

HELD = 1.0
"""Cloth held back round pieces cut after the fitting, as lining and pocketing are, cm."""

Garments = Sequence[tuple[str, Mapping[str, object]]]
"""(style, its choices) of each garment cut from the cloth."""


@dataclass(frozen=True, slots=True)
class ErrorSource:
    """What makes the estimate unsure, and by how much: half its own 95 % interval, cm of cloth."""

    name: str
    cm: float


@dataclass(frozen=True, slots=True)
class Need:
    """Cloth needed, cm: most likely ``length``, between ``low`` and ``high`` in 95 of 100 cases.

    ``area`` is the cut pieces', cm2, ``density`` their expected share of the usable cloth.
    ``drafted`` says that (some of) it was drafted with estimated measures, having no table.
    ``says`` are sentences for the cutter.
    """

    layers: tuple[Layer, ...]
    length: float
    low: float
    high: float
    area: float
    density: float
    error_sources: tuple[ErrorSource, ...]
    drafted: bool = False
    says: tuple[str, ...] = ()


def estimate(
    style: str,
    choices: Mapping[str, object],
    measures: Mapping[str, float],
    width: float,
    *,
    layers: Sequence[Layer] = ("shell",),
    selvedge: float = 1.0,
    repeat: tuple[float, float] = (0.0, 0.0),
    one_way: bool = False,
    folded: bool = False,
    shrink: tuple[float, float] = (0.0, 0.0),
    table: Table | None = None,
) -> Need:
    """Cloth for one garment; see :func:`estimate_together`.

    Raises:
        LayError, MeasureError, OrderError: see there.
    """
    return estimate_together(
        [(style, choices)],
        measures,
        width,
        layers=layers,
        selvedge=selvedge,
        repeat=repeat,
        one_way=one_way,
        folded=folded,
        shrink=shrink,
        table=table,
    )


def estimate_together(
    garments: Garments,
    measures: Mapping[str, float],
    width: float,
    *,
    layers: Sequence[Layer] = ("shell",),
    selvedge: float = 1.0,
    repeat: tuple[float, float] = (0.0, 0.0),
    one_way: bool = False,
    folded: bool = False,
    shrink: tuple[float, float] = (0.0, 0.0),
    table: Table | None = None,
) -> Need:
    """Cloth for garments cut from one cloth, from few measures (cm by term).

    ``layers`` are those cut from this cloth, such as the facings with the shell.
    ``repeat`` (along, across) in cm is to be matched, ``shrink`` (along, across) in per cent is
    lost before cutting. The length is area / (usable width x density), or the longest piece where
    that is more. A repeat adds one repeat for each piece lying end to end (sources 5.3), about half
    of which is surely lost; one repeat across is taken off the width (our own rule).

    A style or choice that is not in the table, or measures beyond it, are drafted with estimated
    measures instead, and ``says`` says so.

    Raises:
        LayError: no cloth width is left, no garment needs this layer, or a bad repeat or shrinkage.
        MeasureError: a measure is missing or impossible.
        OrderError: no such style or choice.
    """
    table = read_table() if table is None else table
    usable = _usable(width, selvedge, repeat, shrink)
    sizes = [
        size
        for style, choices in garments
        if (size := garment_size(style, choices, measures, layers, table)) is not None
    ]
    if not sizes:
        names = " and ".join(style for style, _ in garments)
        raise LayError(
            f"There is no piece of {' or '.join(layers)} in {names}, so no cloth is needed for it."
        )
    area = sum(s.area for s in sizes)
    held = 0.0 if "shell" in layers else 2.0 * HELD
    longest = max(s.longest for s in sizes) + held
    rows = area / (usable * longest)
    density, says = _density([style for style, _ in garments], layers, rows, table, one_way, folded)
    packed = area / (usable * density.mean)
    plain = max(packed, longest)
    add = repeat[0] * ceil(plain / longest - 1e-9)
    grown = 1.0 / (1.0 - shrink[0] / 100.0)
    # the same body errs the same way in both garments: their errors add up
    sources = [
        ErrorSource("area of the pieces", grown * packed * sum(s.half for s in sizes) / area),
        ErrorSource(
            "density of the lay",
            grown * packed * quantile(density.freedom) * density.sd / density.mean,
        ),
    ]
    if longest > packed:
        sources.append(ErrorSource("longest piece", grown * max(s.longest_half for s in sizes)))
    if add > 0.0:
        sources.append(ErrorSource("matching the repeat", add / 2.0))
    # the repeat is that of the cloth as bought, so it has grown already
    length = grown * plain + add
    half = hypot(*(s.cm for s in sources))
    return Need(
        tuple(layers),
        length,
        max(length - half, grown * (longest - held - max(s.longest_half for s in sizes))),
        length + half,
        area,
        density.mean,
        tuple(sources),
        any(s.drafted for s in sizes),
        tuple(dict.fromkeys([x for s in sizes for x in s.says] + says)),
    )


def _usable(
    width: float, selvedge: float, repeat: tuple[float, float], shrink: tuple[float, float]
) -> float:
    for name, r in (("along", repeat[0]), ("across", repeat[1])):
        if not 0.0 <= r < float("inf"):
            raise LayError(f"The repeat {name} the cloth is {r:g} cm; it may be 0 or more.")
    for name, s in (("along", shrink[0]), ("across", shrink[1])):
        if not -10.0 <= s <= 50.0:
            raise LayError(f"The cloth shrinks by {s:g} % {name} it; it may be from -10 to 50 %.")
    usable = (width - repeat[1]) * (1.0 - shrink[1] / 100.0) - 2.0 * selvedge
    if not 0.0 < usable < float("inf"):
        raise LayError(
            f"A cloth of {width:g} cm with selvedges of {selvedge:g} cm and a repeat of "
            f"{repeat[1]:g} cm across leaves no width to cut from."
        )
    return usable


def _density(
    garments: Sequence[str],
    layers: Sequence[Layer],
    rows: float,
    table: Table,
    one_way: bool,
    folded: bool,
) -> tuple[Density, list[str]]:
    found = density_at(table.measured, garments, layers, rows)
    says = (
        []
        if found.freedom
        else [f"How much of the cloth the pieces fill is a {found.source}, not measured."]
    )
    for asked, name in ((one_way, "one way"), (folded, "folded")):
        if not asked:
            continue
        way = (table.ways or {}).get(name)
        if way is None:
            says.append(f"What a lay {name} costs was not measured and is not in the estimate.")
            continue
        mean = found.mean * way.mean
        sd = mean * hypot(found.sd / found.mean, way.sd / way.mean)
        found = Density(mean, sd, found.freedom, found.source)
    return found, says
