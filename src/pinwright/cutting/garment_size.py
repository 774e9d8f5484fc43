"""How much is cut for a garment of a client of whom little is known, and how sure that is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from pinwright.cutting.need_table import AreaFit, Table
from pinwright.cutting.piece_area import Areas, drafted_areas, scattered_areas
from pinwright.cutting.sentences import capital, listed
from pinwright.draft import style as style_called
from pinwright.draft.style import Style
from pinwright.errors import PinwrightError
from pinwright.pattern.piece import Layer

CERTAIN = 0.95
"""Intervals hold the truth with this probability."""

DRAFTS = 12
"""So many scattered drafts tell the error where a style is not in the table."""


@dataclass(frozen=True, slots=True)
class Size:
    """Expected cut area (cm2) and longest piece (cm), and ``half`` the 95 % interval of either.

    ``drafted`` says that it was drafted with estimated measures, ``says`` why.
    """

    area: float
    longest: float
    half: float
    longest_half: float
    drafted: bool = False
    says: tuple[str, ...] = ()


def garment_size(
    style_name: str,
    choices: Mapping[str, object],
    measures: Mapping[str, float],
    layers: Sequence[Layer],
    table: Table,
) -> Size | None:
    """What is cut for one garment in these layers; None when it has no piece of them.

    From the table where it has the style's main choices and people such as her. What other choices
    change is the ratio of two drafts. A style or people that it has not are drafted, for so many
    bodies of these measures that their scatter tells the error.

    Raises:
        OrderError: no such style or choice.
        PinwrightError: it must be drafted and cannot be.
    """
    style = style_called(style_name)
    chosen = style.choose(choices)
    rows = table.rows(style, chosen)
    fits = [f for f in rows if f.layer in layers]
    lacking = [t for t in ("height", *(f.girth for f in fits)) if t not in measures]
    if not rows:
        why = "these choices are not in the table of drafts"
    elif lacking:
        why = f"{lacking[0].replace('_', ' ')} is not given"
    elif not all(f.covers(measures["height"], measures[f.girth]) for f in fits):
        why = "the table of drafts has nobody so small or so large"
    else:
        others = _others(style, chosen, rows[0])
        if not others:
            return _from_table(fits, measures) if fits else None
        why = f"{_choice_of(others)} changes which cloths it is cut from"
        found = _changed(style, chosen, others, fits, measures, layers)
        if found is not None:
            return found
    return _scattered(style, chosen, measures, layers, why)


def quantile(freedom: int) -> float:
    """Half the 95 % interval in standard deviations known with so many degrees of freedom.

    0 stands for a standard deviation that is taken as known.
    """
    return float(student.ppf(0.5 + CERTAIN / 2.0, freedom or float("inf")))


def _others(style: Style, chosen: Mapping[str, object], row: AreaFit) -> list[str]:
    """Choices that are not at their default and not among the table's."""
    return [
        c.name for c in style.choices if c.name not in row.choices and chosen[c.name] != c.default
    ]


def _from_table(fits: Sequence[AreaFit], measures: Mapping[str, float]) -> Size:
    area = half = longest = longest_half = 0.0
    for f in fits:
        at = np.array([measures["height"], measures[f.girth]])
        value, error = f.area.at(at)
        area += value
        # facings err as the fronts they follow do, so the errors of layers add up
        half += error * quantile(f.area.freedom)
        long, unsure = f.longest.at(at)
        if long > longest:
            longest, longest_half = long, unsure * quantile(f.longest.freedom)
    return Size(area, longest, half, longest_half)


def _changed(
    style: Style,
    chosen: Mapping[str, object],
    others: Sequence[str],
    fits: Sequence[AreaFit],
    measures: Mapping[str, float],
    layers: Sequence[Layer],
) -> Size | None:
    """The table's size, changed as a draft is by these choices; None where it has other layers."""
    plain = {k: v for k, v in chosen.items() if k not in others}
    before = _drafted(style, plain, measures)
    after = _drafted(style, chosen, measures)
    known = {f.layer for f in fits}
    if not known or {x for x in layers if x in after} != known or not known <= set(before):
        return None
    base = _from_table(fits, measures)
    old, new = _joined(before, layers), _joined(after, layers)
    ratio = new.area / old.area
    says = (
        f"{capital(style.title)}: {_choice_of(others)} is reckoned in from a draft with estimated "
        "measures."
    )
    return Size(
        base.area * ratio,
        base.longest * new.longest / old.longest,
        base.half * ratio,
        base.longest_half,
        True,
        (says,),
    )


def _scattered(
    style: Style,
    chosen: Mapping[str, object],
    measures: Mapping[str, float],
    layers: Sequence[Layer],
    why: str,
) -> Size | None:
    drafted = _joined(_drafted(style, chosen, measures), layers)
    if drafted.area == 0.0:
        return None
    try:
        many = scattered_areas(style, chosen, measures, DRAFTS)
    except PinwrightError as error:
        raise _told(style, error) from error
    bodies = [_joined(a, layers) for a in many]
    wide = quantile(len(bodies) - 1)
    half = wide * float(np.std([b.area for b in bodies], ddof=1))
    longest_half = wide * float(np.std([b.longest for b in bodies], ddof=1))
    says = f"{capital(style.title)}: drafted with estimated measures, because {why}."
    return Size(drafted.area, drafted.longest, half, longest_half, True, (says,))


def _drafted(
    style: Style, choices: Mapping[str, object], measures: Mapping[str, float]
) -> dict[Layer, Areas]:
    try:
        return drafted_areas(style, choices, measures)
    except PinwrightError as error:
        raise _told(style, error) from error


def _told(style: Style, error: PinwrightError) -> PinwrightError:
    return type(error)(f"The cloth for the {style.name} cannot be estimated: {error}")


def _choice_of(names: Sequence[str]) -> str:
    return f"the choice of {listed([n.replace('_', ' ') for n in names])}"


def _joined(found: Mapping[Layer, Areas], layers: Sequence[Layer]) -> Areas:
    mine = [found[x] for x in layers if x in found]
    return Areas(sum(a.area for a in mine), max((a.longest for a in mine), default=0.0))
