"""The ledger: the ordered corrections of a garment, replayed on its draft as frozen.

Replaying sums the responses of all corrections, right and left, and trues the sum. What may
differ by order does not exist here: amounts of the same thing add, and everything is measured on
the draft. Undoing an entry is leaving it out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import fsum
from types import MappingProxyType
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import CorrectionError, DraftError
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction, Form, Sides, one_leg
from pinwright.fitting.plan import plan
from pinwright.fitting.response import Response
from pinwright.fitting.truing import Conflict, Trued, true
from pinwright.geometry.cubic import lengths as arc
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey, Layout
from pinwright.pattern.piece import Array, Piece
from pinwright.pattern.seam import Sewn, Width

Key = tuple[str, str, str, tuple[tuple[str, object], ...], Form]
Sums = tuple[tuple[Key, float], ...]


@dataclass(frozen=True, eq=False)
class Half:
    """One side of a garment after corrections and truing.

    ``facts`` and ``effects`` (declared changes of targets, cm) include the ledger's; ``trued``
    is None when nothing was corrected.
    """

    garment: Garment
    sums: Sums
    ctrl: Array
    aux: Array
    lengths: Array
    facts: Mapping[str, float]
    effects: Mapping[str, float]
    trued: Trued | None = None

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """The solved pieces; those that nothing touched are the draft's own objects."""
        if self.trued is None:
            return self.garment.pieces
        return self.garment.layout.pieces_from(self.ctrl, self.aux)

    @cached_property
    def by_name(self) -> Mapping[str, Piece]:
        """The solved pieces by name."""
        return MappingProxyType({p.name: p for p in self.pieces})

    def piece(self, name: str) -> Piece:
        """One solved piece; raises KeyError when there is none."""
        return self.by_name[name]

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Seams that could not be made to agree."""
        return self.trued.conflicts if self.trued else ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """A correction that was not made, and why."""

    correction: Correction
    reason: str


@dataclass(frozen=True, eq=False)
class Fitted:
    """A garment with its ledger replayed: right and left are one object while equal."""

    garment: Garment
    ledger: tuple[Correction, ...]
    right: Half
    left: Half
    refused: tuple[Refusal, ...] = ()

    @property
    def halves(self) -> tuple[tuple[str, Half], ...]:
        """(side, half): one entry "both" while right and left are the same."""
        if self.right is self.left:
            return (("both", self.right),)
        return (("right", self.right), ("left", self.left))

    @property
    def effects(self) -> Mapping[str, float]:
        """Declared changes of the targets (cm), the mean of both sides."""
        a, b = self.right.effects, self.left.effects
        return {k: (a.get(k, 0.0) + b.get(k, 0.0)) / 2.0 for k in {**a, **b}}

    def half(self, side: Sides) -> Half:
        """The half of a side ("both" gives the right)."""
        return self.left if side == "left" else self.right


@lru_cache(maxsize=4096)
def response(garment: Garment, key: Key) -> Response:
    """The response to one unit of a correction, compiled once for a draft.

    Raises:
        CorrectionError: the garment has no such place, or an option is wrong.
    """
    kind, place, component, options, form = key
    return entry(kind).respond(garment, place, component, dict(options), form)


def check(correction: Correction, garment: Garment) -> None:
    """Refuse a correction that cannot be meant or is beyond its limits.

    Raises:
        CorrectionError: unknown kind, place, component or option, an amount beyond the limit, or
            a one-sided correction of something that is the same on both sides.
    """
    e = entry(correction.kind)
    where = f"{e.title} ({correction.place.replace('_', ' ')})"
    for name, said, allowed in (
        ("side", correction.side, get_args(Sides)),
        ("form", correction.form, get_args(Form)),
    ):
        if said not in allowed:
            raise CorrectionError(f"{where}: {name} is {said!r}; it may be {', '.join(allowed)}.")
    if (
        correction.side != "both"
        and one_leg(e, correction.place, correction.options)
        and correction.options.get("fork", "moves") != "stays"
    ):
        raise CorrectionError(
            f"{where}: on one leg alone the fork must stay (fork = stays), or right and left would "
            "not sew together."
        )
    if not correction.amounts:
        raise CorrectionError(f"{where}: no amount is given; it takes {', '.join(e.components)}.")
    if correction.place not in e.places:
        raise CorrectionError(
            f"{e.title}: the place is {correction.place!r}; it may be {', '.join(e.places)}."
        )
    if correction.side != "both" and not e.one_sided:
        raise CorrectionError(
            f"{where}: the side is {correction.side!r}; this lies across the centre and is the "
            "same on both sides."
        )
    options = {o.name: o for o in e.options}
    for name, value in correction.options.items():
        if name not in options:
            raise CorrectionError(
                f"{where}: there is no option {name!r}; the options are "
                f"{', '.join(options) or 'none'}."
            )
        o = options[name]
        if o.allowed and value not in o.allowed:
            raise CorrectionError(
                f"{where}: {name} is {value!r}; it may be {', '.join(o.allowed)}."
            )
    for name, amount in correction.amounts.items():
        if name not in e.components:
            raise CorrectionError(
                f"{where}: there is no amount {name!r}; it takes {', '.join(e.components)}."
            )
        if isinstance(amount, bool) or not isinstance(amount, int | float):
            raise CorrectionError(f"{where}: the amount is {amount!r}; it must be a number.")
        low, high = e.limit
        if not low - 1e-9 <= amount <= high + 1e-9:
            raise CorrectionError(
                f"{where}: the amount is {amount:g} {e.unit}; it may be from {low:g} to {high:g} "
                f"{e.unit}."
            )


def beyond_limit(ledger: Sequence[Correction]) -> str:
    """Empty while what is corrected in all stays within each entry's limits; else which does not.

    What is carried from earlier garments ("next" form) and what is pinned now count together.
    """
    for side in ("right", "left"):
        total: dict[tuple[str, str, str, tuple[tuple[str, object], ...]], float] = {}
        for (kind, place, component, options, _), amount in sums(ledger, side):
            where = (kind, place, component, options)
            total[where] = total.get(where, 0.0) + amount
        for (kind, place, _, _), amount in total.items():
            e = entry(kind)
            low, high = e.limit
            if not low - 1e-9 <= amount <= high + 1e-9:
                return (
                    f"{e.title} ({place.replace('_', ' ')}): {amount:g} {e.unit} in all, with what "
                    f"is corrected there already; it may be from {low:g} to {high:g} {e.unit}."
                )
    return ""


def sums(ledger: Sequence[Correction], side: Sides) -> Sums:
    """The amounts of a ledger summed by what they move, in canonical order, for one side."""
    total: dict[Key, list[float]] = {}
    for c in ledger:
        if c.side not in ("both", side):
            continue
        options = tuple(sorted(c.options.items(), key=lambda item: item[0]))
        for component, amount in c.amounts.items():
            key: Key = (c.kind, c.place, component, options, c.form)
            total.setdefault(key, []).append(amount)
    # exactly rounded, so that what was added and taken back leaves nothing, in any order
    exact = ((k, fsum(v)) for k, v in sorted(total.items(), key=lambda item: repr(item[0])))
    return tuple((k, v) for k, v in exact if v != 0.0)


def as_drafted(garment: Garment) -> Half:
    """A half with an empty ledger: the draft itself."""
    p = plan(garment)
    return Half(
        garment, (), garment.layout.ctrl, garment.layout.aux, p.base_lengths, garment.facts, {}
    )


@lru_cache(maxsize=64)
def _drafted(garment: Garment) -> Half:
    return as_drafted(garment)


def solve(garment: Garment, total: Sums, centre: Mapping[str, float] | None = None) -> Half:
    """Sum the responses of a ledger's amounts on the draft and true the result.

    ``centre`` overrides the wanted lengths (cm) of seams between right and left. The last results
    are kept: what did not change is the same object as before.
    """
    if not total and not centre:
        return _drafted(garment)
    return solved(garment, total, tuple(sorted((centre or {}).items())))


@lru_cache(maxsize=256)
def solved(garment: Garment, total: Sums, centres: tuple[tuple[str, float], ...]) -> Half:
    """The work of :func:`solve`, kept by draft, amounts and centre lengths."""
    centre = dict(centres)
    p = plan(garment)
    ctrl, aux = garment.layout.ctrl.copy(), garment.layout.aux.copy()
    mouths: dict[EdgeKey, float] = {}
    facts = dict(garment.facts)
    effects: dict[str, float] = {}
    for key, amount in total:
        r = response(garment, key)
        ctrl += amount * r.ctrl
        aux += amount * r.aux
        for where, rate in r.mouths.items():
            mouths[where] = mouths.get(where, 0.0) + rate * amount
        for name, rate in r.facts.items():
            facts[name] = facts.get(name, 0.0) + rate * amount
        for name, rate in r.effects.items():
            effects[name] = effects.get(name, 0.0) + rate * amount
    for name, more in beyond_first_order(garment, ctrl).items():
        effects[name] = effects.get(name, 0.0) + more
    lengths = {**centre_lengths(garment, effects), **centre}
    trued = true(p, ctrl, aux, mouths, lengths, eased=gathered(garment, facts))
    for seam, target in CENTRE_TARGETS.items():
        if seam in centre:
            # sewn to the other half: the length is that one's, whatever was declared here
            effects[target] = centre[seam] - centre_lengths(garment, {})[seam]
    for step in trued.steps:
        # the sleeve follows the armhole beyond its ease: by rule its width is what gives
        if step.piece == "sleeve" and step.where.endswith("width at the underarm"):
            effects["upper_arm"] = effects.get("upper_arm", 0.0) + step.amount
    return Half(garment, total, trued.ctrl, trued.aux, trued.lengths, facts, effects, trued)


def beyond_first_order(garment: Garment, ctrl: Array) -> dict[str, float]:
    """What a sum of corrections does to finished measures beyond its first-order effect, cm.

    A seam that is moved out at one level and not at the next gets longer by its own slant, and a
    width whose ends part in height gets longer too: squares of the amount, which no effect
    declared per centimetre can hold. Measured before truing, so that the check still finds
    whatever truing changes.
    """
    layout = garment.layout
    step = ctrl - layout.ctrl
    e = 1e-4
    near = (layout.ctrl + e * step, layout.ctrl - e * step)
    found = {}
    for target in garment.targets:
        if target.name in CENTRE_TARGETS.values():
            continue
        rows = [_part_rows(layout, p) for p in target.parts]
        if not any(step[r].any() for r in rows):
            continue
        now, then, ahead, behind = (
            sum(_part_length(layout, c, p) for p in target.parts)
            for c in (ctrl, layout.ctrl, *near)
        )
        more = (now - then) - (ahead - behind) / (2 * e)
        if abs(more) > 1e-9:
            found[target.name] = more * target.factor
    return found


def _part_rows(layout: Layout, part: Width | Sewn) -> NDArray[np.intp]:
    if isinstance(part, Sewn):
        return layout.span_ids((part.piece, part.edge))
    ends = (layout.station_row(part.piece, p)[0] for p in (part.start, part.end))
    return np.array(list(ends), dtype=np.intp)


def _part_length(layout: Layout, ctrl: Array, part: Width | Sewn) -> float:
    if isinstance(part, Sewn):
        return float(arc(ctrl[layout.span_ids((part.piece, part.edge))]).sum())
    a, b = (ctrl[layout.station_row(part.piece, p)] for p in (part.start, part.end))
    return float(np.hypot(*(b - a)))


def gathered(garment: Garment, facts: Mapping[str, float]) -> dict[str, float]:
    """Cloth newly gathered into the band, half front and half back (cm), by the ledger's facts."""
    return {
        part: (facts.get(f"gather_{part}", 0.0) - garment.facts.get(f"gather_{part}", 0.0)) / 2.0
        for part in ("front", "back")
    }


