"""Truing: after the sum of the corrections, every seam, dart and run-through agrees again.

Truing is a pure function of the draft and the summed ledger, never of the last trued state.
Each seam holds at its anchor; what is missing at an end is given by the piece that gives there,
whose net line is trimmed or continued along its own curve, so the length follows exactly. Corners
then share their kink, the sleeve follows the armhole, the collar the neck, and trouser top and
band settle between them. The chain is not cyclic once each seam gives on its own edge; what the
handles of one corner do to the length of the next seam is small, and repeating the whole sweep
removes it (a block Gauss-Seidel iteration; measured: two to nine sweeps to 1e-8 cm).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import atan2, hypot, pi, radians

import numpy as np
from numpy.typing import NDArray

from pinwright.fitting.plan import (
    CornerPlan,
    DartPlan,
    Ids,
    JunctionPlan,
    Part,
    Plan,
    SeamPlan,
    Turn,
    lengthen_at_fold,
    lengthen_band,
    widen_sleeve,
)
from pinwright.fitting.response import Response, follow_shares
from pinwright.fitting.slide import TRIM, open_mouth, slide_end
from pinwright.geometry.arclength import length
from pinwright.geometry.cubic import lengths
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array
from pinwright.pattern.seam import Give, ease_limits

SMALL = 1e-8
"""Differences (cm) and kinks (radians) below this are left alone: a true garment is not touched."""

SWEEPS = 40
SLEEVE_LIMIT = (-4.0, 5.0)
BAND_DART_LIMIT = 3.0


@dataclass(frozen=True, slots=True)
class Step:
    """One thing truing did: seam, piece, where, and how much (cm, + longer)."""

    seam: str
    piece: str
    where: str
    amount: float


@dataclass(frozen=True, slots=True)
class Conflict:
    """A seam that cannot be made to agree: wanted and available change in cm, and what binds."""

    seam: str
    wanted: float
    available: float
    binds: str
    words: str = ""

    def sentence(self) -> str:
        """The conflict in one sentence; ``words`` where it is no matter of a seam's end."""
        return self.words or (
            f"The {self.seam.replace('_', ' ')} seam would need {abs(self.wanted):.1f} cm "
            f"{'more' if self.wanted > 0 else 'less'} at {self.binds}, where "
            f"{abs(self.available):.1f} cm is the most that can be given."
        )


@dataclass(frozen=True, eq=False)
class Trued:
    """The present control points (n, 4, 2), the inside (m, 2), and how truing got there."""

    ctrl: Array
    aux: Array
    lengths: Array
    steps: tuple[Step, ...]
    conflicts: tuple[Conflict, ...]
    sweeps: int
    taken: Mapping[str, tuple[float, ...]] = field(default_factory=dict)


@dataclass
class _State:
    plan: Plan
    ctrl: Array
    aux: Array
    lens: Array
    live: NDArray[np.bool_]
    fresh: NDArray[np.bool_]
    eased: Mapping[str, float]
    given: dict[tuple[str, str], float] = field(default_factory=dict)
    conflicts: dict[str, Conflict] = field(default_factory=dict)
    kinks: dict[int, float] = field(default_factory=dict)
    moved: float = 0.0

    def measure(self, rows: Ids | list[int]) -> None:
        """Rows that changed: their lengths anew, and whatever touches them to be looked at."""
        if len(rows) <= 3:
            for row in rows:
                self.lens[row] = length(self.ctrl[row])
        else:
            self.lens[rows] = lengths(self.ctrl[rows])
        self.live[rows] = True
        self.fresh[rows] = True

    def touched(self, *rows: Ids) -> bool:
        """Whether any of these rows has changed since they last agreed."""
        return any(bool(self.live[r].any()) for r in rows)

    def give(self, what: tuple[str, str], amount: float) -> None:
        self.given[what] = self.given.get(what, 0.0) + amount
        self.moved = max(self.moved, abs(amount))


