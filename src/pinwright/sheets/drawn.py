"""Pieces made ready for the table: how often each is cut, for which side, with its notches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cutline import cut_line
from pinwright.cutting.marking import THREADED, MarkingHabit
from pinwright.fitting.ledger import Fitted, Half, as_drafted
from pinwright.measures.units import LengthUnit
from pinwright.pattern.garment import Derive
from pinwright.pattern.hand import as_drawn
from pinwright.pattern.piece import Piece
from pinwright.sheets.notches import NotchMark, notches

Array = NDArray[np.float64]
Side = Literal["both", "right", "left"]

_LAYERS = ("shell", "facing", "lining", "interfacing", "pocketing")
_TOLD = {
    "shell": "cloth",
    "facing": "facing",
    "lining": "lining",
    "interfacing": "interfacing",
    "pocketing": "pocketing",
}


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands on every piece and page; ``fitting`` says which, ``date`` as it is to print.

    ``estimated`` names the body measures the draft used without their having been taped,
    ``remark`` is a sentence for the first page.
    """

    client: str
    order: str
    garment: str
    fitting: str
    date: str
    unit: LengthUnit = "cm"
    estimated: tuple[str, ...] = ()
    remark: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A piece as it goes on a sheet.

    ``cut_line`` closed (m, 2) cm, ``labels`` what it says, title first, ``before`` the piece as
    drafted, ``cloth`` the cloth as cut (None while it is not cut). ``mirror`` draws it in the
    mirror: the data of a pair serve both sides, and this side is the other hand. ``marking`` is
    how the workshop marks this cloth,
    ``old_notches`` the notches as they were on ``before``. ``already`` draws the edge of its cloth
    and no cuts: see :func:`as_cut`.
    """

    piece: Piece
    side: Side
    count: str
    cut_line: Array
    notches: tuple[NotchMark, ...]
    labels: tuple[str, ...]
    before: Piece | None = None
    cloth: shapely.Polygon | None = None
    mirror: bool = False
    unit: LengthUnit = "cm"
    marking: MarkingHabit = THREADED
    old_notches: tuple[NotchMark, ...] = ()
    already: bool = False

    @property
    def title(self) -> str:
        """Title with the side, for headings."""
        return self.labels[0] if self.side == "both" else f"{self.labels[0]}, {self.side}"


def alike(a: Piece, b: Piece) -> bool:
    """Whether two pieces have the same lines, to 1e-9 cm."""
    if a is b:
        return True
    return all(
        len(x) == len(y) and bool(np.abs(x - y).max() <= 1e-9) if len(x) else len(x) == len(y)
        for x, y in zip(numbers(a), numbers(b), strict=True)
    )


def marked_alike(
    right: Mapping[str, tuple[NotchMark, ...]], left: Mapping[str, tuple[NotchMark, ...]], name: str
) -> bool:
    """Whether a piece has its notches at the same places on both sides, to 1e-9 cm."""
    a, b = right.get(name, ()), left.get(name, ())
    return a is b or (
        len(a) == len(b)
        and all(float(np.abs(x.at - y.at).max()) <= 1e-9 for x, y in zip(a, b, strict=True))
    )


def numbers(p: Piece) -> tuple[Array, ...]:
    """What is drawn of a piece: points of its net line and inside it (n, 2), margins by edge."""
    net = np.concatenate([run.ctrl for e in p.edges for run in e.runs]).reshape(-1, 2)
    inner = [line.path.ctrl.reshape(-1, 2) for line in p.lines]
    points = [*(d.apex[None] for d in p.darts), *(m.at[None] for m in p.marks)]
    inside = np.concatenate([*inner, *points]) if inner or points else np.empty((0, 2))
    margins = np.array([[e.allowance, e.reserve] for e in p.edges])
    return net, inside, margins


def drawn(
    fitted: Fitted,
    heading: Heading,
    derive: Derive | None = None,
    cloths: Mapping[tuple[str, str], shapely.Polygon] | None = None,
    before: Fitted | None = None,
) -> tuple[Drawn, ...]:
    """Every piece of a garment for the table: its own, then those derived from them by rule.

    ``cloths`` gives cloth as cut by (piece, side), side "right", "left" or "both". A piece that
    is the same on both sides is drawn once. ``before`` is the garment as it was cut (the draft
    when it is not given).
    """
    cloths = cloths or {}
    was = before.right if before is not None else as_drafted(fitted.garment)
    was_left = before.left if before is not None else was
    old = _all(was, derive)
    old_left = old if was_left is was else _all(was_left, derive)
    right = _all(fitted.right, derive)
    left = right if fitted.left is fitted.right else _all(fitted.left, derive)
    marks_r = notches(fitted.right, right.values())
    marks_l = marks_r if left is right else notches(fitted.left, left.values())
    was_r = notches(was, old.values())
    was_l = was_r if was_left is was else notches(was_left, old_left.values())
    found: list[Drawn] = []
    for name, piece in right.items():
        other = left[name]
        cut = [cloths.get((name, s)) for s in ("right", "left")]
        same_cloth = cut[0] is cut[1] or (
            cut[0] is not None and cut[1] is not None and bool(cut[0].equals(cut[1]))
        )
        if alike(piece, other) and same_cloth and marked_alike(marks_r, marks_l, name):
            cloth = cut[0] or cloths.get((name, "both"))
            found.append(_one(piece, "both", marks_r, heading, old.get(name), cloth, was_r))
        else:
            for side, p, marks, c, o, w in (
                ("right", piece, marks_r, cut[0], old, was_r),
                ("left", other, marks_l, cut[1], old_left, was_l),
            ):
                c = c or cloths.get((name, "both"))
                found.append(_one(p, side, marks, heading, o.get(name), c, w))  # type: ignore[arg-type]
    return tuple(sorted(found, key=lambda d: _LAYERS.index(d.piece.layer)))


def _all(half: Half, derive: Derive | None) -> dict[str, Piece]:
    own = dict(half.by_name)
    if derive is not None:
        own |= {p.name: p for p in derive(half.by_name, replace(half.garment, facts=half.facts))}
    return own


def _one(
    piece: Piece,
    side: Side,
    marks: Mapping[str, tuple[NotchMark, ...]],
    heading: Heading,
    before: Piece | None,
    cloth: shapely.Polygon | None,
    was: Mapping[str, tuple[NotchMark, ...]],
) -> Drawn:
    count = cut_count(piece, side)
    name, _, note = piece.title.partition(" (")
    labels = (
        name[:1].upper() + name[1:],
        f"{_TOLD[piece.layer]}: {count}" + (f" ({note}" if note else ""),
        heading.client,
        f"order {heading.order}, {heading.garment}",
        f"{heading.fitting}, {heading.date}",
    )
    return Drawn(
        piece,
        side,
        count,
        cut_line(piece),
        marks.get(piece.name, ()),
        labels,
        before,
        cloth,
        side != "both" and side != as_drawn(piece),
        heading.unit,
        old_notches=was.get(piece.name, ()),
    )


def as_cut(d: Drawn, changed: bool) -> Drawn:
    """A piece for a pattern sheet: the same, or where its cloth is cut, that cloth, and marked so.

    ``changed`` says whether the fitting changed it, so that it stands on the recut sheet.
    """
    if d.cloth is None:
        return d
    name, *rest = d.labels
    said = "already cut" + (": change it by the recut sheet" if changed else "")
    ring = np.asarray(d.cloth.exterior.coords)
    return replace(d, cut_line=ring, labels=(name, said, *rest), already=True)


def cut_count(piece: Piece, side: Side) -> str:
    """How many to cut, in words."""
    n = piece.count
    if piece.cut == "pair":
        if side != "both":
            return f"cut {n}, {side}"
        return "cut 2, a pair" if n == 1 else f"cut {2 * n}, {_TIMES.get(n, str(n))} pairs"
    if piece.cut == "fold":
        if side == "both":
            return f"cut {n} on the fold"
        return f"{side} half, cut in one with the other" + (f", {n} times" if n > 1 else "")
    return f"cut {n}" if side == "both" else f"cut {n} if it is sewn to the {side}"


_TIMES = {2: "two", 3: "three", 4: "four"}
