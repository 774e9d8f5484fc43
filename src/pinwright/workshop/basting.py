"""What is cut and basted for the fitting, in which order, and what stands in for the rest.

Read from the pieces and the seam graph. Order, stitches and the way allowances lie are common
practice; stitches are ISO 4915's (class 200 by hand, type 101 single-thread chain), numbers from
memory.
Lengths in cm, of both sides of the garment together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import ceil
from typing import Any

from pinwright.cutting.corners import is_hem
from pinwright.cutting.sentences import listed
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Ref, Seam
from pinwright.workshop.basting_order import Role, in_order

BY_HAND = (
    "running stitch by hand (ISO 4915 class 200), or single-thread chainstitch by machine (ISO "
    "4915 type 101)"
)
CUTTING_OPEN = "open, to both sides"

PIN_EVERY = 4.0
"""A closing without buttons is pinned about every so many cm."""

SET_STITCH, DART_STITCH, SEAM_STITCH, HEM_STITCH, TRACE_STITCH = 0.6, 0.8, 1.0, 2.0, 2.0
"""Lengths of a basting stitch, cm: sleeve set in, dart, seam, hem, thread trace."""

STRETCHED: frozenset[Role] = frozenset({"inseam"})
"""Seams whose shorter side is stretched instead of the longer one eased in (common practice)."""

EASE = 0.05
"""A difference of less than this, cm, is not said to be eased in."""


@dataclass(frozen=True, slots=True)
class Eased:
    """``cm`` that ``of`` (titles of pieces) has more than what it is sewn to, between notches.

    ``stretched`` are the titles of the shorter pieces where they are stretched to the longer ones
    instead.
    """

    start: str
    end: str
    cm: float
    of: tuple[str, ...]
    stretched: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do: ``seams`` by name, ``pieces`` by title, ``lies`` the way the allowance goes.

    ``stitch_length`` and ``length`` (of basting) in cm; ``instead`` what replaces what is not cut
    yet (nothing where pins close it), ``open`` what stays open and over ``open_length`` cm,
    ``pins`` how many are left in.
    """

    what: str
    title: str
    seams: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    stitch: str = BY_HAND
    stitch_length: float = SEAM_STITCH
    lies: str = ""
    length: float = 0.0
    eased: tuple[Eased, ...] = ()
    open: str = ""
    open_length: float = 0.0
    instead: str = ""
    pins: int = 0


@dataclass(frozen=True, slots=True)
class Trace:
    """A line to be marked with thread: on which piece, why, its ``length`` on all cut pieces."""

    piece: str
    line: str
    why: str
    length: float


@dataclass(frozen=True, slots=True)
class BastingPlan:
    """The plan of a fitting. ``now`` and ``later`` are the titles of pieces by stage of cutting."""

    garment: str
    now: tuple[str, ...]
    later: tuple[str, ...]
    traces: tuple[Trace, ...]
    steps: tuple[Step, ...]
    cautions: tuple[str, ...]

    @property
    def length(self) -> float:
        """Basting in all, without thread traces, cm."""
        return sum(s.length for s in self.steps)

    @property
    def pins(self) -> int:
        """Pins left in the garment for the fitting."""
        return sum(s.pins for s in self.steps)

    def as_data(self) -> dict[str, Any]:
        """As plain data (cm), ready for JSON."""
        return {**asdict(self), "length": self.length, "pins": self.pins}


def cut_now(piece: Piece) -> bool:
    """Whether a piece is cut for the fitting: what follows another by rule never is."""
    return piece.stage == "fitting" and piece.follows is None


