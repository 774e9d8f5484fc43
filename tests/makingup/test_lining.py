"""The lining sews together, to its facing and into its shell: measured with shapely and by hand."""

from __future__ import annotations

import os
import random
from dataclasses import replace
from functools import lru_cache
from itertools import product
from math import atan2, cos, degrees, sin

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.check.drawing import crosses_itself
from pinwright.check.lining import fitted_lining_checks, lining_checks
from pinwright.cutting.cutline import cut_line, net_polygon
from pinwright.draft import style
from pinwright.errors import DraftError
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, Half, fit
from pinwright.geometry.path import Path
from pinwright.makingup.lining_edges import (
    Draught,
    draught,
    inked,
    lengthened,
    redrawn,
    shortened,
)
from pinwright.makingup.lining_sleeve import sleeve_lining
from pinwright.measures.bdims import women
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge, Piece
from pinwright.workshop.trials import drafted, random_ledger
from tests.draft.jacket.sewing import BACKS, DARTS, EASES, length, outline
from tests.draft.trousers.bodies import body as trouser_body
from tests.draft.trousers.bodies import trousers as drafted_trousers

CLOTHS = ("shirting", "firm", "wool")
JACKETS: tuple[tuple[str, tuple[tuple[str, object], ...]], ...] = tuple(
    (
        "jacket",
        (("lining", "full"), ("ease", e), ("back", b), ("bust_dart", d), ("cloth", CLOTHS[i % 3])),
    )
    for i, (e, d, b) in enumerate(product(EASES, DARTS, BACKS))
)
TROUSERS: tuple[tuple[str, tuple[tuple[str, object], ...]], ...] = tuple(
    ("trousers", (("lining", "front to knee"), ("fit", f), ("waist", w), ("above_floor", a)))
    for f, w, a in product(("slim", "regular", "loose"), ("darts", "eased"), (1.5, 30.0))
)
BODIES = [complete(read_record(w)) for w in women()[4::10]]
"""26 of the 260 women."""
STYLED = (*JACKETS, *TROUSERS)


@lru_cache(maxsize=64)
def draft(index: int, made: int) -> Garment:
    name, choices = STYLED[made]
    return drafted(name, BODIES[index], dict(choices))


def every(half: Half) -> dict[str, Piece]:
    """One side's pieces and what follows from them, by name."""
    derived = style(half.garment.style).derive(
        half.by_name, replace(half.garment, facts=half.facts)
    )
    return {**half.by_name, **{p.name: p for p in derived}}


def pieces_of(garment: Garment) -> dict[str, Piece]:
    return every(fit(garment, []).right)


def sewn(e: Edge) -> float:
    """Sewn length by shapely on a fine polyline."""
    return sum(length(run) for run in e.runs)


def sewn_to(e: Edge, name: str) -> float:
    """The same from the start to a station, by projecting the station's point."""
    run, n = e.stations[name]
    before = sum(length(r) for r in e.runs[:run])
    return before + (length(Path(e.runs[run].ctrl[:n])) if n else 0.0)


def fits(found: dict[str, Piece]) -> None:
    """What a tailor asks of any lining, with other tools than the checks use."""
    for p in (q for q in found.values() if q.layer == "lining"):
        net = outline(p)
        assert net.is_valid, p.name
        assert not crosses_itself(p), p.name
        cloth = shapely.Polygon(cut_line(p))
        assert cloth.is_valid, p.name
        assert cloth.buffer(1e-3).covers(net_polygon(p)), p.name
        assert net_polygon(p).contains(shapely.LineString(p.grain)), p.name
        assert p.stage == "after"
        assert found[p.follows or ""].layer == "shell"
        for d in p.darts:
            assert net_polygon(p).contains(shapely.Point(d.apex)), p.name
            a, b = p.mouth(d.name)
            assert np.hypot(*(a - d.apex)) == pytest.approx(np.hypot(*(b - d.apex)), abs=0.01)
    if "lining_back" in found:
        jacket_fits(found)
    else:
        trousers_fit(found)
    wrong = [c for c in lining_checks(found) if c.verdict != "good"]
    assert not wrong, wrong


