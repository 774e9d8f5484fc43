"""The yoke: the same back in two pieces, the dart gone into the seam between them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.draft.features.bust_dart import closing
from pinwright.draft.features.yoke import parted
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Piece
from pinwright.pattern.seam import Width

from .sewing import body, draft, length


@pytest.fixture(scope="module")
def back() -> Piece:
    return draft().piece("back")


def _moved(e: Edge, shift: Array) -> Edge:
    """An edge with all control points shifted."""
    return replace(e, runs=tuple(Path(r.ctrl + shift) for r in e.runs))


def test_sewn_closed_the_yoked_back_is_the_back_with_its_dart_closed(back: Piece) -> None:
    below, yoke = parted(back)
    turn = closing(
        back, "shoulder dart"
    )  # lays the inner part on the outer, as the yoke's seam does
    block = back.edge("armhole").runs[0]
    lower, upper = below.edge("armhole").runs[0], yoke.edge("armhole").runs[0].transformed(turn)
    assert lower.length + upper.length == pytest.approx(block.length, abs=1e-9)
    for s in np.linspace(0.0, block.length, 40):
        on = lower.at(s) if s < lower.length else upper.at(s - lower.length)
        assert on == pytest.approx(block.at(s), abs=1e-9)
    assert yoke.edge("neck").runs[0] is back.edge("neck").runs[0]
    assert length(yoke.edge("shoulder").runs[0]) == pytest.approx(back.edge("shoulder").length)


def test_the_shoulder_of_the_yoke_is_one_straight_line(back: Piece) -> None:
    _, yoke = parted(back)
    pts = yoke.edge("shoulder").runs[0].flatten(1e-4)
    chord = pts[-1] - pts[0]
    off = (pts - pts[0]) @ np.array([-chord[1], chord[0]]) / np.hypot(*chord)
    assert np.abs(off).max() < 1e-9


def test_both_edges_of_the_yoke_seam_mirror_each_other(back: Piece) -> None:
    below, yoke = parted(back)
    level = back.point("blade")[1]
    up = yoke.edge("yoke").runs[0].ctrl
    down = below.edge("yoke").runs[0].reversed().ctrl
    assert up[..., 0] == pytest.approx(down[..., 0], abs=1e-9)
    assert up[..., 1] - level == pytest.approx(level - down[..., 1], abs=1e-9)


def test_the_intake_of_the_dart_is_the_dip_at_the_armhole(back: Piece) -> None:
    """By hand: both seam ends stand the dart's angle apart, seen from the dart's point."""
    below, yoke = parted(back)
    dart = back.dart("shoulder dart").apex
    p, q = back.mouth("shoulder dart")
    intake, leg = np.hypot(*(p - q)), np.hypot(*(p - dart))
    arm = np.hypot(*(below.point("yoke_arm") - dart))
    dip = np.hypot(*(below.point("yoke_arm") - yoke.point("yoke_arm")))
    assert dip == pytest.approx(intake * arm / leg, rel=1e-9)


@pytest.mark.parametrize("shift", [(0.4, 0.0), (-0.3, -0.5)])
def test_correcting_then_yoking_equals_yoking_then_correcting(
    back: Piece, shift: tuple[float, float]
) -> None:
    """The armhole moved as a whole, before or after: sewn closed it is the same line."""
    v = np.array(shift)
    turn = closing(back, "shoulder dart").inverse()

    corrected = back.edge("armhole")
    # the shoulder follows with its outer end, the side with its upper end: not watched here
    first_below, first_yoke = parted_loose(back, _moved(corrected, v))
    then_below, then_yoke = parted(back)
    below = _moved(then_below.edge("armhole"), v).runs[0]
    upper = _moved(then_yoke.edge("armhole"), turn.direction(v)).runs[0]
    for one, other in ((first_below.runs[0], below), (first_yoke.runs[0], upper)):
        assert one.length == pytest.approx(other.length, abs=1e-9)
        for s in np.linspace(0.0, one.length, 20):
            assert one.at(s) == pytest.approx(other.at(s), abs=1e-9)


def parted_loose(back: Piece, armhole: Edge) -> tuple[Edge, Edge]:
    """Both armhole edges of a back whose corrected armhole drags its neighbours' ends along."""
    side, shoulder = back.edge("side"), back.edge("shoulder")

    def end_at(path: Path, p: Array, last: bool) -> Path:
        ctrl = path.ctrl.copy()
        ctrl[-1 if last else 0, 3 if last else 0] = p
        return Path(ctrl)

    edges = {
        "armhole": armhole,
        "side": replace(side, runs=(*side.runs[:-1], end_at(side.runs[-1], armhole.first, True))),
        "shoulder": replace(
            shoulder, runs=(end_at(shoulder.runs[0], armhole.last, False), *shoulder.runs[1:])
        ),
    }
    bent = back.with_edges(tuple(edges.get(e.name, e) for e in back.edges))
    below, yoke = parted(bent)
    return below.edge("armhole"), yoke.edge("armhole")


def test_the_yoke_garment_keeps_the_finished_back_length() -> None:
    one = {t.name: t for t in draft(back="shoulder_dart").targets}["back_length"]
    g = draft(back="yoke")
    two = {t.name: t for t in g.targets}["back_length"]
    assert two.value == pytest.approx(one.value)
    widths = [w for w in two.parts if isinstance(w, Width)]
    ends = [(g.piece(w.piece).point(w.start), g.piece(w.piece).point(w.end)) for w in widths]
    parts = [float(np.hypot(*(p - q))) for p, q in ends]
    assert sum(parts) == pytest.approx(body()["back_waist_length"] + two.ease)
