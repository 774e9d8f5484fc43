"""The cloth as fields to lay on: the main cloth, its flaws, the remnants, and what does not fit."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite

import numpy as np
import shapely
from shapely.geometry.polygon import orient

from pinwright.cutting.lay.placing import Array, Field, Template, turned
from pinwright.cutting.material import Flaw, Material, Remnant
from pinwright.cutting.shrinking import named, on_table
from pinwright.errors import LayError
from pinwright.measures.amounts import amount, said
from pinwright.measures.units import LengthUnit

LEAST = 1.0
"""Cloth of less than so many cm2 is none."""

Box = tuple[float, float, float, float]


def fields(material: Material) -> tuple[Field, ...]:
    """The main cloth first, then its remnants, as they lie on the table (shrunk where they are).

    A remnant is laid open, whatever the cloth; where the lines of a repeat lie on it is not
    known, so its field has none and no matched piece belongs on it. Its outline is moved so that
    it begins at (0, 0).

    Raises:
        LayError: no usable width, a repeat greater than the cloth, a flaw or remnant that makes
            no sense, a flaw beside the cloth, flaws that leave nothing.
    """
    cloth = on_table(material)
    width = _usable(cloth)
    _repeat_fits(cloth, width)
    r = cloth.repeat
    for f in material.flaws:
        _flaw_holds(f, material)
    flaws = tuple(b for f in cloth.flaws if (b := _flaw(f, cloth, width)) is not None)
    if cloth.length is not None and flaws:
        whole = shapely.box(0.0, 0.0, cloth.length, width)
        left = whole.difference(shapely.union_all([shapely.box(*b) for b in flaws]))
        if left.area < LEAST:
            raise LayError(
                f"{named(cloth)}: its flaws cover all {cloth.length:.1f} cm of its length over "
                f"the {width:.1f} cm of usable width; nothing is left to cut from."
            )
    main = Field(
        width,
        cloth.length,
        cloth.gap,
        cloth.lay == "folded",
        (r.along, r.across),
        r.turns,
        flaws,
        name=cloth.name,
    )
    return (main, *(_remnant(m, cloth) for m in cloth.remnants))


def _usable(cloth: Material) -> float:
    """Usable width, cm; raises LayError where there is none."""
    of = "folded, " if cloth.lay == "folded" else ""
    if not (isfinite(cloth.width) and cloth.width > 0.0):
        raise LayError(f"{named(cloth)} is {cloth.width:g} cm wide; it must be wider than 0.")
    if not (isfinite(cloth.selvedge) and cloth.selvedge >= 0.0):
        raise LayError(f"{named(cloth)}: its selvedge is {cloth.selvedge:g} cm; 0 or more it is.")
    if cloth.length is not None and not (isfinite(cloth.length) and cloth.length > 0.0):
        raise LayError(f"{named(cloth)} is {cloth.length:g} cm long; it must be longer than 0.")
    if not cloth.usable > 0.0:
        raise LayError(
            f"{named(cloth)} is {cloth.width:.1f} cm wide, {of}with {cloth.selvedge:.1f} cm of "
            "selvedge not used at each side: no width is left to cut from."
        )
    return cloth.usable


def _repeat_fits(cloth: Material, width: float) -> None:
    r = cloth.repeat
    for value, word, limit, of in (
        (r.across, "across", width, "of usable width"),
        (r.along, "along", cloth.length, "of length"),
    ):
        if not (isfinite(value) and value >= 0.0):
            raise LayError(
                f"{named(cloth)}: its repeat {word} is {value:g} cm; it may be 0 (none) or more."
            )
        if not (isfinite(r.from_start) and isfinite(r.from_selvedge)):
            raise LayError(
                f"{named(cloth)}: a line of its repeat lies {r.from_start:g} cm from the start and "
                f"{r.from_selvedge:g} cm from the selvedge; both must be numbers of cm."
            )
        if limit is not None and value > limit:
            raise LayError(
                f"{named(cloth)}: its repeat is {value:.1f} cm {word}, more than the {limit:.1f} "
                f"cm {of} there are, so nothing on it can be matched."
            )


def _flaw_holds(flaw: Flaw, cloth: Material) -> None:
    """Refuse a flaw that is none, or lies beside the cloth as bought; raises LayError.

    That is a slip, and pieces would be cut over the true one.
    """
    for (lo, hi), word in ((flaw.along, "along"), (flaw.across, "across")):
        if not (isfinite(lo) and isfinite(hi) and lo < hi):
            raise LayError(
                f"{named(cloth)}: a flaw runs from {lo:g} to {hi:g} cm {word}; it must end beyond "
                "where it begins."
            )
    (x0, x1), (y0, y1) = flaw.along, flaw.across
    edge = cloth.width / 2.0
    if cloth.lay == "folded" and max(abs(y0), abs(y1)) > edge + 1e-6:
        raise LayError(
            f"{named(cloth)}: a flaw lies {y0:g} to {y1:g} cm from the fold, but each half is "
            f"{edge:.1f} cm wide; count flaws of a folded cloth from its fold, either way."
        )
    if cloth.lay == "open" and (y1 <= 0.0 or y0 >= cloth.width):
        raise LayError(
            f"{named(cloth)}: a flaw lies {y0:g} to {y1:g} cm from the selvedge, but the cloth is "
            f"{cloth.width:.1f} cm wide."
        )
    if x1 <= 0.0 or (cloth.length is not None and x0 >= cloth.length):
        long = "" if cloth.length is None else f" and the cloth is {cloth.length:.1f} cm long"
        raise LayError(
            f"{named(cloth)}: a flaw lies {x0:g} to {x1:g} cm along, but that is counted from the "
            f"cut end{long}."
        )


def _flaw(flaw: Flaw, cloth: Material, width: float) -> Box | None:
    """A flaw on the field; None where it lies in what is not used.

    On a folded cloth it is counted from the fold, to either side: both plies lie on one another.
    """
    (x0, x1), (y0, y1) = flaw.along, flaw.across
    if cloth.lay == "folded":
        if y0 < 0.0 < y1:
            y0, y1 = 0.0, max(-y0, y1)
        elif y1 <= 0.0:
            y0, y1 = -y1, -y0
    else:
        y0, y1 = y0 - cloth.selvedge, y1 - cloth.selvedge
    end = np.inf if cloth.length is None else cloth.length
    box = (max(x0, 0.0), max(y0, 0.0), min(x1, end), min(y1, width))
    return box if box[0] < box[2] and box[1] < box[3] else None


def _remnant(remnant: Remnant, cloth: Material) -> Field:
    name = remnant.name or "a remnant"
    points = np.asarray(remnant.outline, dtype=np.float64).reshape(-1, 2)
    if not bool(np.isfinite(points).all()):
        raise LayError(f"{name}: a corner of its outline is not a number.")
    if len(points) > 1 and bool((points[0] == points[-1]).all()):
        points = points[:-1]
    if len(points) < 3:
        raise LayError(
            f"{name}: its outline has {len(points)} corners; it needs at least 3 (along, across)."
        )
    polygon = shapely.Polygon(points)
    if not polygon.is_valid:
        raise LayError(
            f"{name}: its outline crosses or touches itself; name its corners in order round it."
        )
    if polygon.area < LEAST:
        raise LayError(
            f"{name}: its outline holds {polygon.area:.1f} cm2; nothing can be cut from it."
        )
    ring = shapely.get_coordinates(orient(polygon))[:-1]
    ring = ring - ring.min(axis=0)
    length, width = (float(v) for v in ring.max(axis=0))
    return Field(width, length, cloth.gap, outline=ring, name=name)


def suits(template: Template, field: Field) -> bool:
    """Whether a piece may lie on a field at all, whatever its size.

    A pair cut through two plies and a half on the fold need a folded cloth, and a piece that is
    to be matched one whose repeat is known: neither belongs on a remnant.
    """
    if (template.plies > 1 or template.on_fold) and not field.folded:
        return False
    return all(field.repeat[0 if p.axis == "along" else 1] > 0.0 for p in template.phases)


def checked(templates: Iterable[Template], field: Field, unit: LengthUnit = "cm") -> None:
    """Refuse pieces that cannot lie on a field in any of the ways they may lie.

    Only the field's width and length are held against them, flaws and the outline of a remnant
    are not.

    Raises:
        LayError: a piece too wide or too long for the cloth, or too wide for its place in the
            repeat, naming the piece and both measures in ``unit``.
    """
    for t in templates:
        whole = shapely.get_coordinates(t.taken.exterior)
        bare = t.outline
        if any(_fits(whole, w, t, field) for w in t.rotations):
            continue
        sizes = [np.ptp(turned(whole, w), axis=0) for w in t.rotations]
        length, width = min(sizes, key=lambda s: (s[1] > field.width, s[1], s[0]))
        raise LayError(_refusal(t, field, float(length), float(width), bare, unit))


def _fits(points: Array, way: float, t: Template, field: Field) -> bool:
    laid = turned(points, way)
    length, width = np.ptp(laid, axis=0)
    if width > field.width + 1e-6:
        return False
    if field.length is not None and length > field.length + 1e-6:
        return False
    return t.on_fold or all(
        _line_fits(laid, turned(np.array(p.at), way), p.axis, p.residue, field) for p in t.phases
    )


def _line_fits(laid: Array, at: Array, axis: str, residue: float, field: Field) -> bool:
    """Whether some line of the repeat lets the piece lie within the cloth on its axis."""
    k = 0 if axis == "along" else 1
    repeat, limit = field.repeat[k], (field.length, field.width)[k]
    if repeat <= 0.0 or limit is None:
        return True
    least = float(at[k] - laid[:, k].min())
    most = limit - float(laid[:, k].max() - at[k])
    first = residue + np.ceil((least - residue - 1e-6) / repeat) * repeat
    return bool(first <= most + 1e-6)


def _refusal(
    t: Template, field: Field, length: float, width: float, bare: Array, unit: LengthUnit
) -> str:
    def plain(cm: float) -> str:  # in cm the unit is said once, with the first measure
        return amount(cm, unit)

    name = (t.title or t.piece).removesuffix(f", {t.side}")
    side = "" if t.side == "both" else f"{t.side} "
    name = f"{t.garment[:1].upper()}{t.garment[1:]}: the {side}{name[:1].lower()}{name[1:]}"
    cloth = f"the cloth{f' {field.name}' if field.name else ''}"
    held = f", {plain(t.kept)} held back round it included," if t.kept > 0.0 else ""
    if width > field.width + 1e-6:
        lack = width - field.width
        # a reserve smaller than what is lacking cannot give it
        less = ", or keep less reserve" if t.reserve + 1e-6 >= lack else ""
        own = float(min(np.ptp(turned(bare, w), axis=0)[1] for w in t.rotations))
        if own <= field.width + 1e-6:
            helps = "hold back less round it"
        elif t.on_fold:
            helps = f"take a cloth {plain(2.0 * lack)} wider{less}"
        elif field.folded:
            helps = "lay the cloth open"
            if width > 2.0 * field.width:
                helps += f", and take it {plain(width - 2.0 * field.width)} wider"
        else:
            helps = f"take a cloth {plain(lack)} wider{less}"
        return (
            f"{name} is {said(width, unit)} wide{held} but {cloth} has "
            f"{plain(field.width)} usable{' from its fold' if field.folded else ''}: {helps}."
        )
    if field.length is not None and length > field.length + 1e-6:
        return (
            f"{name} is {said(length, unit)} long{held} but {cloth} has {plain(field.length)} of "
            f"length: {plain(length - field.length)} more are needed."
        )
    along, across = field.repeat
    return (
        f"{name} ({said(width, unit)} wide, {plain(length)} long{held}) cannot lie on {cloth} with "
        f"its lines where the repeat of {plain(along)} along and {plain(across)} across wants "
        f"them: the {said(field.width, unit)} of usable width leave too little play; leave a rule "
        "of matching out."
    )
