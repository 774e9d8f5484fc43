"""From a hung tube through its reading to what is shown: the strain that geometry gives it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import cKDTree

from pinwright.drape.data import Surface
from pinwright.drape.pictures.of_reading import deepening, shown_of
from pinwright.drape.pictures.picture import look_at, picture
from pinwright.drape.pictures.shown import CAUTION
from pinwright.drape.reading import read
from tests.drape.pictures.tube import CLOTH, HIGH, LOW, TIGHT, body, hung, vertex
from tests.sheets.figures import client


def test_the_fields_are_those_that_geometry_gives() -> None:
    h = hung()
    s = shown_of("skirt", h, read(h, {}))
    across, along = s.fields["strain across"], s.fields["strain along"]
    assert across[vertex(90.0, 70.0)] == pytest.approx(TIGHT, abs=1e-9)
    assert across[vertex(-90.0, 70.0)] == pytest.approx(0.0, abs=1e-9)
    assert along == pytest.approx(np.zeros(len(along)), abs=1e-9)
    # two prisms of 96 sides, half the cloth's thickness less
    apart = (CLOTH - 10.0) * np.cos(np.pi / 96) - 0.05
    assert s.fields["gap"][vertex(30.0, 70.0)] == pytest.approx(apart, abs=0.01)
    picture(look_at(s, ("front",), high=150), "gap")


def test_places_are_found_again_on_the_cloth() -> None:
    h = hung()
    found = read(h, {})
    s = shown_of("skirt", h, found)
    assert [p.title for p in s.places] == [p.title for p in found.places]
    assert s.places
    for spot, place in zip(s.places, found.places, strict=True):
        assert spot.gap == place.gap
        z = h.points[spot.vertices, 2]
        assert LOW - 1e-9 <= z.min() <= z.max() <= HIGH + 1e-9
        if place.name == "hem":
            assert z.max() < LOW + 6.0


def test_a_level_hem_is_told_by_its_height() -> None:
    h = hung()
    told = dict(shown_of("skirt", h, read(h, {})).levels)
    assert told["hem, over the floor"] == "40.0 cm"
    inches = dict(shown_of("skirt", h, read(h, {}), unit="in").levels)
    # 40 cm are 15.75 in
    assert inches["hem, over the floor"] == "15 3/4 in"


def test_levels_and_plumbs_are_drawn_only_where_she_stands() -> None:
    h = hung()
    marks = client("mean").marks
    standing = shown_of("skirt", h, read(h, {}), marks)
    assert ("waist", marks.levels["waist"]) in standing.body_levels
    assert set(standing.plumbs) == {"front", "back", "left", "right"}
    sat = replace(h, pose="sitting")
    other = shown_of("skirt", sat, read(sat, {}), marks)
    assert not other.body_levels
    assert not other.plumbs


def test_a_fold_is_turned_so_that_it_deepens() -> None:
    h = hung()
    points, around = h.points, np.arctan2(h.points[:, 0], -h.points[:, 1])
    down = (HIGH - points[:, 2]) / (HIGH - LOW)
    # a ridge along the middle of the front that stands further off the lower it is
    gap = 2.0 + 2.0 * down * np.exp(-((around * CLOTH / 1.5) ** 2))
    line = np.array([[0.0, -CLOTH, z] for z in np.linspace(45.0, 95.0, 26)])
    tree = cKDTree(points)
    for given in (line, line[::-1]):
        assert deepening(given, points, gap, tree)[-1, 2] == 45.0


def test_cautions_begin_with_that_it_is_no_promise() -> None:
    h = hung()
    s = shown_of("skirt", h, read(h, {}))
    assert s.cautions[0] == CAUTION
    stopped = replace(h, rest=replace(h.rest, stopped=True), body=body())
    assert any("stopped" in c for c in shown_of("skirt", stopped, read(stopped, {})).cautions)


def test_cloth_that_is_not_at_rest_says_so() -> None:
    h = hung()
    assert not any("at rest yet" in c for c in shown_of("skirt", h, read(h, {})).cautions)
    restless = replace(h, rest=replace(h.rest, residual=0.2))
    assert any("at rest yet" in c for c in shown_of("skirt", restless, read(restless, {})).cautions)


def test_another_body_may_be_shown_than_the_cloth_hangs_on() -> None:
    h = hung()
    taller = Surface(h.body.points * [1.0, 1.0, 1.1], h.body.triangles)
    one, other = (
        look_at(shown_of("skirt", h, read(h, {}), figure=f), ("front",), high=160).looks[0]
        for f in (None, taller)
    )
    # the top of the frame stands 1 cm over the crown: 160 cm, and 176
    assert one.frame.top == pytest.approx(161.0)
    assert other.frame.top == pytest.approx(177.0)