def basting_plan(garment: Garment, pieces: Sequence[Piece] | None = None) -> BastingPlan:
    """The plan for the fitting of a garment.

    ``pieces`` are its pieces as they are now and those derived from them; the garment's own
    unless given.
    """
    by_name = {p.name: p for p in garment.pieces} | {p.name: p for p in pieces or ()}
    every = tuple(by_name.values())
    now = tuple(p for p in every if cut_now(p))
    steps: list[Step] = [*_darts(now)]
    waiting: list[Step] = []
    for role, seam in in_order(garment):
        there = all(cut_now(by_name[r.piece]) for r in (*seam.a, *seam.b))
        if there:
            steps.append(_basted(role, seam, by_name))
        elif any(cut_now(by_name[r.piece]) for r in (*seam.a, *seam.b)):
            waiting.append(_instead(role, seam, by_name))
    steps += [*waiting, *_hems(now), *_closing(now, garment, by_name)]
    plan = BastingPlan(
        garment.title,
        tuple(p.title for p in now),
        tuple(p.title for p in every if not cut_now(p)),
        tuple(_traces(now, garment, by_name)),
        tuple(steps),
        (),
    )
    return BastingPlan(
        plan.garment, plan.now, plan.later, plan.traces, plan.steps, _cautions(plan.pins)
    )


def _halves(piece: Piece) -> int:
    """How often the drawn shape is there in the garment."""
    return piece.count * (1 if piece.cut == "single" else 2)


def _run(refs: Iterable[Ref], by_name: Mapping[str, Piece]) -> float:
    return sum(by_name[r.piece].edge(r.edge).length for r in refs)


def _titles(refs: Iterable[Ref], by_name: Mapping[str, Piece]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(by_name[r.piece].title for r in refs))


def _darts(now: Iterable[Piece]) -> Iterable[Step]:
    for p in now:
        for d in p.darts:
            a, b = p.mouth(d.name)
            leg = (float(_size(a - d.apex)) + float(_size(b - d.apex))) / 2.0
            after = p.edge(d.edge).runs[p.edge(d.edge).darts.index(d.name) + 1]
            t = after.start_tangent
            way = "downwards" if abs(float(t[1])) > abs(float(t[0])) else "towards the centre"
            yield Step(
                "dart",
                f"{d.name}, from mouth to point",
                (),
                (p.title,),
                stitch_length=DART_STITCH,
                lies=way,
                length=leg * _halves(p),
            )


def _size(v: Any) -> float:
    return float((v @ v) ** 0.5)


_LIES: Mapping[Role, str] = {
    "panel": CUTTING_OPEN,
    "yoke": "into the yoke",
    "shoulder": CUTTING_OPEN,
    "centre": CUTTING_OPEN,
    "side": CUTTING_OPEN,
    "inseam": CUTTING_OPEN,
    "crotch": "standing; not pressed, not snipped",
    "sleeve seam": CUTTING_OPEN,
    "sleeve": "into the sleeve; not pressed",
    "neck": "into the collar",
    "band": "into the band",
}


def _basted(role: Role, seam: Seam, by_name: Mapping[str, Piece]) -> Step:
    # a cap is basted to its armhole, whose length it is given
    side = seam.b if role == "sleeve" else seam.a
    length = _run(side, by_name)
    left = _fly(seam, by_name)
    return Step(
        role,
        seam.title,
        (seam.name,),
        _titles((*seam.a, *seam.b), by_name),
        stitch_length=SET_STITCH if role == "sleeve" else SEAM_STITCH,
        lies=_LIES[role],
        length=(length - left) * (1 if seam.mirror else 2),
        eased=_eased(seam, by_name, role in STRETCHED),
        open="the fly, from the waist" if left > 0.0 else "",
        open_length=left,
    )


def _eased(seam: Seam, by_name: Mapping[str, Piece], stretched: bool = False) -> tuple[Eased, ...]:
    found = []
    for i, s in enumerate(seam.stretches):
        if abs(s.planned) > EASE:
            full, scant = (seam.a, seam.b) if s.planned > 0.0 else (seam.b, seam.a)
            start, end = seam.stations[i].name, seam.stations[i + 1].name
            short = _titles(scant, by_name) if stretched else ()
            found.append(Eased(start, end, abs(s.planned), _titles(full, by_name), short))
    return tuple(found)


def _fly(seam: Seam, by_name: Mapping[str, Piece]) -> float:
    """How much of a centre seam its fly leaves open, cm: from the end of the fly to the waist."""
    ends = [s for s in seam.stations if "fly" in s.name]
    if not seam.mirror or not ends:
        return 0.0
    edge = by_name[seam.a[0].piece].edge(seam.a[0].edge)
    at = edge.distance(ends[0].a)
    top = edge.distance(seam.stations[0].a)
    return abs(at - top)