def true(
    plan: Plan,
    ctrl: Array,
    aux: Array,
    mouths: Mapping[EdgeKey, float],
    centre_lengths: Mapping[str, float],
    whole: bool = False,
    eased: Mapping[str, float] | None = None,
) -> Trued:
    """Make a half garment agree with itself.

    Only what the corrections touched, and what that touches in turn, is looked at; ``whole`` has
    every seam and corner looked at, as a fresh draft needs.

    Args:
        plan: the compiled draft.
        ctrl: draft plus summed responses, (n, 4, 2); not changed.
        aux: the same for what is drawn inside, (m, 2).
        mouths: summed changes of dart intakes, cm, by (piece, dart).
        centre_lengths: wanted lengths (cm) of the seams between right and left halves.
        eased: what more the half front and half back are to ease or gather into the band, cm.
    """
    changed = np.flatnonzero((ctrl != plan.layout.ctrl).any(axis=(1, 2)))
    lens = plan.base_lengths.copy()
    lens[changed] = lengths(ctrl[changed])
    live = np.ones(len(ctrl), dtype=bool) if whole else np.zeros(len(ctrl), dtype=bool)
    live[changed] = True
    for dart in plan.darts:
        if (aux[dart.apex] != plan.layout.aux[dart.apex]).any():
            live[[dart.before, dart.after]] = True
    state = _State(plan, ctrl.copy(), aux.copy(), lens, live, np.zeros_like(live), eased or {})
    for dart in plan.darts:
        amount = mouths.get((dart.piece, dart.dart), 0.0)
        if amount and not _closed_past_nothing(state, dart, amount):
            _deepen(state, dart.before, dart.after, dart.apex, amount)
    sweeps = 0
    while sweeps < SWEEPS:
        sweeps += 1
        state.moved = 0.0
        state.fresh[:] = False
        for sp in plan.seams:
            if sp.seam.kind in ("plain", "yoke"):
                for part in sp.parts:
                    if state.touched(part.a, part.b):
                        _settle(state, sp, part)
            elif sp.seam.kind == "centre":
                _settle_centre(state, sp, centre_lengths.get(sp.seam.name))
        for junction in plan.junctions:
            if state.live[list(junction.rows)].any():
                _run_through(state, junction)
        for dart in plan.darts:
            if state.live[dart.before] or state.live[dart.after]:
                _equal_legs(state, dart)
                _run_through_dart(state, dart)
        for sp in plan.seams:
            follow = _FOLLOWERS.get(sp.seam.kind)
            if follow is not None and state.touched(sp.a, sp.b):
                follow(state, sp)
        if state.moved <= SMALL:
            break
        state.live[:] = state.fresh
    else:
        state.conflicts["truing"] = Conflict(
            "truing",
            state.moved,
            0.0,
            "the seams",
            "The seams could not all be made to agree at once; try a smaller amount.",
        )
    steps = tuple(
        Step(seam, where.split("|")[0], where.split("|")[-1], amount)
        for (seam, where), amount in state.given.items()
        if abs(amount) > 1e-7
    )
    return Trued(
        state.ctrl,
        state.aux,
        state.lens,
        steps,
        tuple(state.conflicts.values()),
        sweeps,
        {sp.seam.name: _taken_up(state, sp) for sp in plan.seams},
    )


def _taken_up(state: _State, sp: SeamPlan) -> tuple[float, ...]:
    """By how much ease or gathers depart from their planned amount in each stretch, cm.

    In a sleeve it is the stretch next to the shoulder that takes it, in the waist seam each
    stretch, elsewhere the stretch at the end of each part.
    """
    names = [s.name for s in sp.seam.stations]
    last = len(names) - 1
    taken = [0.0] * last
    if sp.seam.mirror:
        return tuple(taken)
    at = names.index(sp.seam.anchor)
    if sp.seam.kind == "cap":
        top = names.index("shoulder")
        spots = [(0, top, top - 1), (top, last, top)]
    elif sp.seam.kind == "band":
        side = names.index("side")
        spots = [(0, side, 0), (side, last, last - 1)]
    elif sp.seam.kind == "neck":
        spots = [(0, last, last - 1)]
    else:
        spots = [(lo, hi, k) for lo, hi, k in ((0, at, 0), (at, last, last - 1)) if lo < hi]
    for lo, hi, where in spots:
        a = sp.a[sp.bounds_a[lo] : sp.bounds_a[hi]]
        b = sp.b[sp.bounds_b[lo] : sp.bounds_b[hi]]
        stretches = sp.seam.stretches[lo:hi]
        planned = sum(s.planned for s in stretches)
        more = 0.0
        if sp.seam.kind == "band":
            more = state.eased.get("front" if lo == 0 else "back", 0.0)
        low, high = ease_limits(stretches)
        diff = float(state.lens[a].sum() - state.lens[b].sum())
        off = min(max(diff, low + more), high + more) - planned
        taken[where] += off if abs(off) > SMALL else 0.0
    return tuple(taken)