def jacket_fits(found: dict[str, Piece]) -> None:
    f, b, facing = found["front"], found["back"], found["front_facing"]
    lf, lb = found["lining_front"], found["lining_back"]
    up = "yoke" if "yoke" in found else "back"
    upper, lu = found[up], found[f"lining_{up}"]
    # side seams: front to back, whole and from each mark, half a cm shorter than the shell's
    assert sewn(lf.edge("side")) == pytest.approx(sewn(lb.edge("side")), abs=0.1)
    for mark in ("waist", "hip"):
        if mark in lf.edge("side").stations and mark in lb.edge("side").stations:
            ends = [sewn(p.edge("side")) - sewn_to(p.edge("side"), mark) for p in (lf, lb)]
            assert ends[0] == pytest.approx(ends[1], abs=0.2)
    assert sewn(lf.edge("side")) == pytest.approx(sewn(f.edge("side")) - 1.5 + 1.0, abs=1e-4)
    # facing, shoulder and neck
    assert sewn(lf.edge("inner")) == pytest.approx(sewn(facing.edge("inner")) - 1.5, abs=1e-4)
    shoulder = sewn(lf.edge("shoulder")) + sewn(facing.edge("shoulder"))
    planned = sewn(f.edge("shoulder")) - sewn(upper.edge("shoulder"))
    assert shoulder - sewn(lu.edge("shoulder")) == pytest.approx(planned, abs=1e-4)
    assert shoulder == pytest.approx(sewn(f.edge("shoulder")) + 0.4, abs=1e-4)
    shell_neck = sewn(f.edge("neck")) + sewn(upper.edge("neck"))
    assert sewn(lu.edge("neck")) == pytest.approx(shell_neck - sewn(facing.edge("neck")), abs=1e-4)
    # the lining covers what the facing leaves, and no more than its ease beyond
    whole = straight(lf).union(straight(facing))
    bare = straight(f).difference(whole)
    below = f.edge("hem").runs[0].bounds[3] + 2.0
    above = bare.intersection(shapely.box(-50.0, below, 80.0, 120.0))
    assert above.area < 0.02
    lap = straight(lf).intersection(straight(facing))
    assert lap.area < 0.02
    # the pleat: one cm beyond the centre back all along
    centre, fold = b.edge("centre").runs[0], lb.edge("centre").runs[0]
    assert lb.fold == "centre"
    assert lb.edge("centre").allowance == 0.0
    assert shapely.LineString(centre.flatten(1e-4)).distance(
        shapely.LineString(fold.flatten(1e-4))
    ) == pytest.approx(1.0, abs=1e-6)
    assert length(fold) == pytest.approx(length(centre) - 1.5, abs=1e-4)
    if "lining_yoke" in found:
        difference = sewn(b.edge("yoke")) - sewn(upper.edge("yoke"))
        assert sewn(lb.edge("yoke")) - sewn(lu.edge("yoke")) == pytest.approx(difference, abs=1e-4)
    # the cap's ease over the raised armhole, half by half
    for half, names in (("front", ("front",)), ("back", ("back", "yoke"))):
        there = [n for n in names if n in found]
        ease = {}
        for kind in ("", "lining_"):
            cap = found[f"{kind}sleeve"].edge("cap")
            top = sewn_to(cap, "shoulder")
            ease[kind] = (top if half == "front" else sewn(cap) - top) - sum(
                sewn(found[kind + n].edge("armhole")) for n in there
            )
        assert ease[""] - 1e-3 < ease["lining_"] < ease[""] + 1.0, half
    # nothing hangs out
    for name, marks, least in (
        ("front", ("hem_side",), 1.0),
        ("back", ("hem_side", "hem_centre"), 1.0),
        ("sleeve", ("hem_front", "hem_back"), 1.5),
    ):
        for mark in marks:
            here = found[f"lining_{name}"].point(f"hem:{mark}")
            assert here[1] - found[name].point(f"hem:{mark}")[1] > least
    # at the side seam the armhole runs through as the shell's does
    assert through(lf, lb) == pytest.approx(through(f, b), abs=1e-6)
    under = [found[f"lining_{n}"].edge("hem") for n in ("front", "back", "sleeve")]
    assert all(e.allowance == 2.0 for e in under)


def straight(piece: Piece) -> shapely.Polygon:
    """The net area to a thousandth, mouths of darts crossed straight."""
    parts = [q.flatten(1e-3)[:-1] for q in piece.outline(caps=False)]
    return shapely.Polygon(np.concatenate(parts))


def through(front: Piece, back: Piece) -> float:
    """The two angles at the underarm together, degrees: 180 where the armhole runs through."""

    def angle(p: Piece) -> float:
        down, along = -p.edge("side").runs[-1].end_tangent, p.edge("armhole").runs[0].start_tangent
        turn = degrees(atan2(along[0] * down[1] - along[1] * down[0], float(along @ down)))
        return turn % 360.0

    return angle(front) + angle(back)


