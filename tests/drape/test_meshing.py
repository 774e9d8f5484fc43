"""Pieces sewn to a shell: areas and lengths are the pattern's, the holes are the garment's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely

from pinwright.drape.data import Side
from pinwright.drape.flipping import forced
from pinwright.drape.meshing import shell_of
from pinwright.drape.triangulating import least_angles
from pinwright.errors import GeometryError
from pinwright.measures import complete, read_record
from pinwright.measures.bdims import women
from pinwright.pattern.piece import Piece
from pinwright.workshop.trials import drafted
from tests.cutting.skirt import skirt
from tests.drape import sewn

VARIANTS = ("trousers", "yoke", "dart")
SIDES: tuple[Side, Side] = ("right", "left")


@pytest.mark.parametrize("variant", VARIANTS)
def test_a_panel_has_the_area_of_its_net_outline_without_the_darts(variant: str) -> None:
    """The outline's area is shapely's; a front is cut at its centre, x = 0, by a half plane."""
    s = sewn.shell(variant, 0.8)
    for i, panel in enumerate(s.panels):
        piece = sewn.draft(variant).piece(panel.piece)
        cloth = sewn.net_polygon(piece)
        if any(m.kind == "button" for m in piece.marks):
            cloth = cloth.intersection(shapely.box(0.0, -500.0, 500.0, 500.0))
        u, v = (s.rest[s.panel == i][:, k] - s.rest[s.panel == i][:, 0] for k in (1, 2))
        areas = 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
        assert (areas > 0.0).all()
        assert areas.sum() == pytest.approx(cloth.area, rel=1e-3), panel.name


@pytest.mark.parametrize("variant", VARIANTS)
def test_the_vertices_of_an_edge_measure_its_sewn_length(variant: str) -> None:
    """Chords fall short of a curve by (side x curvature)^2 / 24 of it at most, else by nothing."""
    s = sewn.shell(variant, 0.8)
    for panel in s.panels:
        piece = sewn.draft(variant).piece(panel.piece)
        for name, runs in panel.edges.items():
            if name == "centre_front" or (name == "hem" and "centre_front" in panel.edges):
                continue
            for run, ids in zip(piece.edge(name).runs, runs, strict=True):
                chords = np.hypot(*np.diff(panel.points[ids], axis=0).T)
                bend = max(abs(run.curvature(x)) for x in np.linspace(0.0, run.length, 80))
                short = run.length * (1.05 * chords.max() * bend) ** 2 / 24.0
                assert run.length - short - 1e-9 <= chords.sum() <= run.length + 1e-9, name
        for name, (first, second) in panel.legs.items():
            a, b = piece.mouth(name)
            apex = piece.dart(name).apex
            assert len(first) == len(second)
            assert first[-1] == second[-1]
            for ids, mouth in ((first, a), (second, b)):
                assert panel.points[ids[0]] == pytest.approx(mouth)
                assert panel.points[ids[-1]] == pytest.approx(apex)
                leg = float(np.hypot(*(mouth - apex)))
                assert sewn.run_length(panel.points[ids]) == pytest.approx(leg)


@pytest.mark.parametrize("edge", [2.5, 1.25, 0.8])
def test_trousers_have_three_openings(edge: float) -> None:
    """A waist and two hems: a sphere with three holes, 2 - 3 = -1."""
    s = sewn.shell("trousers", edge)
    assert sewn.euler(s) == -1
    found = sewn.loops(s)
    assert len(found) == 3
    rows = [np.concatenate([sewn.row(s, "band", side, "top") for side in SIDES])]
    rows += [
        np.concatenate([sewn.row(s, p, side, "hem") for p in ("front", "back")]) for side in SIDES
    ]
    assert sorted(map(sorted, found)) == sorted(sorted(set(r.tolist())) for r in rows)


@pytest.mark.parametrize("variant", ["yoke", "dart"])
@pytest.mark.parametrize("edge", [2.5, 1.25])
def test_a_buttoned_jacket_has_its_gaps(variant: str, edge: float) -> None:
    """Neck, hem and two cuffs, and a gap between each two of five buttons: 8 holes, 2 - 8 = -6."""
    s = sewn.shell(variant, edge)
    assert sewn.euler(s) == -6
    assert len(sewn.loops(s)) == 8
    right, left = (sewn.row(s, "front", side, "centre_front") for side in SIDES)
    panel, ids = s.at("front", "right")
    buttons = {int(ids[panel.stations[f"button {i}"]]) for i in range(1, 6)}
    assert set(right.tolist()) & set(left.tolist()) == buttons
    at = [panel.points[panel.stations[f"button {i}"]] for i in range(1, 6)]
    marked = [sewn.draft(variant).piece("front").mark(f"button {i}").at for i in range(1, 6)]
    assert np.asarray(at) == pytest.approx(np.asarray(marked), abs=1e-6)


@pytest.mark.parametrize("variant", VARIANTS)
def test_all_triangles_turn_alike_and_no_side_has_three(variant: str) -> None:
    s = sewn.shell(variant, 1.25)
    sides = sewn.directed(s)
    assert max(sides.values()) == 1
    assert np.unique(s.triangles).tolist() == list(range(s.n))


@pytest.mark.parametrize("variant", VARIANTS)
def test_both_sides_of_a_seam_are_the_same_vertices(variant: str) -> None:
    s = sewn.shell(variant, 1.25)
    g = sewn.draft(variant)
    for seam in g.seams:
        if seam.kind == "neck":
            continue
        for side in SIDES:
            a, b = (
                [int(v) for r in refs for v in sewn.row(s, r.piece, who, r.edge)]
                for refs, who in ((seam.a, side), (seam.b, "left" if seam.mirror else side))
            )
            assert set(a) == set(b), seam.name
            name = seam.name if seam.mirror else f"{seam.name} {side}"
            assert set(s.seams[name].tolist()) == set(a)
    for piece in g.pieces:
        if piece.cut == "fold" and not piece.fall and piece.fold:
            right, left = (sewn.row(s, piece.name, side, piece.fold) for side in SIDES)
            assert right.tolist() == left.tolist()


def test_a_band_closes_where_the_trousers_do() -> None:
    s = sewn.shell("trousers", 2.5)
    for end in ("front", "centre"):
        right, left = (sewn.row(s, "band", side, end) for side in SIDES)
        assert right.tolist() == left.tolist()


def test_bands_are_told_and_nothing_else_is() -> None:
    assert {p.name for p in sewn.shell("trousers", 2.5).panels if p.band} == {
        "band right",
        "band left",
    }
    assert not any(p.band for p in sewn.shell("yoke", 2.5).panels)


def test_a_dart_in_a_seam_meets_one_vertex_of_the_other_side() -> None:
    """The mouth of the side bust dart lies as far above the waist on the back, net of ease."""
    s = sewn.shell("yoke", 0.8)
    front, ids = s.at("front", "right")
    first, second = front.legs["bust dart"]
    assert ids[first].tolist() == ids[second].tolist()
    back, others = s.at("back", "right")
    (run,) = back.edges["side"]
    k = others[run].tolist().index(int(ids[first[0]]))
    below = front.edges["side"][0]
    assert sewn.run_length(back.points[run[: k + 1]]) == pytest.approx(
        sewn.run_length(front.points[below]), abs=0.02
    )


def test_the_ease_of_a_cap_lies_where_it_is_planned() -> None:
    """Between notch and shoulder the cap is longer by what the seam plans, below it is not."""
    s = sewn.shell("yoke", 0.8)
    g = sewn.draft("yoke")
    sleeve, ids = s.at("sleeve", "right")
    front, hole = s.at("front", "right")
    (cap,) = sleeve.edges["cap"]
    (armhole,) = front.edges["armhole"]
    stops = [front.stations[n] for n in ("underarm", "front_notch", "shoulder_tip")]
    on_hole = [armhole.tolist().index(v) for v in stops]
    on_cap = [ids[cap].tolist().index(int(hole[v])) for v in stops]
    planned = [x.planned for x in g.seam("armhole").stretches[:2]]
    assert planned[1] > 0.5
    for (a0, a1), (b0, b1), ease in zip(pairwise(on_cap), pairwise(on_hole), planned, strict=True):
        assert a1 - a0 == b1 - b0
        more = sewn.run_length(sleeve.points[cap[a0 : a1 + 1]]) - sewn.run_length(
            front.points[armhole[b0 : b1 + 1]]
        )
        assert more == pytest.approx(ease, abs=0.02)


def test_a_turned_sleeve_is_sewn_in_turned() -> None:
    """The shoulder point meets the cap 1.2 cm nearer the front underarm, on that side alone."""
    g = sewn.draft("yoke")
    pieces = sewn.pieces_of(g)
    s = shell_of(g, pieces, pieces, 1.25, {"right": {"sleeve_pitch": 1.2}, "left": {}})
    assert sewn.euler(s) == -6
    for side, turned in (("right", 1.2), ("left", 0.0)):
        sleeve, ids = s.at("sleeve", side)  # type: ignore[arg-type]
        front, hole = s.at("front", side)  # type: ignore[arg-type]
        (cap,) = sleeve.edges["cap"]
        k = ids[cap].tolist().index(int(hole[front.stations["shoulder_tip"]]))
        drawn = g.piece("sleeve").edge("cap").distance("shoulder")
        assert sewn.run_length(sleeve.points[cap[: k + 1]]) == pytest.approx(
            drawn - turned, abs=0.05
        )


@pytest.mark.parametrize("variant", VARIANTS)
def test_lines_are_sides_of_triangles_and_lie_where_they_are_drawn(variant: str) -> None:
    s = sewn.shell(variant, 1.25)
    for panel in s.panels:
        t = panel.triangles
        sides = {tuple(sorted(x)) for k in ((0, 1), (1, 2), (2, 0)) for x in t[:, k].tolist()}
        piece = sewn.draft(variant).piece(panel.piece)
        for name, chain in panel.lines.items():
            assert all(tuple(sorted(x)) in sides for x in pairwise(chain.tolist()))
            path = shapely.LineString(piece.line(name).path.flatten(0.001))
            off = shapely.distance(path, shapely.points(panel.points[chain]))
            # an end takes a vertex of the net line that is near by; the rest lies on the line
            assert off[1:-1].max(initial=0.0) < 0.01 or name == "plumb"
            assert off.max() < 0.5 * 1.25
    if variant == "trousers":
        assert {"crease", "hip", "crotch", "knee"} <= set(s.at("front", "right")[0].lines)


CHOICES: tuple[tuple[str, Mapping[str, object], int], ...] = (
    ("trousers", {"fit": "slim", "waist": "darts", "band": "shaped"}, -1),
    (
        "trousers",
        {
            "waist": "eased",
            "gather_front": 12.0,
            "gather_back": 16.0,
            "band_centre_back": "fold",
            "hem": "turn-up",
        },
        -1,
    ),
    ("jacket", {"ease": "slim", "bust_dart": "armhole", "buttons": 3.0}, -4),
    ("jacket", {"back": "yoke", "bust_dart": "side_seam_high", "buttons": 9.0}, -10),
)


@pytest.mark.parametrize("woman", [0, 104, 234])
@pytest.mark.parametrize(("style", "choices", "holes"), CHOICES)
def test_every_choice_is_sewn_on_other_bodies(
    style: str, choices: Mapping[str, object], holes: int, woman: int
) -> None:
    """Triangles are sound too: no least angle under 12 degrees, 99 in 100 above 30."""
    g = drafted(style, complete(read_record(women()[woman]), [style]), choices)
    s = shell_of(g, sewn.pieces_of(g), sewn.pieces_of(g), 1.25)
    assert sewn.euler(s) == holes
    angles = np.concatenate([least_angles(p.points, p.triangles) for p in s.panels])
    assert angles.min() > 12.0
    assert float((angles > 30.0).mean()) > 0.99


def test_another_style_needs_nothing_new() -> None:
    """A skirt of two pieces on the fold: a tube, 2 - 2 = 0; what is not sewn to it is left out."""
    g = skirt()
    s = shell_of(g, sewn.pieces_of(g), sewn.pieces_of(g), 2.0)
    assert sewn.euler(s) == 0
    assert len(sewn.loops(s)) == 2
    assert s.left_out[:2] == ("sleeve", "body")


def test_what_does_not_hang_is_said() -> None:
    said = sewn.shell("yoke", 2.5).left_out
    assert {"collar", "button stand", "interfacing"} <= set(said)
    assert "interfacing but that of the band" in sewn.shell("trousers", 2.5).left_out
    assert not any(p.piece == "collar" for p in sewn.shell("yoke", 2.5).panels)


def test_equal_sides_are_triangulated_once() -> None:
    s = sewn.shell("trousers", 2.5)
    right, left = s.at("front", "right")[0], s.at("front", "left")[0]
    assert right.triangles is left.triangles


def test_a_garment_without_a_shell_cannot_hang() -> None:
    g = sewn.draft("trousers")
    bare = replace(g, pieces=tuple(replace(p, layer="lining") for p in g.pieces))
    with pytest.raises(GeometryError, match="nothing can hang"):
        shell_of(bare, sewn.pieces_of(bare), sewn.pieces_of(bare), 2.5)


def test_a_side_that_lacks_a_piece_is_refused() -> None:
    g = sewn.draft("trousers")
    less: dict[str, Piece] = {k: v for k, v in sewn.pieces_of(g).items() if k != "band"}
    with pytest.raises(GeometryError, match="left side has no piece band"):
        shell_of(g, sewn.pieces_of(g), less, 2.5)


def test_a_side_is_put_in_where_delaunay_has_none() -> None:
    """Two tall rhombi: Delaunay joins the near points, the long diagonals are wanted."""
    points = np.array([[0.0, 0.0], [1.0, 3.0], [1.0, -3.0], [2.0, 0.0], [3.0, 3.0], [3.0, -3.0]])
    points = np.concatenate([points, [[4.0, 0.0]]])
    triangles = np.array([[0, 3, 1], [0, 2, 3], [3, 6, 4], [3, 5, 6], [1, 3, 4], [2, 5, 3]])
    found = forced(points, triangles, np.array([[1, 2]]))
    sides = {tuple(sorted(x)) for k in ((0, 1), (1, 2), (2, 0)) for x in found[:, k].tolist()}
    assert (1, 2) in sides
    assert (0, 3) not in sides
    u, v = points[found[:, 1]] - points[found[:, 0]], points[found[:, 2]] - points[found[:, 0]]
    areas = 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    assert (areas > 0.0).all()
    assert areas.sum() == pytest.approx(18.0)
