"""The engine in its process, and what it is given; rectangles whose best lay is known."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from pinwright.cutting.lay import engine
from pinwright.cutting.lay.items import Item, frame, grown, put, single, swept
from pinwright.cutting.lay.placing import Field, Lay, Phase, Template
from pinwright.cutting.lay.verify import faults
from pinwright.errors import LayError


def rectangle(key: str, along: float, across: float, **more: object) -> Template:
    outline = np.array([[0.0, 0.0], [along, 0.0], [along, across], [0.0, across]])
    kept: Template = replace(Template(key, "trousers", key, "both", outline), **more)  # type: ignore[arg-type]
    return kept


def triangle(key: str, along: float, across: float, **more: object) -> Template:
    outline = np.array([[0.0, 0.0], [along, 0.0], [0.0, across]])
    return replace(rectangle(key, 1.0, 1.0, **more), outline=outline)


angles = st.lists(st.floats(0.0, 6.28), min_size=3, max_size=12, unique=True)


@st.composite
def stars(draw: st.DrawFn) -> shapely.Polygon:
    """Star-shaped polygons, hollow and sharp ones among them."""
    n = draw(st.integers(4, 14))
    radii = draw(st.lists(st.floats(2.0, 30.0), min_size=n, max_size=n))
    at = np.arange(n) * 2.0 * np.pi / n
    return shapely.Polygon(np.stack([radii * np.cos(at), radii * np.sin(at)], axis=1))


@given(stars(), st.floats(0.0, 1.0))
@settings(max_examples=60, deadline=None)
def test_an_outline_for_the_engine_holds_the_piece_and_half_the_gap(
    poly: shapely.Polygon, gap: float
) -> None:
    outline = shapely.Polygon(grown(poly, gap, (0.0, 180.0)))
    assert outline.is_valid
    held = poly.buffer(gap / 2.0, quad_segs=32)
    held = poly if held.is_empty else held  # shapely grows a piece by 1e-308 to nothing
    assert outline.buffer(1e-6).covers(held)
    # and is not wider or longer, so that a piece that fits exactly still fits
    assert np.allclose(
        outline.bounds, np.array(poly.bounds) + gap / 2.0 * np.array([-1, -1, 1, 1]), atol=1e-6
    )
    assert poly.buffer(2.5 * (gap / 2.0 + 0.02)).covers(outline)


def test_an_outline_for_the_engine_has_few_corners_and_stays_convex() -> None:
    circle = shapely.Point(0, 0).buffer(20.0, quad_segs=200)
    outline = shapely.Polygon(grown(circle, 0.3))
    assert len(outline.exterior.coords) < len(circle.exterior.coords) / 5
    assert outline.convex_hull.area == pytest.approx(outline.area, rel=1e-9)


@given(stars(), st.floats(0.5, 10.0), st.floats(0.5, 10.0), st.floats(0, 1), st.floats(0, 1))
@settings(max_examples=60, deadline=None)
def test_a_swept_piece_holds_it_wherever_it_may_move(
    poly: shapely.Polygon, along: float, across: float, u: float, v: float
) -> None:
    area = swept(poly, (along, across))
    moved = affinity.translate(poly, u * along, v * across)
    assert area.buffer(1e-6).covers(moved)


def test_a_swept_convex_piece_has_the_area_of_a_minkowski_sum() -> None:
    # A + (box a by b): area = area(A) + a height(A) + b width(A) + ab for any convex A
    poly = shapely.Polygon([(0, 0), (7, 1), (9, 6), (3, 8)])
    assert swept(poly, (5.0, 2.0)).area == pytest.approx(poly.area + 5 * 8 + 2 * 9 + 10, rel=1e-9)


def test_a_piece_is_moved_up_to_its_repeat_within_what_was_swept() -> None:
    field = Field(100.0, repeat=(5.0, 4.0), turns=True)
    t = rectangle("pocket", 12.0, 10.0)
    t = replace(t, phases=(Phase("along", (3.0, 2.0), 1.0), Phase("across", (3.0, 2.0), 0.5)))
    item = single(t, field)
    for rotation in (0.0, 180.0):
        (p,) = put(item, 31.3, 47.9, rotation, field)
        laid = Lay(field, (t,), (p,), 100.0)
        assert not faults(laid)
        way = 1.0 if rotation == 0.0 else -1.0
        assert 0.0 <= way * (p.x - 31.3) < 5.0
        assert 0.0 <= way * (p.y - 47.9) < 4.0


def test_rectangles_are_laid_as_short_as_can_be() -> None:
    # two of 30 stand across 61 cm, three rows of 20 along
    pieces = [rectangle(f"r{i}", 20.0, 30.0) for i in range(6)]
    lay = engine.packed(pieces, Field(61.0), 2)
    assert not faults(lay)
    assert 60.0 <= lay.length < 60.1


def test_the_gap_is_kept_between_pieces_and_not_at_the_edges() -> None:
    pieces = [rectangle(f"r{i}", 20.0, 30.0) for i in range(4)]
    lay = engine.packed(pieces, Field(61.1, gap=1.0), 2)
    assert not faults(lay)
    assert 41.0 - 0.005 <= lay.length < 41.1
    wider = engine.packed(pieces, Field(60.9, gap=1.0), 2)
    assert wider.length > 80.0


def test_a_piece_as_wide_as_the_cloth_is_laid() -> None:
    lay = engine.packed([rectangle("a", 10.0, 50.0), rectangle("b", 30.0, 20.0)], Field(50.0), 2)
    assert not faults(lay)
    assert 40.0 <= lay.length < 40.2


def test_two_triangles_are_turned_to_make_a_rectangle_unless_the_cloth_has_a_direction() -> None:
    both = engine.packed([triangle(k, 40.0, 30.0) for k in "ab"], Field(30.0), 2)
    one = engine.packed([triangle(k, 40.0, 30.0, rotations=(0.0,)) for k in "ab"], Field(30.0), 2)
    assert not faults(both)
    assert not faults(one)
    assert both.length < 40.3
    # unturned, the second starts where the first ends: both are as wide as the cloth at x = 0
    assert one.length > 79.0


def test_pieces_on_the_fold_stand_exactly_on_it() -> None:
    field = Field(40.0, gap=0.3, folded=True)
    row = [
        triangle(k, 20.0, h, on_fold=True, rotations=(0.0,), plies=2)
        for k, h in (("back", 25.0), ("yoke", 10.0), ("collar", 6.0))
    ]
    pairs = [rectangle(f"front{i}", 25.0, 15.0, plies=2) for i in range(4)]
    for seed in range(2):
        lay = engine.packed([*row, *pairs], field, 2, seed)
        assert not faults(lay)
        assert all(p.y == 0.0 for p in lay.placements if p.key in ("back", "yoke", "collar"))


def test_few_pieces_on_the_fold_go_through_every_order() -> None:
    row = [rectangle(k, 5.0, 5.0) for k in "abc"]
    orders = {"".join(t.key for t, _ in engine.order_of(row, seed)) for seed in range(6)}
    assert len(orders) == 6
    assert {r for seed in range(6) for _, r in engine.order_of(row, seed)} == {0.0}
    # then they are turned too, where they may be
    assert {r for seed in range(6, 12) for _, r in engine.order_of(row, seed)} == {0.0, 180.0}
    fixed = [rectangle(k, 5.0, 5.0, rotations=(0.0,)) for k in "abc"]
    assert {r for seed in range(12) for _, r in engine.order_of(fixed, seed)} == {0.0}


def test_the_row_on_the_fold_has_the_gap_and_no_more() -> None:
    field = Field(40.0, gap=0.5, folded=True)
    item = frame([(rectangle(k, 10.0, 8.0, on_fold=True), 0.0) for k in "ab"], field)
    (_, first), (_, second) = item.members
    assert 0.5 <= second.x - first.x - 10.0 < 0.6


@pytest.mark.parametrize("repeat", [(5.0, 0.0), (0.0, 6.0), (5.0, 6.0)])
def test_pieces_in_a_repeat_are_laid_on_their_places(repeat: tuple[float, float]) -> None:
    field = Field(60.0, gap=0.3, repeat=repeat, turns=True)
    phases = (Phase("along", (2.0, 3.0), 1.5), Phase("across", (2.0, 3.0), 0.7))
    pieces = [triangle(f"t{i}", 25.0, 18.0, phases=phases) for i in range(6)]
    lay = engine.packed(pieces, field, 2)
    assert not faults(lay)
    assert len(lay.placements) == 6


def test_a_held_back_piece_keeps_its_cloth() -> None:
    pieces = [rectangle(f"c{i}", 10.0, 10.0, kept=1.0, stage="after") for i in range(4)]
    lay = engine.packed(pieces, Field(24.5), 2)
    assert not faults(lay)
    assert 24.0 <= lay.length < 24.1


def test_stopping_keeps_the_best_so_far_and_ends_at_once() -> None:
    lengths: list[float] = []
    pieces = [triangle(f"t{i}", 20.0 + i, 30.0 - i) for i in range(12)]
    start = time.monotonic()
    lay = engine.packed(
        pieces, Field(50.0), 60, tell=lengths.append, stop=lambda: len(lengths) >= 2
    )
    assert time.monotonic() - start < 20.0
    assert not faults(lay)
    assert len(lengths) >= 2
    assert lengths == sorted(lengths, reverse=True)


def test_a_panic_of_the_engine_becomes_one_sentence(capfd: pytest.CaptureFixture[str]) -> None:
    crossed = np.array([[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]])
    with pytest.raises(LayError, match="could not be laid: the packing engine failed") as e:
        engine.asked([Item(crossed, (0.0,), ())], 20.0, 1)
    assert "\n" not in str(e.value)
    too_wide = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 30.0], [0.0, 30.0]])
    with pytest.raises(LayError, match="could not be laid"):
        engine.asked([Item(too_wide, (0.0,), ())], 20.0, 1)
    assert capfd.readouterr() == ("", "")


def test_an_engine_that_cannot_be_started_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object, **__: object) -> None:
        raise OSError(12, "Cannot allocate memory")

    monkeypatch.setattr(subprocess, "Popen", refused)
    with pytest.raises(LayError, match=r"could not be started \(Cannot allocate memory\)"):
        engine.packed([rectangle("a", 5.0, 5.0)], Field(20.0), 1.0)


def test_what_an_engine_found_before_it_was_killed_in_mid_word_counts(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    whole = json.dumps({"width": 5.0, "placed": [[0, 1.0, 2.0, 0.0]]})
    program = f"import sys; sys.stdout.write({whole!r} + chr(10) + {whole[:9]!r})"
    start = subprocess.Popen
    monkeypatch.setattr(
        subprocess, "Popen", lambda _, **more: start([sys.executable, "-c", program], **more)
    )
    item = Item(rectangle("a", 5.0, 5.0).outline, (0.0,), ())
    assert engine.asked([item], 20.0, 1) == [(1.0, 2.0, 0.0)]


def test_the_engine_process_does_not_outlive_whoever_asked() -> None:
    shapes = [[[0, 0], [10 + i, 0], [0, 12 + i]] for i in range(20)]
    items = [{"id": str(i), "shape": s, "orientations": [0, 180]} for i, s in enumerate(shapes)]
    request = {"height": 40, "items": items, "seconds": 60, "seed": 1, "workers": 1}
    process = subprocess.Popen(
        [sys.executable, "-m", "pinwright.cutting.lay.engine_process"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(json.dumps(request) + "\n")
    process.stdin.flush()
    assert json.loads(process.stdout.readline())["width"] > 0.0
    process.stdin.close()
    assert process.wait(timeout=10) == 0
    process.stdout.close()


def refused(pieces: list[Template], field: Field) -> str:
    with pytest.raises(LayError) as e:
        engine.refuse_impossible(pieces, field)
    assert "\n" not in str(e.value)
    return str(e.value)


def test_what_cannot_be_laid_is_refused_in_a_sentence() -> None:
    leg = rectangle("leg", 100.0, 80.0, title="Front")
    assert "Front (trousers) takes 80.0 cm across" in refused([leg], Field(74.0))
    assert "74.0 cm to lay on from the fold" in refused([leg], Field(74.0, folded=True))
    assert "takes 100.0 cm along" in refused([leg], Field(90.0, length=60.0))
    assert "needs some width" in refused([leg], Field(0.0))
    assert "needs some width" in refused([leg], Field(float("nan")))
    assert "needs some length" in refused([leg], Field(90.0, length=-1.0))
    assert "no pieces" in refused([], Field(90.0))
    crossed = np.array([[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]])
    assert "crosses itself" in refused([replace(leg, outline=crossed)], Field(90.0))
    remnant = np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 70.0], [0.0, 70.0]])
    assert "takes 80.0 cm across" in refused([leg], Field(70.0, outline=remnant))
    engine.refuse_impossible([leg], Field(80.0, length=100.0))


def test_a_piece_that_may_lie_across_is_not_refused() -> None:
    strip = rectangle("strip", 20.0, 80.0, rotations=(0.0, 90.0))
    engine.refuse_impossible([strip], Field(30.0))
    lay = engine.packed([strip], Field(30.0), 1)
    assert lay.placements[0].rotation == 90.0
    assert lay.length == pytest.approx(80.0, abs=0.01)
    assert not faults(lay)


def test_the_engine_says_which_fields_are_not_for_it() -> None:
    piece = rectangle("a", 5.0, 5.0)
    assert engine.does([piece], Field(50.0))
    for field in (
        # a flaw right across, and one near the upper edge beyond it: no frame joins the two
        Field(50.0, flaws=((20.0, 0.0, 21.0, 50.0), (25.0, 48.0, 26.0, 49.0))),
        Field(50.0, taken=(piece.outline,)),
        Field(50.0, outline=piece.outline),
    ):
        assert not engine.does([piece], field)
        with pytest.raises(LayError, match="does not lay on a remnant"):
            engine.packed([piece], field, 1)
    # a piece that may not move a whole repeat across has its place chosen by the placer
    wide = rectangle("w", 5.0, 48.0, phases=(Phase("across", (0.0, 0.0), 0.0),))
    assert not engine.does([wide], Field(50.0, repeat=(0.0, 5.0)))
