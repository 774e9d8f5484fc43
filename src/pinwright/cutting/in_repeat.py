"""Where the templates of a garment lie in the repeat, on one axis, link by link."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from pinwright.cutting.cuts import Cut
from pinwright.cutting.framing import Array
from pinwright.cutting.lay.placing import Axis, Phase
from pinwright.cutting.material import Material
from pinwright.cutting.rules import RULES, Link, Spot

AGREE = 0.05
"""Links that contradict each other by less (cm) are within what scissors can do."""

AXES: tuple[Axis, ...] = ("along", "across")


def wrapped(value: float, repeat: float) -> float:
    """The signed distance from a whole number of repeats, at most half a repeat."""
    return value - repeat * round(value / repeat)


@dataclass(frozen=True, slots=True, eq=False)
class Match:
    """Two points that must show the same of the repeat once laid; without ``b``, a line of it.

    ``a`` and ``b`` are keys of templates, ``at_a`` and ``at_b`` (2,) points on them, ``line`` the
    coordinate of a line of the repeat on the field.
    """

    rule: str
    axis: Axis
    a: str
    point_a: str
    at_a: Array
    b: str
    point_b: str
    at_b: Array
    line: float


@dataclass(frozen=True, slots=True, eq=False)
class _End:
    """One end of a link: the template (index, -1 the cloth itself) and the point on it."""

    node: int
    at: Array
    spot: Spot | None


Why = Literal["first", "together", "fold", "sides"]
"""Other rules were kept first, right and left are one template, the fold, or the sides differ."""


@dataclass(frozen=True, slots=True, eq=False)
class Missed:
    """A link that cannot be kept: its pieces by name, how far off (cm) they are, and why.

    ``b`` is empty where the link is to a line of the cloth. ``first`` are the rules that were kept
    before it on either piece.
    """

    link: Link
    garment: str
    a: str
    b: str
    off: float
    why: Why
    first: tuple[str, ...] = ()


class InRepeat:
    """The places of all templates in the repeat on one axis, settled link by link.

    Template i shows at its own coordinate u what the field shows at offset_i + u. Templates that
    are linked have a common root, and ``_step`` is the offset from it; node -1 is the cloth.
    """

    def __init__(self, cuts: Sequence[Cut], axis: Axis, cloth: Material) -> None:
        self.cuts, self.axis = cuts, axis
        self.k = AXES.index(axis)
        r = cloth.repeat
        self.repeat = r.along if axis == "along" else r.across
        edge = cloth.selvedge if cloth.lay == "open" else 0.0
        line = r.from_start if axis == "along" else r.from_selvedge - edge
        self.line = line % self.repeat
        n = len(cuts)
        self._root = [*range(n), -1]
        self._step = [0.0] * (n + 1)
        self._kept: dict[int, list[tuple[str, Spot]]] = {}
        self._first: dict[int, float] = {}
        self.matches: list[Match] = []
        self.kept: list[Link] = []
        self.missed: list[Missed] = []
        self._seen: set[tuple[object, ...]] = set()
        if axis == "across":
            for i, c in enumerate(cuts):
                if c.template.on_fold:  # it stands on the fold: y = 0 there and here
                    self._root[i] = -1

    def _find(self, node: int) -> tuple[int, float]:
        offset = 0.0
        while node != -1 and self._root[node] != node:
            offset += self._step[node]
            node = self._root[node]
        return node, offset

    def _ends(self, spot: Spot | None) -> list[_End]:
        if spot is None:
            at = np.zeros(2)
            at[self.k] = self.line
            return [_End(-1, at, None)]
        return [
            _End(i, p.frame(spot.at), spot)
            for i, c in enumerate(self.cuts)
            for p in c.parts
            if (p.piece.name, p.hand) == (spot.piece, spot.hand)
        ]

    def add(self, link: Link) -> None:
        """Keep a link, or note why it cannot be kept (``missed``)."""
        others = self._ends(link.b)
        for n, a in enumerate(self._ends(link.a)):
            b = others[min(n, len(others) - 1)] if others else None
            if b is None or self._known(link, a, b):
                continue
            self._join(link, a, b)

    def _known(self, link: Link, a: _End, b: _End) -> bool:
        """Whether the same was said already, as right and left do where both are one template."""
        key = (link.rule, a.node, b.node, round(a.at[self.k], 3), round(b.at[self.k], 3))
        known = key in self._seen
        self._seen.add(key)
        return known

    def _join(self, link: Link, a: _End, b: _End) -> None:
        k = self.k
        (root_a, step_a), (root_b, step_b) = self._find(a.node), self._find(b.node)
        # offset_b - offset_a must be this, to whole repeats
        wanted = float(a.at[k] - b.at[k])
        if root_a == root_b:
            off = abs(wrapped(step_a + wanted - step_b, self.repeat))
            if b.spot is None:  # half way between two lines is as good
                off = min(off, self.repeat / 2.0 - off)
            if off > AGREE:
                self.missed.append(self._missed(link, a, b, off))
                return
        elif root_a != -1:
            self._root[root_a] = root_b
            self._step[root_a] = step_b - wanted - step_a
        else:
            self._root[root_b] = root_a
            self._step[root_b] = step_a + wanted - step_b
        self.kept.append(link)
        for end in (a, b):
            if end.spot is not None:
                self._kept.setdefault(end.node, []).append((link.rule, end.spot))
                self._first.setdefault(end.node, float(end.at[k]))
        if a.node == b.node and not (self.axis == "across" and self._double(a.node)):
            return  # one piece of cloth: nothing to verify once it lies
        key = [("" if e.node < 0 else self.cuts[e.node].template.key) for e in (a, b)]
        name = ["a line of the cloth" if e.spot is None else e.spot.name for e in (a, b)]
        self.matches.append(
            Match(link.rule, self.axis, key[0], name[0], a.at, key[1], name[1], b.at, self.line)
        )

    def _double(self, node: int) -> bool:
        if node < 0:
            return False
        t = self.cuts[node].template
        return t.plies > 1 and not t.on_fold

    def _missed(self, link: Link, a: _End, b: _End, off: float) -> Missed:
        kept = [k for node in {a.node, b.node} for k in self._kept.get(node, [])]
        rules = {rule for rule, _ in kept}
        first = tuple(r for r in RULES if r in rules and r != link.rule)
        # the other hand of the same template, which had its turn before
        other = any(r == link.rule and s.hand != link.a.hand for r, s in kept)
        why: Why = "sides"
        if a.node == b.node or (other and self.cuts[a.node].template.side == "both"):
            why = "together"
        elif first:
            why = "first"
        elif self.axis == "across" and any(
            e.node >= 0 and self.cuts[e.node].template.on_fold for e in (a, b)
        ):
            why = "fold"
        titles = ["" if e.spot is None else _named(e, self.cuts) for e in (a, b)]
        garment = self.cuts[a.node].template.garment
        return Missed(link, garment, titles[0], titles[1], off, why, first)

    def phases(self, i: int) -> tuple[Phase, ...]:
        """Where template ``i`` must lie: the place nearest its first link where a line crosses it.

        Nothing for a template that no link holds, nor across for one that stands on the fold.
        """
        if i not in self._first or (self.axis == "across" and self.cuts[i].template.on_fold):
            return ()
        root, offset = self._find(i)
        if root != -1:
            # free as a whole: the first link of the root's own template lies on a line
            offset += self.line - self._first.get(root, 0.0)
        near = self._first[i]
        # the line crosses at u with offset + u = line, to whole repeats
        u = near - wrapped(offset + near - self.line, self.repeat)
        box = self.cuts[i].template.outline
        at = (box.min(axis=0) + box.max(axis=0)) / 2.0
        at[self.k] = u
        return (Phase(self.axis, (float(at[0]), float(at[1])), self.line),)


def _named(end: _End, cuts: Sequence[Cut]) -> str:
    """A piece by name, with its hand where the garment has it twice."""
    t = cuts[end.node].template
    title = (t.title or t.piece).removesuffix(f", {t.side}").lower()
    twice = any(p.piece.cut == "pair" for p in cuts[end.node].parts)
    return f"{end.spot.hand} {title}" if twice and end.spot is not None else title