def _closed_past_nothing(state: _State, dart: DartPlan, amount: float) -> bool:
    """Whether a dart would be let out by more than it takes; then the correction is in conflict."""
    gap = state.ctrl[dart.after, 0] - state.ctrl[dart.before, 3]
    width = hypot(gap[0], gap[1])
    if amount >= -width:
        return False
    state.conflicts[f"closed {dart.before}"] = Conflict(
        dart.dart,
        amount,
        width,
        "the dart's mouth",
        f"The {dart.dart} of the {dart.piece} takes {width:.1f} cm; it cannot be let out by "
        f"{-amount:.1f} cm.",
    )
    return True


def _deepen(
    state: _State, before: int, after: int, apex: int, amount: float, unequal: float | None = None
) -> bool:
    """Change what a dart takes; False (and a conflict) when its runs are too short for it."""
    state.conflicts.pop(f"dart {before}", None)
    sizes = (float(state.lens[before]), float(state.lens[after]))
    opened = open_mouth(
        state.ctrl[before], state.ctrl[after], state.aux[apex], amount, sizes, unequal
    )
    if opened is None:
        room = 2 * TRIM * min(sizes)
        state.conflicts[f"dart {before}"] = Conflict(
            "dart",
            amount,
            room,
            "the dart's mouth",
            f"The edge beside a dart's mouth is too short for the dart to change by "
            f"{abs(amount):.1f} cm.",
        )
        return False
    a, b, size_a, size_b = opened
    state.ctrl[before], state.ctrl[after] = a, b
    state.lens[before], state.lens[after] = size_a, size_b
    for flags in (state.live, state.fresh):
        flags[before] = flags[after] = True
    return True


def _equal_legs(state: _State, dart: DartPlan) -> None:
    """Make a dart's legs as equal as drafted, its point and what it takes from the seam kept."""

    def unequal(ctrl: Array, apex: Array) -> float:
        a, b = ctrl[dart.before, 3] - apex, ctrl[dart.after, 0] - apex
        return hypot(a[0], a[1]) - hypot(b[0], b[1])

    base = state.plan.layout
    want = unequal(base.ctrl, base.aux[dart.apex])
    off = unequal(state.ctrl, state.aux[dart.apex]) - want
    if abs(off) > SMALL:
        _deepen(state, dart.before, dart.after, dart.apex, 0.0, want)
        state.moved = max(state.moved, abs(off))


def _settle(state: _State, sp: SeamPlan, part: Part) -> None:
    """Bring one part of a seam to its planned difference by sliding the ends that give."""
    state.conflicts.pop(f"{sp.seam.name} {part.at}", None)
    diff = float(state.lens[part.a].sum() - state.lens[part.b].sum())
    left = diff - min(max(diff, part.low), part.high)
    if abs(left) <= SMALL:
        return
    for give in part.gives:
        left -= _slide(state, sp, give, left)
        if abs(left) <= SMALL:
            return
    if abs(left) > 1e-6:
        name = sp.seam.name
        given = _given(state, name)
        state.conflicts[f"{name} {part.at}"] = Conflict(
            name, given + left, given, _end_name(sp, part.at)
        )


def _given(state: _State, seam: str) -> float:
    """What the gives of a seam have given so far, cm."""
    return sum(amount for (name, _), amount in state.given.items() if name == seam)


