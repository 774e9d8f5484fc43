"""Every piece lies on the table once for each side that differs, and none on another."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely

from pinwright.web.table import lay_out, views
from tests.web.pages import demo_job


@pytest.mark.parametrize("garment", [0, 1])
def test_every_piece_is_shown(garment: int) -> None:
    g = demo_job().garments[garment]
    shown = {v.piece.name for v in views(g)}
    own = {p.name for p in g.draft.pieces}
    derived = {p.name for ps in g.made_up.values() for p in ps}
    assert shown == own | derived
    assert derived


@pytest.mark.parametrize("garment", [0, 1])
def test_no_piece_lies_on_another(garment: int) -> None:
    table = lay_out(views(demo_job().garments[garment]))
    areas = [shapely.Polygon(x.placing.apply(x.view.cut)) for x in table.laid]
    for a, b in combinations(areas, 2):
        assert a.distance(b) > 1.0
    floor = shapely.box(0, 0, table.width, table.height)
    assert all(floor.contains(a) for a in areas)


def test_right_and_left_are_apart_exactly_where_they_differ() -> None:
    trousers = demo_job().garments[0]
    sides: dict[str, set[str]] = {}
    for v in views(trousers):
        sides.setdefault(v.piece.name, set()).add(v.side)
    # the hem was marked 1.5 up on the right and 1 on the left: both legs differ, the band does not
    assert sides["front"] == sides["back"] == {"right", "left"}
    assert sides["band"] == {"both"}


def test_a_front_drawn_as_data_is_the_left_and_its_mirror_the_right() -> None:
    for v in views(demo_job().garments[0]):
        if v.piece.name == "front":
            assert v.mirror == (v.side == "right")
        if v.piece.name == "back":
            assert v.mirror == (v.side == "left")


def test_the_cloth_of_a_cut_piece_holds_its_old_net_line() -> None:
    for g in demo_job().garments:
        for v in views(g):
            if not v.is_cut:
                continue
            cloth = shapely.Polygon(v.cut).buffer(0.05)
            was = v.before if v.before is not None else v.piece
            for e in was.edges:
                for run in e.runs:
                    line = shapely.LineString(np.asarray(run.flatten(0.05)))
                    assert cloth.contains(line), (v.key, e.name)