CENTRE_TARGETS = {"front_centre": "front_crotch", "seat": "back_crotch"}
"""Seams between right and left whose whole length is a target of the garment."""


def centre_lengths(garment: Garment, effects: Mapping[str, float]) -> dict[str, float]:
    """What the seams between right and left must measure: as drafted plus declared effects."""
    p = plan(garment)
    return {
        sp.seam.name: float(p.base_lengths[sp.a].sum())
        + effects.get(CENTRE_TARGETS[sp.seam.name], 0.0)
        for sp in p.seams
        if sp.seam.mirror and sp.seam.name in CENTRE_TARGETS
    }


def fit(garment: Garment, ledger: Sequence[Correction]) -> Fitted:
    """Replay a ledger on a draft.

    Corrections that cannot be made are refused with their reason and left out; the others stand.
    """
    accepted: list[Correction] = []
    refused: list[Refusal] = []
    for c in ledger:
        reason = _amiss(garment, accepted, c)
        if reason:
            refused.append(Refusal(c, reason))
        else:
            accepted.append(c)
    right, left = _both(garment, accepted)
    if right.conflicts or left.conflicts:
        right, left, accepted, more = _without_conflicts(garment, accepted)
        refused += more
    return Fitted(garment, tuple(accepted), right, left, tuple(refused))


