"""The yoke: the back is parted at the shoulder-blade level and the shoulder dart goes into it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from pinwright.draft.features.bust_dart import closing
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Line, Piece, edge
from pinwright.pattern.seam import Give, Ref, Seam, Station, Stretch

TOWARDS_DART = 0.75
"""How far the handles of the yoke seam reach to the dart's point, so that it bends softly there."""

YOKE_ALLOWANCE = 1.0
BLADE_MARK = 3.0
"""How long the blade's level is drawn on the yoke from the centre back, cm."""


def parted(back: Piece) -> tuple[Piece, Piece]:
    """The back below the yoke and the yoke, from a back with a shoulder dart.

    The line runs square from the centre back (station "blade") over the dart's point to the
    armhole (station "yoke"). The part of the yoke outside the dart turns about the dart's point
    until the dart is closed in the shoulder: its intake becomes the dip between both pieces at the
    armhole (common practice). Neck, shoulder and armhole are turned, never redrawn, so yoking a
    corrected back and correcting a yoked one agree when sewn closed. The two edges of the seam
    are mirror images when the line falls from the dart by half its angle, as it is drafted.
    """
    dart = back.dart("shoulder dart")
    apex = np.asarray(dart.apex)
    turn = closing(back, "shoulder dart").inverse()
    centre, hole = back.edge("centre"), back.edge("armhole")
    upper_centre, lower_centre = _at_station(centre.runs[0], centre.stations["blade"][1])
    lower_hole, upper_hole = _at_station(hole.runs[0], hole.stations["yoke"][1])
    outer, inner = back.edge("shoulder").runs
    upper_hole, outer = upper_hole.transformed(turn), outer.transformed(turn)
    at_centre, arm = upper_centre.end, lower_hole.end
    back_seam = _seam_line(at_centre, apex, arm)
    yoke_seam = _seam_line(at_centre, apex, upper_hole.start)
    below = replace(
        back,
        edges=(
            _redrawn(centre, "yoke_centre", lower_centre, _after(centre.stations, "blade"), None),
            back.edge("hem"),
            back.edge("side"),
            _redrawn(hole, None, lower_hole, _before(hole.stations, "yoke"), "yoke_arm"),
            edge("yoke", "yoke_arm", back_seam.reversed(), "yoke_centre", allowance=YOKE_ALLOWANCE),
        ),
        darts=(),
        lines=tuple(line for line in back.lines if line.name != "blade"),
    )
    shoulder = back.edge("shoulder")
    straight = _continued(outer, inner)
    yoke = Piece(
        "yoke",
        "Yoke",
        (
            _redrawn(centre, None, upper_centre, _before(centre.stations, "blade"), "yoke_centre"),
            edge("yoke", "yoke_centre", yoke_seam, "yoke_arm", allowance=YOKE_ALLOWANCE),
            _redrawn(hole, "yoke_arm", upper_hole, _after(hole.stations, "yoke"), None),
            _redrawn(shoulder, None, straight, {}, None),
            back.edge("neck"),
        ),
        grain=np.array([[4.0, at_centre[1] + 1.0], [4.0, at_centre[1] + 6.5]]),
        cut="fold",
        lines=(
            Line("plumb", "plumb", Path.line(at_centre, upper_centre.start)),
            # the blade's level is the seam itself where both pieces lie on it
            Line("blade", "balance", Path.line(at_centre, at_centre + np.array([BLADE_MARK, 0.0]))),
        ),
        fold="centre",
        home="back",
    )
    return below, yoke


def _redrawn(
    e: Edge,
    start: str | None,
    run: Path,
    stations: Mapping[str, tuple[int, int]],
    end: str | None,
) -> Edge:
    """A part of an edge as an edge of its own, with the same allowances."""
    parts: list[str | Path] = [start or e.start]
    done = 0
    for name, (_, count) in sorted(stations.items(), key=lambda item: item[1]):
        parts += [Path(run.ctrl[done:count]), name]
        done = count
    parts += [Path(run.ctrl[done:]), end or e.end]
    return edge(e.name, *parts, allowance=e.allowance, reserve=e.reserve, least=e.least)


def yoke_seam() -> Seam:
    """The seam between back and yoke, held at the centre back; the yoke gives at the armhole."""
    return Seam(
        "yoke",
        "yoke",
        (Ref("back", "yoke", reverse=True),),
        (Ref("yoke", "yoke"),),
        (
            Station("yoke_centre", "yoke_centre", "yoke_centre"),
            Station("yoke_arm", "yoke_arm", "yoke_arm"),
        ),
        (Stretch(),),
        anchor="yoke_centre",
        gives=(Give("b", "end", 1),),
        title="yoke seam",
    )


def fractions(back: Piece) -> tuple[float, float]:
    """Where a yoke parts a back: by the length of its centre above the waist, and of its armhole
    (0 at the neck and at the underarm)."""
    centre, hole = back.edge("centre"), back.edge("armhole")
    run = centre.runs[0].cumulative
    arm = hole.runs[0].cumulative
    return (
        run[centre.stations["blade"][1]] / run[centre.stations["waist"][1]],
        arm[hole.stations["yoke"][1]] / arm[-1],
    )


def _seam_line(centre: Array, apex: Array, arm: Array) -> Path:
    """From the centre, square to it, to the armhole, pointing from the dart's point there."""
    level = np.array([TOWARDS_DART * (apex[0] - centre[0]), 0.0])
    return Path.cubic(centre, centre + level, arm + TOWARDS_DART * (apex - arm), arm)


def _at_station(run: Path, count: int) -> tuple[Path, Path]:
    return Path(run.ctrl[:count]), Path(run.ctrl[count:])


def _continued(first: Path, then: Path) -> Path:
    """Two runs whose meeting ends agree to rounding, joined at the second one's start."""
    ctrl = first.ctrl.copy()
    ctrl[-1, 3] = then.start
    return Path(np.concatenate([ctrl, then.ctrl]))


def _before(stations: Mapping[str, tuple[int, int]], name: str) -> dict[str, tuple[int, int]]:
    limit = stations[name][1]
    return {k: v for k, v in stations.items() if v[1] < limit}


def _after(stations: Mapping[str, tuple[int, int]], name: str) -> dict[str, tuple[int, int]]:
    limit = stations[name][1]
    return {k: (0, v[1] - limit) for k, v in stations.items() if v[1] > limit}