def trousers_fit(found: dict[str, Piece]) -> None:
    front, lining = found["front"], found["lining_front"]
    assert sewn(lining.edge("waist")) == pytest.approx(sewn(front.edge("waist")), abs=1e-9)
    assert sewn(lining.edge("centre")) == pytest.approx(sewn(front.edge("centre")), abs=1e-9)
    assert net_polygon(lining).difference(net_polygon(front).buffer(0.02)).area < 0.01
    legs = (
        sewn(front.edge("inseam")) - sewn_to(front.edge("inseam"), "knee"),
        sewn_to(front.edge("side"), "knee"),
    )
    for name, to_hem in zip(("inseam", "side"), legs, strict=True):
        left = sewn(front.edge(name)) - sewn(lining.edge(name))
        assert left == pytest.approx(max(to_hem - 10.0, 5.0), abs=1e-3), name
    assert lining.edge("lower").allowance == 0.0


@pytest.mark.parametrize("made", range(len(STYLED)))
def test_every_style_is_lined_for_open_data_women(made: int) -> None:
    """Every choice of ease, back, dart and leg, each for one of 26 women."""
    fits(pieces_of(draft(made % len(BODIES), made)))


@settings(max_examples=40, deadline=None)
@given(st.integers(0, len(BODIES) - 1), st.integers(0, len(STYLED) - 1), st.integers(0, 10_000))
def test_any_ledger_leaves_a_lining_that_sews(index: int, made: int, seed: int) -> None:
    garment = draft(index, made)
    fitted = fit(garment, random_ledger(garment, random.Random(seed)))
    for _, half in fitted.halves:
        fits(every(half))


@pytest.mark.prove
def test_open_data_women_and_ledgers() -> None:
    """Every fourth of them; all with PINWRIGHT_PROVE=1, which takes two minutes."""
    step = 1 if os.environ.get("PINWRIGHT_PROVE") else 4
    rng = random.Random(11)
    for index in range(0, len(BODIES), step):
        for made in range(len(STYLED)):
            garment = draft(index, made)
            for _, half in fit(garment, random_ledger(garment, rng)).halves:
                fits(every(half))


# --- what it does, by hand -----------------------------------------------------------------


@pytest.mark.parametrize("dart", DARTS)
def test_the_side_moves_as_one_when_the_bust_dart_is_sewn(dart: str) -> None:
    """Turned by hand about the dart's point, the whole side lies 0.4 outside the shell's."""
    made = next(i for i, (_, c) in enumerate(JACKETS) if ("bust_dart", dart) in c)
    found = pieces_of(draft(3, made))
    shell, lining = found["front"], found["lining_front"]
    closed = []
    for p in (shell, lining):
        last = p.edge("side").runs[-1].ctrl.reshape(-1, 2)
        if p.darts[0].edge == "side":
            apex = np.asarray(p.darts[0].apex)
            a, b = (end - apex for end in p.mouth("bust dart"))
            turn = atan2(b[0] * a[1] - b[1] * a[0], float(a @ b))
            matrix = np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]])
            last = (last - apex) @ matrix.T + apex
        closed.append(last)
    # the shell's side, 0.4 further out; the lining's goes on 1.0 beyond it
    seam = shapely.LineString(Path(closed[1].reshape(-1, 4, 2)).flatten(1e-4))
    for point in closed[0].reshape(-1, 4, 2)[:, 3] + np.array([0.4, 0.0]):
        assert seam.distance(shapely.Point(point)) < 1e-3
    step = closed[1][-1] - closed[0][-1] - np.array([0.4, 0.0])
    assert np.hypot(*step) == pytest.approx(1.0, abs=1e-9)


def test_edges_by_hand() -> None:
    straight = Edge("side", "a", "b", (Path.polyline([[0, 0], [0, 4], [0, 10]]),))
    d = replace(draught(straight), stations={"waist": (0, 4.0), "hip": (0, 1.0)})
    short = inked("side", "a", shortened(d, "the side", start=1.5), "b")
    assert set(short.stations) == {"waist"}
    assert short.distance("waist") == pytest.approx(2.5)
    assert short.length == pytest.approx(8.5)
    both = inked("side", "a", lengthened(shortened(d, "it", end=6.5), 2.0, 1.0), "b")
    assert set(both.stations) == {"hip"}
    assert both.distance("hip") == pytest.approx(3.0)
    assert both.length == pytest.approx(6.5)
    assert both.first.tolist() == [0.0, -2.0]
    with pytest.raises(DraftError, match=r"the side is 10\.0 cm long"):
        shortened(d, "the side", start=9.5)