def _amiss(garment: Garment, accepted: Sequence[Correction], c: Correction) -> str:
    """Why a correction cannot be made after those accepted; empty where it can."""
    try:
        check(c, garment)
        for key, _ in sums([c], "right" if c.side != "left" else "left"):
            response(garment, key)
    except CorrectionError as err:
        return str(err)
    return beyond_limit([*accepted, c])


def takes(garment: Garment, ledger: Sequence[Correction], c: Correction) -> bool:
    """Whether a garment has what a correction corrects, and the correction is within its limits
    with what the ledger holds; truing is not tried."""
    return not _amiss(garment, ledger, c)


def _without_conflicts(
    garment: Garment, ledger: Sequence[Correction]
) -> tuple[Half, Half, list[Correction], list[Refusal]]:
    """Take the corrections one by one and refuse each that cannot be trued with those before."""
    kept: list[Correction] = []
    refused: list[Refusal] = []
    right = left = _drafted(garment)
    for c in ledger:
        r, l = _both(garment, [*kept, c])
        conflicts = r.conflicts or l.conflicts
        if conflicts:
            refused.append(Refusal(c, conflicts[0].sentence()))
        else:
            kept.append(c)
            right, left = r, l
    return right, left, kept, refused


def _both(garment: Garment, ledger: Sequence[Correction]) -> tuple[Half, Half]:
    sr, sl = sums(ledger, "right"), sums(ledger, "left")
    if sr == sl:
        half = solve(garment, sr)
        return half, half
    right, left = solve(garment, sr), solve(garment, sl)
    p = plan(garment)
    centre = [sp for sp in p.seams if sp.seam.mirror]
    common = sums([c for c in ledger if c.side == "both"], "both")
    want_r: dict[str, float] = {}
    want_l: dict[str, float] = {}
    for sp in centre:
        r, l = float(right.lengths[sp.a].sum()), float(left.lengths[sp.a].sum())
        if abs(r - l) <= 1e-9:
            continue
        # the altered half gives; when both were altered they meet half way
        if sl == common:
            want_r[sp.seam.name] = l
        elif sr == common:
            want_l[sp.seam.name] = r
        else:
            want_r[sp.seam.name] = want_l[sp.seam.name] = (r + l) / 2
    if want_r:
        right = solve(garment, sr, want_r)
    if want_l:
        left = solve(garment, sl, want_l)
    return right, left


