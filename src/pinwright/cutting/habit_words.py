"""What the workshop's habits do that a cutter should hear: one sentence for all pieces alike.

cm throughout.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from pinwright.cutting.allowances import RULES, kinds
from pinwright.cutting.keys import Spot
from pinwright.cutting.sentences import listed
from pinwright.cutting.turn_up import turn_up_folds
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

FALSIFIES = 1.0
"""More reserve than about this on fork, armhole or neck falsifies the fitting (common practice)."""


def narrow(pieces: Iterable[Piece], garment: Garment, wide: Mapping[Spot, float]) -> list[str]:
    """Allowances of ``wide`` (cm by edge) that are less than the seam can be sewn with."""
    found: dict[tuple[float, float], list[Spot]] = {}
    for p in pieces:
        for name, kind in kinds(garment, p).items():
            folds = turn_up_folds(p, p.edge(name))
            cm, least = wide.get((p.name, name)), RULES[kind].least + (folds[-1] if folds else 0.0)
            if cm is not None and kind != "fold" and cm < least:
                found.setdefault((cm, least), []).append((_called(p), name))
    return [
        f"An allowance of {cm:g} cm is less than the {least:g} cm it can be sewn with"
        + (" unless the edge is bound" if cm == 0.0 else "")
        + f": {_places(spots)}."
        for (cm, least), spots in found.items()
    ]


def falsified(
    pieces: Iterable[Piece],
    garment: Garment,
    keeps: Mapping[Spot, float],
    ends: Mapping[Spot, str],
) -> list[str]:
    """Reserves of ``keeps`` (cm by edge) that cannot be kept, and those that spoil the fitting.

    ``ends`` are the edges that end at a fork, with its point.
    """
    on_fold: list[Spot] = []
    found: dict[str, list[Spot]] = {}
    for p in pieces:
        by_kind = kinds(garment, p)
        for e in p.edges:
            kind = by_kind[e.name]
            if kind == "fold" and keeps.get((p.name, e.name), 0.0) > 0.0:
                on_fold.append((_called(p), e.name))
                continue
            if p.layer != "shell" or p.follows is not None:
                continue
            beyond = max(e.allowance - RULES["armhole"].high, 0.0)
            fork = ends.get((p.name, e.name))
            if fork is not None:
                much = float(e.reserve_at(np.array([e.distance(fork)]))[0]) + beyond
                where = f"fork end of {e.name}"
            elif kind in ("armhole", "neck"):
                much, where = e.reserve + beyond, e.name
            else:
                continue
            if much > FALSIFIES + 1e-9:
                found.setdefault(f"{much:g} cm", []).append((_called(p), where))
    said = [f"No reserve can be kept on the fold: {_places(on_fold)}."] if on_fold else []
    if found:
        amounts = [f"{cm} ({_places(spots)})" for cm, spots in found.items()]
        verb = "falsifies" if len(amounts) == 1 else "falsify"
        said.append(
            f"{listed(amounts)} more than the seam needs {verb} the fitting: uncut cloth there "
            f"holds the garment off the body. Keep {FALSIFIES:g} cm at most, or snip it before the "
            "fitting."
        )
    return said


def _called(piece: Piece) -> str:
    return piece.title.partition(" (")[0].lower()


def _places(spots: Iterable[Spot]) -> str:
    """Edges of pieces in words, those that are called alike together: "neck of front and yoke"."""
    by_edge: dict[str, list[str]] = {}
    for title, edge in spots:
        by_edge.setdefault(edge.replace("_", " "), []).append(title)
    return "; ".join(f"{edge} of {listed(titles)}" for edge, titles in by_edge.items())