def test_an_edge_drawn_out_moves_its_joints_by_share_and_keeps_directions() -> None:
    quarter = Path.arc((0.0, 0.0), 10.0, 0.0, 90.0)
    piece = pieces_of(draft(0, 0))["front"]  # its darts are not asked for
    moved = redrawn(piece, Draught((quarter,)), np.array([1.0, 0.0]), np.array([0.0, 2.0])).runs[0]
    assert moved.start.tolist() == pytest.approx([11.0, 0.0])
    assert moved.end.tolist() == pytest.approx([0.0, 12.0])
    assert moved.start_tangent == pytest.approx([0.0, 1.0])
    assert moved.end_tangent == pytest.approx([-1.0, 0.0], abs=1e-12)
    # where a joint lay at a share of the arc, it moved by the same share
    for k in range(1, quarter.spans):
        share = quarter.cumulative[k] / quarter.length
        by = moved.ctrl[k, 0] - quarter.ctrl[k, 0]
        assert by == pytest.approx([1.0 - share, 2.0 * share], abs=1e-9)


def test_lining_is_wider_by_its_ease_and_pleat() -> None:
    found = pieces_of(draft(2, 0))

    def at(p: Piece, y: float) -> float:
        level = shapely.LineString([(-50.0, y), (90.0, y)])
        return float(net_polygon(p, 1e-4).intersection(level).length)

    front, facing = at(found["front"], 0.0), at(found["front_facing"], 0.0)
    assert at(found["lining_front"], 0.0) + facing == pytest.approx(front + 0.4, abs=1e-3)
    assert at(found["lining_back"], 0.0) == pytest.approx(at(found["back"], 0.0) + 1.4, abs=1e-3)
    y = float(found["sleeve"].point("under_front:elbow")[1])
    sleeve = at(found["sleeve"], y)
    assert at(found["lining_sleeve"], y) == pytest.approx(sleeve + 0.4, abs=1e-3)


def test_a_cap_that_would_be_short_is_raised_at_its_top() -> None:
    sleeve = pieces_of(draft(0, 0))["sleeve"]
    n = sleeve.edge("cap").stations["shoulder"][1]
    tops, eases = [], []
    for shorter in ((5.0, 5.0), (0.6, 0.2), (0.1, 0.9)):
        lining = sleeve_lining(sleeve, shorter)
        tops.append(float(lining.point("cap:shoulder")[1] - sleeve.point("cap:shoulder")[1]))
        halves = []
        for p in (sleeve, lining):
            ctrl = p.edge("cap").runs[0].ctrl
            halves.append((length(Path(ctrl[:n])), length(Path(ctrl[n:]))))
        eases.append([halves[1][k] - halves[0][k] + shorter[k] for k in (0, 1)])
    assert tops[0] == 0.0
    for top, more in zip(tops[1:], eases[1:], strict=True):
        assert 0.1 < top < 3.0
        # the half that lacked most has the shell's ease exactly, the other more
        assert min(more) == pytest.approx(0.0, abs=1e-4)


@pytest.mark.parametrize("place", ["elbow", "sleeve_hem"])
def test_a_sleeve_made_longer_has_a_longer_lining(place: str) -> None:
    garment = draft(0, 0)
    fitted = fit(garment, [Correction("sleeve_length", place, "both", {"amount": 1.5})])
    assert not fitted.refused
    before, after = pieces_of(garment), every(fitted.right)
    for name in ("sleeve", "lining_sleeve"):
        drop = before[name].edge("hem").first[1] - after[name].edge("hem").first[1]
        assert drop == pytest.approx(1.5, abs=0.02), name


def test_without_lining_nothing_is_added() -> None:
    for name, bare, asked in (("jacket", "none", "full"), ("trousers", "none", "front to knee")):
        made = style(name)
        assert made.choose({})["lining"] == bare
        with_it = drafted(name, BODIES[0], {"lining": asked})
        without = drafted(name, BODIES[0])
        a = made.derive({p.name: p for p in with_it.pieces}, with_it)
        b = made.derive({p.name: p for p in without.pieces}, without)
        assert not [p for p in b if p.layer == "lining"]
        # the same pieces, and the lining last
        assert [p.name for p in a[: len(b)]] == [p.name for p in b]
        assert all(p.layer == "lining" for p in a[len(b) :])
        assert len(a) > len(b)
        # an order from before there was a lining
        old = replace(without, choices={k: v for k, v in without.choices.items() if k != "lining"})
        assert len(made.derive({p.name: p for p in old.pieces}, old)) == len(b)