def same(a: Half, b: Half) -> bool:
    """Whether two halves are equal bit for bit."""
    return bool(np.array_equal(a.ctrl, b.ctrl) and np.array_equal(a.aux, b.aux))


def undone(ledger: Sequence[Correction], index: int) -> tuple[Correction, ...]:
    """A ledger without one of its entries: replayed, that entry has never been.

    Raises:
        CorrectionError: there is no such entry.
    """
    _entry(ledger, index)
    return (*ledger[:index], *ledger[index + 1 :])


def amended(
    ledger: Sequence[Correction], index: int, amounts: Mapping[str, float]
) -> tuple[Correction, ...]:
    """A ledger with other amounts (cm) for one of its entries.

    Raises:
        CorrectionError: there is no such entry.
    """
    changed = replace(_entry(ledger, index), amounts=amounts)
    return (*ledger[:index], changed, *ledger[index + 1 :])


def _entry(ledger: Sequence[Correction], index: int) -> Correction:
    if not 0 <= index < len(ledger):
        raise CorrectionError(f"There is no entry {index + 1} in the ledger; it has {len(ledger)}.")
    return ledger[index]


def settle(garment: Garment) -> Garment:
    """A draft whose seams, darts and run-throughs agree to 1e-9 cm, ready to be frozen.

    Drafting rules get their lines right to a few hundredths; truing the empty ledger does the
    rest once, so that nothing moves when the first real correction comes.

    Raises:
        DraftError: the pieces cannot be made to agree; the sentence names the seam.
    """
    p = plan(garment)
    trued = true(
        p, garment.layout.ctrl, garment.layout.aux, {}, centre_lengths(garment, {}), whole=True
    )
    if trued.conflicts:
        raise DraftError(f"{garment.title}: {trued.conflicts[0].sentence()}")
    if not trued.steps and np.array_equal(trued.ctrl, garment.layout.ctrl):
        return garment
    return replace(garment, pieces=garment.layout.pieces_from(trued.ctrl, trued.aux))
