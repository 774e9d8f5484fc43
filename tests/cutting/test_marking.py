"""How notches and points are marked, and how a sheet tells the marks apart."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
import shapely

from pinwright.cutting.cutline import net_polygon
from pinwright.cutting.marking import Marking, MarkingHabit, cut_marks, marking_habit, marks, points
from pinwright.fitting.ledger import as_drafted
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.ink import Stroke
from pinwright.sheets.notches import NotchMark, notches
from pinwright.sheets.picture import notch, picture
from pinwright.workshop.order import Habits
from tests.cutting.skirt import skirt
from tests.sheets.orders import garment, pieces

DRILL = MarkingHabit(points="drill")


def of(style: str, piece: str, habit: MarkingHabit | None = None) -> dict[str, Marking]:
    g = garment(style) if style != "skirt" else skirt()
    found = notches(as_drafted(g)).get(piece, ())
    made = marks(g.piece(piece), found, habit)
    return {f"{m.edge}:{m.name}" if m.edge else m.name: m for m in made}


@pytest.mark.parametrize(("reach", "deep"), [(1.0, 0.5), (0.7, 0.35), (1.5, 0.5), (4.0, 0.5)])
def test_a_notch_goes_in_by_half_the_allowance_and_half_a_centimetre_at_most(
    reach: float, deep: float
) -> None:
    n = NotchMark("x", "e", np.array([2.0, 3.0]), np.array([1.0, 0.0]), 1, reach)
    piece = garment("jacket").piece("sleeve")
    for kind in ("slit", "triangle"):
        (m,) = marks(piece, [n], MarkingHabit(notch=kind))
        assert m.kind == kind
        assert m.depth == pytest.approx(deep)
        # from the cut edge back towards the net line
        assert m.at == pytest.approx([2.0 + reach, 3.0])
        assert m.way == pytest.approx([-1.0, 0.0])
        assert m.depth < reach


def test_loosely_woven_cloth_is_notched_less_deep_and_a_bare_edge_not_at_all() -> None:
    piece = garment("jacket").piece("sleeve")
    n = NotchMark("x", "e", np.zeros(2), np.array([1.0, 0.0]), 1, 1.0)
    assert marks(piece, [n], MarkingHabit(fray="loose"))[0].depth == pytest.approx(0.3)
    assert marks(piece, [replace(n, reach=0.0)])[0].kind == "thread"
    assert marks(piece, [replace(n, count=0)]) == ()


@pytest.mark.parametrize("notch_kind", ["slit", "triangle"])
@pytest.mark.parametrize("points_kind", ["thread", "chalk", "drill"])
@pytest.mark.parametrize("style", ["trousers", "jacket"])
def test_nothing_is_cut_where_reserve_lies(style: str, notch_kind: str, points_kind: str) -> None:
    habit = MarkingHabit(notch_kind, points_kind)  # type: ignore[arg-type]
    for piece in garment(style).pieces:
        edges = {e.name: e for e in piece.edges}
        for m in of(style, piece.name, habit).values():
            # a reserve that tapers may have run out where the notch is
            if m.edge and edges[m.edge].reserve > 0.0 and edges[m.edge].reserve_to is None:
                assert m.kind == "thread"
                assert m.depth == 0.0


def test_the_trousers_and_the_jacket_by_hand() -> None:
    front = of("trousers", "front")
    assert front["centre:fly_end"].kind == "slit"
    assert front["side:knee"].kind == "thread"  # the side keeps 1 cm
    assert front["inseam:knee"].kind == "slit"
    assert of("trousers", "back")["seat:hip"].count == 2
    cap = of("jacket", "sleeve")
    assert (cap["cap:front_notch"].kind, cap["cap:front_notch"].count) == ("slit", 1)
    assert (cap["cap:back_notch"].kind, cap["cap:back_notch"].count) == ("slit", 2)


def test_a_notch_at_the_back_is_double_also_where_the_style_asks_for_one() -> None:
    n = NotchMark("back_notch", "cap", np.zeros(2), np.array([0.0, 1.0]), 1, 1.0)
    piece = replace(garment("jacket").piece("sleeve"), lines=())
    assert marks(piece, [n])[0].count == 2
    assert marks(piece, [replace(n, name="front_notch")])[0].count == 1


def test_a_dart_is_drilled_a_centimetre_inside_its_point() -> None:
    piece = garment("jacket").piece("front")
    dart = piece.dart("bust dart")
    a, b = piece.mouth("bust dart")
    m = of("jacket", "front", DRILL)["bust dart"]
    assert m.kind == "drill"
    assert np.hypot(*(m.at - dart.apex)) == pytest.approx(1.0)
    assert shapely.Polygon([a, dart.apex, b]).contains(shapely.Point(m.at))


def test_a_pocket_is_drilled_inside_both_edges_of_its_corners() -> None:
    """The pocket is square at its opening: 0.3 in and 0.3 down from each corner."""
    piece = garment("jacket").piece("front")
    found = of("jacket", "front", DRILL)
    for name, way in (("pocket corner front", 1.0), ("pocket corner side", -1.0)):
        corner = piece.mark(name).at
        assert found[name].kind == "drill"
        assert found[name].at == pytest.approx(corner + np.array([0.3 * way, -0.3]), abs=1e-6)


def test_buttons_the_bust_point_and_openings_are_never_drilled() -> None:
    found = of("jacket", "front", DRILL)
    assert found["button 1"].kind == "thread"
    assert found["bust point"].kind == "thread"
    assert of("trousers", "front", DRILL)["pocket opening start"].kind == "thread"


def test_loosely_woven_cloth_is_never_drilled() -> None:
    found = of("jacket", "front", MarkingHabit(points="drill", fray="loose"))
    assert all(m.kind != "drill" for m in found.values())


def test_nothing_is_drilled_within_half_a_centimetre_of_the_net_line() -> None:
    g = garment("jacket")
    piece = g.piece("front")
    net = net_polygon(piece).exterior
    for m in points(piece, DRILL):
        if m.kind == "drill":
            assert net.distance(shapely.Point(m.at)) >= 0.5
    # a dart that ends 0.2 inside the front edge is drilled 1.2 inside it; one that ends 0.7 beyond
    # the edge would be drilled 0.3 inside it
    x = piece.point("front_top")[0]
    y = float(piece.dart("bust dart").apex[1])
    for away, kind in ((0.2, "drill"), (-0.7, "thread")):
        near = replace(piece.dart("bust dart"), apex=np.array([x + away, y]))
        moved = replace(piece, darts=(near,))
        assert points(moved, DRILL)[0].kind == kind


def test_chalk_only_on_cloth_that_takes_it() -> None:
    found = of("skirt", "front", MarkingHabit(points="chalk"))
    assert {found["front dart"].kind, found["pocket end"].kind} == {"chalk"}
    bare = of("skirt", "front", MarkingHabit(points="chalk", takes_chalk=False))
    assert bare["front dart"].kind == "thread"


def test_the_habits_of_an_order_are_taken_over() -> None:
    habit = marking_habit(Habits(notch="triangle", points="drill"), "loose", takes_chalk=False)
    assert habit == MarkingHabit("triangle", "drill", "loose", False)
    assert marking_habit(Habits()) == MarkingHabit()


def test_what_is_cut_is_told_apart_from_what_can_be_taken_out_again() -> None:
    found = list(of("jacket", "front", DRILL).values())
    assert {m.name for m in cut_marks(found)} == {
        *("bust dart", "pocket corner front", "pocket corner side", "shoulder"),
    }
    sleeve = of("jacket", "sleeve").values()
    assert {m.edge for m in cut_marks(list(sleeve))} == {"cap"}
    assert all(m.as_data()["kind"] == m.kind for m in found)


@dataclass(frozen=True)
class Seen:
    """What a drawing shows of the marks: how often each role, and how many closed outlines."""

    roles: dict[str, int]
    triangles: int


def seen(d: Drawn) -> Seen:
    roles: dict[str, int] = {}
    triangles = 0
    for m in picture(d):
        roles[m.role] = roles.get(m.role, 0) + 1
        if isinstance(m, Stroke) and m.role == "notch" and m.closed:
            triangles += 1
            assert m.fill == 0.0
    return Seen(roles, triangles)


def test_marks_are_told_apart_on_the_sheet() -> None:
    d = next(p for p in pieces("jacket", False) if p.piece.name == "front")
    plain = seen(d)
    drilled = seen(replace(d, marking=MarkingHabit("triangle", "drill")))
    chalked = seen(replace(d, marking=MarkingHabit("slit", "chalk")))
    # three points: the dart and two pocket corners, each an x in a circle
    assert drilled.roles["drill"] == 9
    assert drilled.roles["thread"] > plain.roles["thread"]  # buttons and bust point ringed
    assert chalked.roles["chalk"] == 2 * len(points(d.piece))
    assert "drill" not in plain.roles
    assert "chalk" not in plain.roles
    cap = next(p for p in pieces("jacket", False) if p.piece.name == "sleeve")
    assert seen(cap).triangles == 0
    cut = [n for n in cap.notches if n.count and not n.thread]
    triangles = seen(replace(cap, marking=MarkingHabit("triangle"))).triangles
    assert triangles == sum(n.count for n in cut) > 0


def test_a_triangle_stands_on_the_cut_edge_and_keeps_out_of_the_seam() -> None:
    n = NotchMark("x", "e", np.array([0.0, 0.0]), np.array([0.0, 1.0]), 2, 1.0)
    shapes = [m for m in notch(n, habit=MarkingHabit("triangle")) if isinstance(m, Stroke)]
    found = [shapely.Polygon(m.chains[0]) for m in shapes if m.closed]
    assert len(found) == 2
    assert not found[0].intersects(found[1])
    for t in found:
        assert t.bounds[3] == pytest.approx(1.0)
        assert t.bounds[1] == pytest.approx(0.5)
