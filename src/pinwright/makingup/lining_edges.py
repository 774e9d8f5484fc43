"""Edges of a lining drawn from the shell's: moved, lengthened, shortened, stations kept. In cm."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from pinwright.draft.features.bust_dart import closing
from pinwright.errors import DraftError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Piece

SEAM = 1.0
"""Seam allowance of a lining (common practice)."""

SNAP = 1e-6
"""A cut this near a joint, cm, is made at the joint."""

LEAST_LEFT = 1.0
"""What must be left of a run that is shortened."""


@dataclass(frozen=True, slots=True, eq=False)
class Draught:
    """An edge while a lining is drawn: ``runs`` as in an Edge, ``stations`` as (run, cm along)."""

    runs: tuple[Path, ...]
    darts: tuple[str, ...] = ()
    stations: Mapping[str, tuple[int, float]] = field(default_factory=dict)

    @property
    def first(self) -> Array:
        """Where it starts, (2,)."""
        return self.runs[0].start

    @property
    def last(self) -> Array:
        """Where it ends, (2,)."""
        return self.runs[-1].end


def draught(e: Edge) -> Draught:
    """An edge opened for drawing."""
    at = {name: (run, e.runs[run].cumulative[n]) for name, (run, n) in e.stations.items()}
    return Draught(e.runs, e.darts, at)


def cut(path: Path, s: float) -> tuple[Path, Path]:
    """The parts before and after ``s`` cm; a joint within ``SNAP`` is used as it is."""
    sums = path.cumulative
    k = bisect_left(sums, s - SNAP)
    if 0 < k < path.spans and abs(sums[k] - s) <= SNAP:
        return Path(path.ctrl[:k]), Path(path.ctrl[k:])
    return path.split(s)


def inked(name: str, start: str, d: Draught, end: str, allowance: float = SEAM) -> Edge:
    """The edge as it is cut: runs split at their stations."""
    runs: list[Path] = []
    stations: dict[str, tuple[int, int]] = {}
    for i, run in enumerate(d.runs):
        here = sorted((s, n) for n, (r, s) in d.stations.items() if r == i)
        parts: list[Path] = []
        rest, done, spans = run, 0.0, 0
        for s, station in here:
            if s - done > SNAP and rest.length - (s - done) > SNAP:
                before, rest = cut(rest, s - done)
                parts.append(before)
                spans += before.spans
                done = s
            at_end = rest.length - (s - done) <= SNAP
            stations[station] = (i, spans + rest.spans if at_end else spans)
        whole = rest
        for part in reversed(parts):
            whole = part + whole
        runs.append(whole)
    return Edge(name, start, end, tuple(runs), d.darts, stations, allowance)


def shortened(d: Draught, what: str, start: float = 0.0, end: float = 0.0) -> Draught:
    """So much shorter at its ends, cm along the edge; stations cut off are dropped.

    Raises:
        DraftError: nothing would be left of the run.
    """
    runs = list(d.runs)
    stations = dict(d.stations)
    for i, less in ((0, start), (len(runs) - 1, end)):
        if less and runs[i].length < less + LEAST_LEFT:
            raise DraftError(
                f"lining: {what} is {runs[i].length:.1f} cm long; at least "
                f"{less + LEAST_LEFT:.1f} cm are needed, for it to end {less:.1f} cm short."
            )
    if start:
        runs[0] = cut(runs[0], start)[1]
        stations = {
            n: (r, s - start if r == 0 else s)
            for n, (r, s) in stations.items()
            if r > 0 or s > start + SNAP
        }
    if end:
        last = len(runs) - 1
        keep = runs[last].length - end
        runs[last] = cut(runs[last], keep)[0]
        stations = {n: (r, s) for n, (r, s) in stations.items() if r < last or s < keep - SNAP}
    return replace(d, runs=tuple(runs), stations=stations)


def lengthened(d: Draught, start: float = 0.0, end: float = 0.0) -> Draught:
    """Straight on beyond its ends by so many cm."""
    runs = list(d.runs)
    runs[0] = runs[0].extended(start=start)
    runs[-1] = runs[-1].extended(end=end)
    stations = {n: (r, s + start if r == 0 else s) for n, (r, s) in d.stations.items()}
    return replace(d, runs=tuple(runs), stations=stations)


def shifted(d: Draught, by: Array) -> Draught:
    """Moved as a whole by the vector ``by`` (2,)."""
    return replace(d, runs=tuple(Path(run.ctrl + by) for run in d.runs))


def shifted_beyond_darts(piece: Piece, d: Draught, by: Array) -> Draught:
    """Moved by ``by`` (2,) as one while its darts are closed: each run beyond a dart moves in the
    direction that lies along ``by`` when the dart is sewn, so the legs stay alike."""
    runs = [Path(d.runs[0].ctrl + by)]
    for dart, run in zip(d.darts, d.runs[1:], strict=True):
        by = closing(piece, dart).inverse().direction(by)
        runs.append(Path(run.ctrl + by))
    return replace(d, runs=tuple(runs))


def drawn_out(path: Path, first: Array, last: Array) -> Path:
    """A curve whose ends move by ``first`` and ``last`` (2,), in between by share of the length.

    Handles move with their joint, so every direction at a joint stays: the line still runs
    through wherever it did.
    """
    share = np.asarray(path.cumulative) / path.length
    by = first + share[:, None] * (last - first)
    ctrl = path.ctrl.copy()
    ctrl[:, :2] += by[:-1, None]
    ctrl[:, 2:] += by[1:, None]
    return Path(ctrl)


def redrawn(piece: Piece, d: Draught, first: Array, last: Array) -> Draught:
    """An edge whose ends move by ``first`` and ``last`` (2,), its curve with them.

    At a dart both ends of the mouth move along their own leg by the same amount, so the dart
    keeps its angle and its legs stay alike. Stations keep their share of their stretch.
    """
    whole = sum(run.length for run in d.runs)
    runs: list[Path] = []
    done, start = 0.0, first
    for i, run in enumerate(d.runs):
        done += run.length
        if i < len(d.darts):
            apex = np.asarray(piece.dart(d.darts[i]).apex)
            legs = [_unit(run.end - apex), _unit(d.runs[i + 1].start - apex)]
            out = float((first + done / whole * (last - first)) @ legs[0])
            runs.append(drawn_out(run, start, out * legs[0]))
            start = out * legs[1]
        else:
            runs.append(drawn_out(run, start, last))
    stations = {}
    for name, (r, s) in d.stations.items():
        span, u = d.runs[r].locate(s)
        stations[name] = (r, runs[r].distance_at(span, u))
    return replace(d, runs=tuple(runs), stations=stations)


def grain_through(at: Array, shell: Piece, low: float, high: float) -> Array:
    """A grain line (2, 2) in the shell's direction through ``at`` (2,), from the height ``low`` to
    ``high``, cm."""
    way = shell.grain[1] - shell.grain[0]
    way = way / float(way[1])
    return np.array([at + (low - at[1]) * way, at + (high - at[1]) * way])


def _unit(v: Array) -> Array:
    return v / float(np.hypot(v[0], v[1]))
