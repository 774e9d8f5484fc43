"""A garment of no style that pinwright drafts hangs from its seams and places alone: a skirt."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from pinwright.drape.data import Hung
from pinwright.drape.draping import draped
from pinwright.drape.garb import waist
from pinwright.errors import GeometryError
from pinwright.figure.figure import Figure, figure_of
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment, PlaceEdge
from tests.cutting.skirt import skirt
from tests.drape import sewn
from tests.fitting.drafts import ORDINARY


def worn(*places: str) -> Garment:
    """A skirt of which places besides the side seam are told."""
    g = skirt()
    both = {k: tuple(PlaceEdge(p, p, k) for p in ("front", "back")) for k in places}
    return replace(g, places={**g.places, **both})


@cache
def figure() -> Figure:
    return figure_of(complete(read_record(ORDINARY), ["trousers"]))


def hung(g: Garment) -> Hung:
    return draped(sewn.garb_of(g), figure(), edge=3.0)


def test_a_skirt_hangs_from_the_waist_round_both_legs() -> None:
    """60 cm at the centre, 61 at the side, 2 (29.04 + 30.04) cm round the hem, by hand."""
    g = worn("waist", "hem")
    h = hung(g)
    assert h.rest.residual <= 0.1
    x, marks = h.points, figure().marks.points
    line = x[waist(g, h.shell)]
    body = (marks["front_waist"][2] + marks["back_waist"][2]) / 2.0
    assert abs(line[:, 2].mean() - body) < 1.0
    runs = [
        v[run]
        for p, v in zip(h.shell.panels, h.shell.vertices, strict=True)
        for run in p.edges["hem"]
    ]
    hem = np.unique(np.concatenate(runs))
    assert line[:, 2].mean() - x[hem, 2].mean() == pytest.approx(60.0, abs=1.5)
    assert sum(np.linalg.norm(np.diff(x[r], axis=0), axis=1).sum() for r in runs) == pytest.approx(
        118.2, rel=0.01
    )
    # both knees are in it, and it stands about the middle between them
    for side in ("right", "left"):
        knee = marks[f"knee_{side}"]
        near = x[np.abs(x[:, 2] - knee[2]) < 3.0]
        assert near[:, 0].min() < knee[0] - 3.0
        assert near[:, 0].max() > knee[0] + 3.0
    assert abs(x[hem, 0].mean()) < 1.0


def test_what_nothing_places_is_refused() -> None:
    with pytest.raises(GeometryError, match=r"Skirt: its front has neither a neck nor a waist"):
        hung(worn())