def _slide(state: _State, sp: SeamPlan, give: Give, left: float) -> float:
    """Slide one give's end; returns the part of ``left`` (length a minus b) that it took up."""
    rows = sp.b if give.on == "b" else sp.a
    refs = sp.seam.b if give.on == "b" else sp.seam.a
    ref = refs[-1] if give.at == "end" else refs[0]
    key = (ref.piece, ref.edge)
    last = (give.at == "end") != ref.reverse
    row = int(rows[-1] if give.at == "end" else rows[0])
    what = (sp.seam.name, f"{ref.piece}|{ref.edge} {give.at}")
    wish = left if give.on == "b" else -left
    done = state.given.get(what, 0.0)
    step = min(max(done + wish, give.low), give.high) - done
    room = float(state.lens[row])
    step = max(step, -0.9 * room)
    if abs(step) <= SMALL:
        return 0.0
    _slide_corner(state, key, row, last, step)
    state.give(what, step)
    return step if give.on == "b" else -step


def _slide_corner(state: _State, key: EdgeKey, row: int, last: bool, step: float) -> None:
    old = state.ctrl[row, 3 if last else 0].copy()
    state.ctrl[row] = slide_end(state.ctrl[row], step, last)
    v = state.ctrl[row, 3 if last else 0] - old
    other, other_last = state.plan.layout.neighbours[key, last]
    rows, shares = follow_shares(state.plan.layout, other, other_last, v)
    state.ctrl[rows] += shares
    # the shared corner is one point, to the last bit
    end = state.plan.layout.run_end(other, other_last)
    state.ctrl[end.span, 3 if end.last else 0] = state.ctrl[row, 3 if last else 0]
    state.lens[row] += step
    state.measure(rows)


def _settle_centre(state: _State, sp: SeamPlan, wanted: float | None) -> None:
    """A seam between the two halves of the body: its own length is what must come out."""
    state.conflicts.pop(sp.seam.name, None)
    if wanted is None:
        return
    left = float(state.lens[sp.a].sum()) - wanted
    if abs(left) <= SMALL:
        return
    for give in sp.parts[0].gives if len(sp.parts) == 1 else _all_gives(sp):
        left -= _slide(state, sp, give, left)
        if abs(left) <= SMALL:
            return
    if abs(left) > 1e-6:
        name = sp.seam.name
        given = _given(state, name)
        state.conflicts[name] = Conflict(name, given - left, given, _end_name(sp, sp.parts[0].at))


def _all_gives(sp: SeamPlan) -> tuple[Give, ...]:
    return tuple(sorted((g for p in sp.parts for g in p.gives), key=lambda g: g.rank))


def _end_name(sp: SeamPlan, at: str) -> str:
    station = sp.seam.stations[0 if at == "start" else -1]
    return f"the {station.name.replace('_', ' ')} end"


def interior_angle(ctrl: Array, c: CornerPlan) -> float:
    """Interior angle in radians at a corner, between the two edges that meet there."""
    e, x = ctrl[c.row], ctrl[c.across]
    if c.last:
        ex, ey = e[2, 0] - e[3, 0], e[2, 1] - e[3, 1]
    else:
        ex, ey = e[1, 0] - e[0, 0], e[1, 1] - e[0, 1]
    if c.across_last:
        xx, xy = x[2, 0] - x[3, 0], x[2, 1] - x[3, 1]
    else:
        xx, xy = x[1, 0] - x[0, 0], x[1, 1] - x[0, 1]
    # the interior lies anticlockwise from the outgoing edge to the (reversed) incoming one
    out, back = ((xx, xy), (ex, ey)) if c.last else ((ex, ey), (xx, xy))
    angle = atan2(out[0] * back[1] - out[1] * back[0], out[0] * back[0] + out[1] * back[1])
    return angle if angle >= 0 else angle + 2 * pi


def junction_kink(ctrl: Array, j: JunctionPlan) -> float:
    """By how many radians the interior angles exceed what lets the edge run through."""
    total = interior_angle(ctrl, j.a) + (interior_angle(ctrl, j.b) if j.b else 0.0)
    return total - radians(j.angle)


def _run_through(state: _State, j: JunctionPlan) -> None:
    kink = junction_kink(state.ctrl, j)
    if abs(kink) <= SMALL:
        return
    shares = ((j.a, j.share), (j.b, 1 - j.share)) if j.b else ((j.a, 1.0),)
    for corner, share in shares:
        if corner is not None and share:
            _turn(state, corner.turn, -corner_sign(corner) * kink * share)