# --- the checks find what is wrong ----------------------------------------------------------


def stretched(piece: Piece, edge: str, by: float) -> Piece:
    """The piece with one edge's curve so much longer and its neighbours left where they were:
    a bulge in the middle of its longest span."""
    e = piece.edge(edge)
    i = max(range(len(e.runs)), key=lambda r: e.runs[r].length)
    run = e.runs[i]
    k = int(np.argmax(np.diff(run.cumulative)))
    for out in np.linspace(0.0, 12.0, 2401):
        ctrl = run.ctrl.copy()
        normal = run.normal(0.5 * (run.cumulative[k] + run.cumulative[k + 1]))
        ctrl[k, 1:3] += out * normal
        if Path(ctrl).length - run.length >= by:
            break
    runs = (*e.runs[:i], Path(ctrl), *e.runs[i + 1 :])
    return piece.with_edges(
        tuple(replace(e, runs=runs) if x.name == edge else x for x in piece.edges)
    )


@pytest.mark.parametrize(
    ("piece", "edge", "told"),
    [
        ("lining_front", "side", "side seam, hem side to underarm"),
        ("lining_back", "side", "side seam against the back's"),
        ("lining_front", "inner", "to the facing"),
        ("lining_front", "shoulder", "shoulder, front to back"),
        ("lining_yoke", "neck", "neck"),
        ("lining_yoke", "yoke", "yoke seam"),
        ("lining_sleeve", "under_back", "sleeve seam"),
    ],
)
def test_a_seam_off_by_a_quarter_is_wrong(piece: str, edge: str, told: str) -> None:
    made = next(i for i, (_, c) in enumerate(JACKETS) if ("back", "yoke") in c)
    found = pieces_of(draft(5, made))
    found[piece] = stretched(found[piece], edge, 0.25)
    wrong = {c.name for c in lining_checks(found) if c.verdict == "wrong"}
    assert f"Lining: {told}" in wrong


def test_a_cap_without_ease_and_a_narrow_lining_are_wrong() -> None:
    found = pieces_of(draft(5, 0))
    moved = found["lining_sleeve"]
    low = moved.with_edges(
        tuple(
            replace(e, runs=tuple(Path(r.ctrl * [1.0, 0.8]) for r in e.runs)) for e in moved.edges
        )
    )
    wrong = {c.name for c in lining_checks({**found, "lining_sleeve": low}) if c.verdict == "wrong"}
    assert "Lining: ease of the cap, front" in wrong
    assert "Lining: sleeve, hem front, above the finished hem" in wrong
    back = found["lining_back"]
    tight = back.with_edges(
        tuple(
            replace(e, runs=tuple(Path(r.ctrl * [0.97, 1.0]) for r in e.runs)) for e in back.edges
        )
    )
    wrong = {c.name for c in lining_checks({**found, "lining_back": tight}) if c.verdict == "wrong"}
    assert "Lining: back at the waist" in wrong


def test_trouser_lining_that_reaches_the_hem_is_wrong() -> None:
    garment = drafted_trousers(trouser_body(), lining="front to knee")
    found = pieces_of(garment)
    assert all(c.verdict == "good" for c in lining_checks(found))
    front = found["front"]
    renamed = tuple(
        replace(e, name="lower", allowance=0.0) if e.name == "hem" else e for e in front.edges
    )
    long = replace(found["lining_front"], edges=renamed)
    wrong = {c.name for c in lining_checks({**found, "lining_front": long}) if c.verdict == "wrong"}
    assert {"Lining: front, inseam, above the hem", "Lining: front, side, above the hem"} <= wrong


def test_no_lining_no_checks() -> None:
    assert lining_checks(pieces_of(drafted("jacket", BODIES[0]))) == ()


def test_a_side_that_differs_is_checked_for_itself() -> None:
    garment = draft(0, 0)
    derive = style("jacket").derive
    one = fit(garment, [Correction("sleeve_length", "sleeve_hem", "right", {"amount": 1.0})])

    def made(fitted: Fitted) -> dict[str, tuple[Piece, ...]]:
        return {
            side: derive(half.by_name, replace(half.garment, facts=half.facts))
            for side, half in fitted.halves
        }

    plain = fit(garment, [])
    both = fitted_lining_checks(plain, made(plain))
    sides = fitted_lining_checks(one, made(one))
    assert {c.side for c in both} == {"both"}
    assert {c.side for c in sides} == {"right", "left"}
    assert len(sides) == 2 * len(both)
