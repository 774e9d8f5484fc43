"""Whole garments in other poses than standing: at rest, on the body, gone along with its limbs."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from pinwright.drape.data import Array, Hung, Pose
from pinwright.drape.draping import draped
from pinwright.drape.reading import read
from pinwright.drape.reading.reading import Reading
from pinwright.figure.figure import figure_of
from pinwright.figure.landmarks import vertices
from pinwright.figure.poses import posed
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.workshop.trials import drafted
from tests.drape import sewn
from tests.fitting.drafts import ORDINARY


@cache
def hung(style: str, pose: Pose) -> tuple[Hung, Reading, dict[str, Array]]:
    """Hung in triangles of 3 cm; read; and where bones of the wrist and ankle are, cm."""
    body = complete(read_record(ORDINARY), [style])
    figure, g = figure_of(body), drafted(style, body, {})
    h = draped(sewn.garb_of(g), figure, pose, edge=3.0)
    skin = posed(figure, pose).points
    return h, read(h, {}), {k: skin[v] for k, v in vertices().items()}


def hem(h: Hung, piece: str, side: str) -> Array:
    """The middle of a piece's hem, cm."""
    runs = [
        v[run]
        for p, v in zip(h.shell.panels, h.shell.vertices, strict=True)
        if p.piece == piece and p.side == side
        for run in p.edges["hem"]
    ]
    found: Array = h.points[np.unique(np.concatenate(runs))].mean(axis=0)
    return found


CASES: tuple[tuple[str, Pose, str, str], ...] = (
    ("trousers", "step", "back", "ankle_bone"),
    ("trousers", "sitting", "back", "ankle_bone"),
    ("jacket", "arms-raised", "sleeve", "wrist_bone"),
    ("jacket", "sitting", "sleeve", "wrist_bone"),
)


@pytest.mark.parametrize(("style", "pose", "piece", "bone"), CASES)
def test_it_comes_to_rest_on_the_body_and_goes_with_the_limbs(
    style: str, pose: Pose, piece: str, bone: str
) -> None:
    h, reading, marks = hung(style, pose)
    assert h.pose == reading.pose == pose
    assert h.rest.residual <= 0.1
    # feet are passed; no more than some kPa press it in elsewhere (0.01 cm each)
    above = h.points[:, 2] > min(marks[f"ankle_bone_{s}"][2] for s in ("right", "left"))
    assert np.nanmin(reading.gap[above]) > -0.1
    for side in ("right", "left"):
        assert np.linalg.norm(hem(h, piece, side) - marks[f"{bone}_{side}"]) < 12.0


def test_a_step_parts_the_hems_as_it_parts_the_feet() -> None:
    h, _, marks = hung("trousers", "step")
    feet = marks["ankle_bone_left"] - marks["ankle_bone_right"]
    hems = hem(h, "back", "left") - hem(h, "back", "right")
    assert abs(feet[1]) > 20.0
    assert hems[1] == pytest.approx(feet[1], abs=6.0)


def test_when_she_sits_the_hem_rises_and_the_waist_is_pulled() -> None:
    """The way over a bent knee and seat is longer than the straight one (common practice)."""
    h, _, marks = hung("trousers", "sitting")
    for side in ("right", "left"):
        bent = hem(h, "back", side)[2] - marks[f"ankle_bone_{side}"][2]
        assert bent > 1.0
    assert any("waist is pulled down" in r for r in h.remarks)