def corner_sign(c: CornerPlan) -> float:
    """+1 when an anticlockwise turn of the corner's handle opens its interior angle."""
    return 1.0 if c.last else -1.0


def _turn(state: _State, turn: Turn, angle: float) -> None:
    """Turn the end of a run about itself by ``angle`` radians (to first order)."""
    state.ctrl[turn.rows] += angle * turn.shares
    state.measure(turn.rows)
    state.moved = max(state.moved, abs(angle))


def dart_kink(ctrl: Array, before: int, after: int, apex: Array) -> float:
    """By how many radians the seam breaks where a closed dart's legs meet."""
    a, b = ctrl[before, 3], ctrl[after, 0]
    back = ctrl[before, 2] - a
    leg_a, leg_b = apex - a, apex - b
    out = ctrl[after, 1] - b
    one = atan2(leg_a[0] * back[1] - leg_a[1] * back[0], float(leg_a @ back))
    two = atan2(out[0] * leg_b[1] - out[1] * leg_b[0], float(out @ leg_b))
    return (one if one >= 0 else one + 2 * pi) + (two if two >= 0 else two + 2 * pi) - pi


def _run_through_dart(state: _State, dart: DartPlan) -> None:
    kink = dart_kink(state.ctrl, dart.before, dart.after, state.aux[dart.apex])
    if abs(kink) <= SMALL:
        return
    kink *= _quickened(state, dart.before, kink)
    rows = np.concatenate([dart.turn_before.rows, dart.turn_after.rows])
    sewn = float(state.lens[rows].sum())
    _turn(state, dart.turn_before, -kink / 2)
    _turn(state, dart.turn_after, kink / 2)
    # bending the two runs must not change what the dart takes from the seam
    longer = float(state.lens[rows].sum()) - sewn
    if abs(longer) > SMALL / 10:
        _deepen(state, dart.before, dart.after, dart.apex, longer)


def _quickened(state: _State, row: int, kink: float) -> float:
    """Factor for a dart's turn: the share of a kink a sweep leaves, it leaves again (Aitken)."""
    before = state.kinks.get(row)
    state.kinks[row] = kink
    left = kink / before if before else 0.0
    return 1.0 / (1.0 - left) if abs(left) < 0.5 else 1.0


def _apply(state: _State, response: Response, amount: float) -> None:
    rows = response.rows
    state.ctrl[rows] += amount * response.ctrl[rows]
    if response.aux.any():
        state.aux += amount * response.aux
    state.measure(rows)


def _solve(
    state: _State,
    response: Response,
    rows: Ids,
    want: float,
    low: float,
    high: float,
    done: float,
) -> tuple[float, float]:
    """Amount of a response that changes the length of ``rows`` by ``want``, and what is left."""
    moved = response.rows
    watch = np.intersect1d(moved, rows)
    base = state.ctrl[watch]
    push = response.ctrl[watch]
    before = float(state.lens[watch].sum())

    def gain(x: float) -> float:
        return float(lengths(base + x * push).sum()) - before

    x0, f0 = 0.0, -want
    x1 = want
    for _ in range(12):
        x1 = min(max(x1, low - done), high - done)
        f1 = gain(x1) - want
        if abs(f1) <= SMALL / 10 or abs(f1 - f0) < 1e-14:
            break
        x2 = x1 - f1 * (x1 - x0) / (f1 - f0)
        x0, f0, x1 = x1, f1, x2
    x1 = min(max(x1, low - done), high - done)
    return x1, want - gain(x1)