def _instead(role: Role, seam: Seam, by_name: Mapping[str, Piece]) -> Step:
    """What stands in for a seam to a piece that is cut only after the fitting."""
    there = [r for r in (*seam.a, *seam.b) if cut_now(by_name[r.piece])]
    gone = [r for r in (*seam.a, *seam.b) if not cut_now(by_name[r.piece])]
    length = 2.0 * _run(gone, by_name)
    missing = ", ".join(t.lower() for t in _titles(gone, by_name))
    by: Mapping[str, str] = {
        "band": "a tape as long as the band's seam and its overlap, basted along the net line",
        "neck": "a straight strip of cloth, basted along the net line of the neck",
    }
    return Step(
        role,
        seam.title,
        (seam.name,),
        _titles(there, by_name),
        lies="left standing",
        length=length,
        eased=_eased(seam, by_name),
        instead=f"instead of the {missing}: " + by.get(role, "a line of basting on the net line"),
    )


def _hems(now: Sequence[Piece]) -> Iterable[Step]:
    for p in now:
        for e in p.edges:
            if is_hem(e) and e.allowance + e.reserve > 0.0:
                yield Step(
                    "hem",
                    f"{e.name.replace('_', ' ')}, turned up on the thread line",
                    (),
                    (p.title,),
                    stitch_length=HEM_STITCH,
                    lies="not pressed",
                    length=e.length * _halves(p),
                )


def _closing(
    now: Sequence[Piece], garment: Garment, by_name: Mapping[str, Piece]
) -> Iterable[Step]:
    for p in now:
        buttons = sum(m.kind == "button" for m in p.marks)
        if buttons:
            yield Step(
                "closing",
                "closed with pins at the button marks, centre on centre",
                pieces=(p.title,),
                stitch="pins",
                stitch_length=0.0,
                pins=buttons,
            )
    for seam in garment.seams:
        left = _fly(seam, by_name)
        if left > 0.0:
            yield Step(
                "closing",
                "fly closed with pins, centre on centre",
                (seam.name,),
                _titles(seam.a, by_name),
                stitch="pins",
                stitch_length=0.0,
                pins=ceil(left / PIN_EVERY),
            )


def _traces(
    now: Sequence[Piece], garment: Garment, by_name: Mapping[str, Piece]
) -> Iterable[Trace]:
    later: dict[tuple[str, str], list[str]] = {}
    for s in garment.seams:
        gone = [by_name[r.piece] for r in (*s.a, *s.b) if not cut_now(by_name[r.piece])]
        for r in (*s.a, *s.b) if gone else ():
            later.setdefault((r.piece, r.edge), []).extend(p.title.lower() for p in gone)
    why = {
        "balance": "level line",
        "crease": "crease",
        "plumb": "plumb line",
        "opening": "not cut yet",
        "stitch": "place of the pocket",
        "fold": "fold",
    }
    for p in now:
        n = _halves(p)
        for e in p.edges:
            name = e.name.replace("_", " ")
            if p.cut == "fold" and e.name == p.fold:
                yield Trace(p.title, name, "centre line, on the fold", e.length * n / 2)
            elif is_hem(e):
                yield Trace(p.title, name, "line of the hem", e.length * n)
            elif e.reserve > 0.0:
                yield Trace(p.title, name, "net line with reserve beyond it", e.length * n)
            elif (p.name, e.name) in later:
                what = listed(tuple(dict.fromkeys(later[p.name, e.name])))
                yield Trace(p.title, name, f"net line; {what} set on later", e.length * n)
        for line in p.lines:
            run = line.path.end - line.path.start
            upright = line.kind == "balance" and abs(float(run[1])) > abs(float(run[0]))
            told = "centre line" if upright else why[line.kind]
            yield Trace(p.title, line.name.replace("_", " "), told, line.path.length * n)


def _cautions(pins: int) -> tuple[str, ...]:
    left = f", and the {pins} pins left in," if pins else ""
    return (
        f"Count the needles{left} before the fitting and after it; none may stay in the garment.",
        "No iron over basting, pins or chalk. Try heat, steam and chalk on a scrap first.",
        "Switch the iron off when the client comes in.",
    )
