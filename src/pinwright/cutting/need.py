"""How much cloth to have before anything is drafted, and how sure that is.

From the client's height, bust, waist and hip alone: drafts of the same style over the women of the
open data set "bdims" give the cut area, measured lays its share of the cloth. Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot

from pinwright.cutting.garment_size import garment_size, quantile
from pinwright.cutting.lay_density import Density, density_at
from pinwright.cutting.need_table import Table, read_table
from pinwright.cutting.repeat_cost import Unmeasured, matched_length, unmeasured
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
    Where a repeat is beyond what was measured it is in ``beyond``, ``length`` and ``low`` are those
    of a cloth without repeat, and ``high`` is None: how much more is needed is not known.
    ``says`` are sentences for the cutter.
    """

    layers: tuple[Layer, ...]
    length: float
    low: float
    high: float | None
    area: float
    density: float
    error_sources: tuple[ErrorSource, ...]
    drafted: bool = False
    says: tuple[str, ...] = ()
    beyond: tuple[Unmeasured, ...] = ()


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
    that is more. What a repeat adds was measured on shells (:mod:`pinwright.cutting.repeat_cost`);
    no other layer is matched. Beyond what was measured no upper limit is told.

    A style or choice that is not in the table, or measures beyond it, are drafted with estimated
    measures instead, and ``says`` says so.

    Raises:
        LayError: no cloth width is left, no garment needs this layer, or a bad repeat or shrinkage.
        MeasureError: a measure is missing or impossible.
        OrderError: no such style or choice.
    """
    table = read_table() if table is None else table
    usable = _usable(width, selvedge, repeat, shrink)
    if "shell" not in layers:
        repeat = (0.0, 0.0)
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
    styles = [style for style, _ in garments]

    def density_of(times: float) -> tuple[Density, list[str]]:
        rows = times * area / (usable * longest)
        return _density(styles, layers, rows, table, one_way, folded)

    def packed_of(times: float) -> float:
        return times * area / (usable * density_of(times)[0].mean)

    def length_of(times: float) -> float:
        return max(packed_of(times), longest)

    # both shrink: what is laid on and, across it, the repeat
    across = repeat[1] * (1.0 - shrink[1] / 100.0)
    beyond = unmeasured((repeat[0], across), usable / 2.0 if folded else usable, table.repeats)
    cost = None if beyond or not any(repeat) else table.repeats
    times, plain, bars = 1.0, length_of(1.0), 0.0
    stripes = plain
    if cost is not None:
        times = 1.0 + cost.across * across
        stripes, bars = matched_length(
            length_of, longest, (repeat[0], across), cost.along, cost.across
        )
    packed, (density, says) = packed_of(times), density_of(times)
    grown = 1.0 / (1.0 - shrink[0] / 100.0)
    # the repeat along is that of the cloth as bought, so it has grown already
    length = grown * stripes + bars
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
    if cost is not None:
        sd = hypot(cost.sd * length, cost.share * (length - grown * plain))
        sources.append(ErrorSource("matching the repeat", quantile(cost.freedom) * sd))
    half = hypot(*(s.cm for s in sources))
    return Need(
        tuple(layers),
        length,
        max(length - half, grown * (longest - held - max(s.longest_half for s in sizes))),
        None if beyond else length + half,
        area,
        density.mean,
        tuple(sources),
        any(s.drafted for s in sizes),
        tuple(dict.fromkeys([x for s in sizes for x in s.says] + says)),
        beyond,
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
    usable = width * (1.0 - shrink[1] / 100.0) - 2.0 * selvedge
    if not 0.0 < usable < float("inf"):
        raise LayError(
            f"A cloth of {width:g} cm with selvedges of {selvedge:g} cm leaves no width to cut "
            "from."
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