def _follow_armhole(state: _State, sp: SeamPlan) -> None:
    """Each half of the sleeve cap takes the armhole's change: first ease, then sleeve width."""
    names = [s.name for s in sp.seam.stations]
    top = names.index("shoulder")
    last = len(names) - 1
    for part, lo, hi in (("front", 0, top), ("back", top, last)):
        state.conflicts.pop(f"armhole {part}", None)
        a = sp.a[sp.bounds_a[lo] : sp.bounds_a[hi]]
        b = sp.b[sp.bounds_b[lo] : sp.bounds_b[hi]]
        stretches = sp.seam.stretches[lo:hi]
        low, high = ease_limits(stretches)
        ease = float(state.lens[a].sum() - state.lens[b].sum())
        want = min(max(ease, low), high) - ease
        if abs(want) <= SMALL:
            continue
        what = (sp.seam.name, f"sleeve|{part} width at the underarm")
        done = state.given.get(what, 0.0)
        response = widen_sleeve(state.plan.garment, part)
        x, left = _solve(state, response, a, want, *SLEEVE_LIMIT, done)
        if abs(x) > SMALL:
            _apply(state, response, x)
            state.give(what, x)
        if abs(left) > 1e-6:
            given = state.given.get(what, 0.0)
            state.conflicts[f"armhole {part}"] = Conflict(
                sp.seam.name, given + left, given, f"the {part} half of the sleeve's underarm"
            )


def _follow_neck(state: _State, sp: SeamPlan) -> None:
    state.conflicts.pop("neck", None)
    diff = float(state.lens[sp.a].sum() - state.lens[sp.b].sum())
    low = sum(p.low for p in sp.parts)
    high = sum(p.high for p in sp.parts)
    want = min(max(diff, low), high) - diff
    if abs(want) <= SMALL:
        return
    collar = sp.seam.a[0].piece
    what = (sp.seam.name, f"{collar}|centre back")
    done = state.given.get(what, 0.0)
    response = lengthen_at_fold(state.plan.garment, collar)
    x, left = _solve(state, response, sp.a, want, -6.0, 6.0, done)
    _apply(state, response, x)
    state.give(what, x)
    if abs(left) > 1e-6:
        given = state.given.get(what, 0.0)
        state.conflicts["neck"] = Conflict("neck", given + left, given, "the collar's centre back")


def _settle_band(state: _State, sp: SeamPlan) -> None:
    """Trouser top and band: the planned ease may move in its range, then darts, then the band."""
    side = [s.name for s in sp.seam.stations].index("side")
    last = len(sp.seam.stations) - 1
    for part, lo, hi in (("front", 0, side), ("back", side, last)):
        a = sp.a[sp.bounds_a[lo] : sp.bounds_a[hi]]
        b = sp.b[sp.bounds_b[lo] : sp.bounds_b[hi]]
        stretches = sp.seam.stretches[lo:hi]
        low, high = ease_limits(stretches)
        state.conflicts.pop(f"band {part}", None)
        low += state.eased.get(part, 0.0)
        high += state.eased.get(part, 0.0)
        ease = float(state.lens[a].sum() - state.lens[b].sum())
        left = ease - min(max(ease, low), high)
        if abs(left) <= SMALL:
            continue
        for dart in state.plan.darts:
            if dart.piece == part and dart.before in a and abs(left) > SMALL:
                what = (sp.seam.name, f"{part}|{dart.dart}")
                done = state.given.get(what, 0.0)
                gap = state.ctrl[dart.before, 3] - state.ctrl[dart.after, 0]
                least = -max(0.0, float(np.hypot(*gap)) - 0.2)
                step = min(max(left, least, -BAND_DART_LIMIT - done), BAND_DART_LIMIT - done)
                room = 0.45 * float(min(state.lens[dart.before], state.lens[dart.after]))
                step = min(step, 2 * room)
                if abs(step) > SMALL and _deepen(state, dart.before, dart.after, dart.apex, step):
                    state.give(what, step)
                    left -= step
        if abs(left) > SMALL:
            response = lengthen_band(state.plan.garment, part)
            what = (sp.seam.name, f"band|{part} stretch")
            done = state.given.get(what, 0.0)
            x, left = _solve(state, response, b, left, -8.0, 8.0, done)
            _apply(state, response, x)
            state.give(what, x)
        if abs(left) > 1e-6:
            state.conflicts[f"band {part}"] = Conflict("waist", left, 0.0, f"the {part} waist")


_FOLLOWERS = {"cap": _follow_armhole, "neck": _follow_neck, "band": _settle_band}
"""Seams whose one side follows the other by a rule of its own."""
