"""The path of the graphics card, run on the processor: the same forces, steps and rest.

What is compared with is the processor's own solver without ease (places that come to rest by
themselves, which the card leaves out), scipy's sparse solver, and a strip that hangs by its weight,
whose elongation is w L^2 / 2 E (w its weight and E its stiffness for each width: the bar under its
own weight of every book on the strength of materials).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import spsolve

from pinwright.drape.data import Surface
from pinwright.drape.field import Field, field_of
from pinwright.drape.solver.acting import GRAVITY, Setting, State, Work, forces
from pinwright.drape.solver.hearts import hearts
from pinwright.drape.solver.membrane import retaken, stiffness
from pinwright.drape.solver.settling import NEAR, settled
from pinwright.drape.solver.stencils import bending, stencils
from pinwright.drape.solver.stepping import gone

wp = pytest.importorskip("warp")

from pinwright.drape.gpu.card import Card  # noqa: E402
from pinwright.drape.gpu.device import available, fast  # noqa: E402
from pinwright.drape.gpu.easing import PROCESSOR, Eases  # noqa: E402
from pinwright.drape.gpu.planning import plan_of  # noqa: E402
from pinwright.drape.gpu.plans import Plans  # noqa: E402
from pinwright.drape.gpu.settling import OnCard, settled_batch  # noqa: E402
from pinwright.drape.solver.dissecting import dissected  # noqa: E402

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

SIDE = 3.5
"""Of the triangles, cm."""


def cylinder(around: int, levels: int, side: float) -> tuple[Array, Whole, Array]:
    """A closed tube: flat points (n, 2), triangles (m, 3) and their flat corners (m, 3, 2)."""

    def flat(i: int, j: int) -> tuple[float, float]:
        return (i + 0.5 * (j % 2)) * side, j * side * np.sqrt(3.0) / 2.0

    triangles, rest = [], []
    for j in range(levels - 1):
        for i in range(around):
            even = j % 2 == 0
            for corners in (
                [(i, j), (i + 1, j), (i, j + 1) if even else (i + 1, j + 1)],
                [(i + 1, j) if even else (i, j), (i + 1, j + 1), (i, j + 1)],
            ):
                triangles.append([b * around + a % around for a, b in corners])
                rest.append([flat(a, b) for a, b in corners])
    points = np.array([flat(i, j) for j in range(levels) for i in range(around)])
    return points, np.array(triangles), np.array(rest)


def body() -> Field:
    """A round body of 68 cm girth with a bulge of 74 cm at 35 cm height."""
    z = np.linspace(-10.0, 85.0, 60)
    r = (68.0 + 6.0 * np.exp(-(((z - 35.0) / 8.0) ** 2))) / (2.0 * np.pi)
    t = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    points = np.stack(
        [r[:, None] * np.cos(t), r[:, None] * np.sin(t), np.repeat(z[:, None], 60, axis=1)], axis=2
    ).reshape(-1, 3)
    at = np.arange(59)[:, None] * 60
    k, l = np.arange(60), (np.arange(60) + 1) % 60
    quads = [at + k, at + l, at + 60 + l, at + 60 + k]
    a, b, c, d = (q.ravel() for q in quads)
    return Surface_field(points, np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)]))


def Surface_field(points: Array, triangles: Whole) -> Field:  # noqa: N802
    return field_of(Surface(points, triangles))


def tube(wide: float = 1.0, firm: float = 1.0, **more: object) -> tuple[Setting, Array]:
    """A tube of 70 cm, wider and firmer by these factors, that begins 2.5 cm off."""
    flat, triangles, rest = cylinder(20, 20, SIDE)
    s = stencils(len(flat), triangles, rest * np.array([wide, 1.0]))
    matrix, pairs = bending(s, 100.0 * firm, 80.0 * firm)
    stiff = np.tile(firm * np.array([4e5, 0.1 * np.sqrt(32e10), 8e5, 3e4]), (len(triangles), 1))
    setting = Setting(s, stiff, matrix, pairs, 0.02 * s.load, half=0.02, body=FIELD, **more)  # type: ignore[arg-type]
    r = 70.0 / (2.0 * np.pi) + 2.5
    t = flat[:, 0] / 70.0 * 2.0 * np.pi
    return setting, np.stack([r * np.cos(t), r * np.sin(t), flat[:, 1]], axis=1)


FIELD = body()


@pytest.fixture
def exact(monkeypatch: pytest.MonkeyPatch) -> None:
    """The processor solves as nearly as the card, which does it in double precision."""
    monkeypatch.setattr("pinwright.drape.solver.fronts.GOOD", 1e-12)
    monkeypatch.setattr("pinwright.drape.solver.fronts.TIMES", 8)


def crushed(x: Array) -> Array:
    """Cloth partly in the body, stretched and pushed together."""
    rng = np.random.default_rng(3)
    found: Array = x * np.array([0.8, 0.83, 1.0]) + rng.normal(0.0, 0.3, x.shape)
    return found


def held(n: int, axis: int = 2) -> dict[str, object]:
    rng = np.random.default_rng(4)
    return {
        "friction": 0.3,
        "pinned": np.array([3, 17]),
        "kept": np.where(rng.uniform(size=n) < 0.1, 500.0, 0.0),
        "kept_at": rng.uniform(0.0, 60.0, n),
        "kept_axis": axis,
    }


def heard(into: list[float]) -> Callable[[int, float], bool]:
    """Notes the residuals."""

    def hear(_: int, left: float) -> bool:
        into.append(left)
        return True

    return hear


def on_processor(s: Setting, x: Array, anchor: Array) -> tuple[State, Work]:
    w = Work(s)
    state = State(x.copy(), anchor.copy(), x * 0.0, np.zeros(len(x)))
    forces(s, w, state)
    st = s.stencils
    retaken(w.stress, w.push, w.pull)
    stiffness(
        st.ends,
        st.triangle,
        st.corner_a,
        st.corner_b,
        st.slopes,
        st.area,
        s.stiff,
        w.bent,
        w.pull,
        s.bend_pairs,
        w.values,
    )
    return state, w


@pytest.mark.parametrize("axis", [0, 2])
def test_forces_energy_and_blocks_are_those_of_the_processor(axis: int) -> None:
    plain, x = tube()
    s = replace(plain, **held(len(x), axis))  # type: ignore[arg-type]
    x, anchor = crushed(x), crushed(x) + 0.2
    x[:5] += np.array([0.0, 0.0, -60.0])  # beyond the field
    x[30:33] += np.array([80.0, -90.0, 0.0])
    state, w = on_processor(s, x, anchor)
    assert (state.touch > 0.0).sum() > 50
    with wp.ScopedDevice("cpu"):
        card = Card([s], x[None], anchor[None], 0.03, Plans(s.stencils, x))
        card.start()
        card.begin()
    for mine, theirs in (
        (card.acting.force, state.force),
        (card.acting.touch, state.touch),
        (card.acting.blocks, w.blocks),
        (card.acting.distance, w.distance),
        (card.acting.direction, w.direction),
        (card.values, w.values),
    ):
        found = mine.numpy()[0].reshape(theirs.shape)
        assert np.abs(found - theirs).max() <= 1e-9 * np.abs(theirs).max()
    assert card.total.numpy()[0] == pytest.approx(state.energy, rel=1e-9)


def test_forces_are_the_slope_of_the_energy() -> None:
    s, x = tube()
    x = crushed(x)
    rng = np.random.default_rng(6)
    way = rng.normal(size=x.shape)
    e = 1e-5
    there = np.stack([x, x + e * way, x - e * way])
    (here, _), (up, _), (down, _) = settled_batch([s] * 3, there, steps=0, device="cpu")
    slope = (up.energy - down.energy) / (2.0 * e)
    assert -np.vdot(here.force, way) == pytest.approx(slope, rel=1e-5)


def test_a_step_solves_the_system_as_a_sparse_solver_does() -> None:
    plain, x = tube()
    s = replace(plain, **held(len(x)))  # type: ignore[arg-type]
    x = crushed(x)
    with wp.ScopedDevice("cpu"):
        card = Card([s, s], np.stack([x, x]), None, 0.03, Plans(s.stencils, x))
        card.start()
        card.begin()
        card.solve()
    values = card.values.numpy()[1].reshape(-1, 3, 3)
    values[: len(x)] = card.diagonal.numpy()[1].reshape(-1, 3, 3)
    first, second = s.stencils.first, s.stencils.second
    k, l = np.meshgrid(np.arange(3), np.arange(3), indexing="ij")
    rows = (3 * first[:, None, None] + k).ravel()
    columns = (3 * second[:, None, None] + l).ravel()
    off = np.repeat(first != second, 9)
    matrix = csc_array(
        coo_array(
            (
                np.concatenate([values.ravel(), values.ravel()[off]]),
                (
                    np.concatenate([rows, columns[off]]),
                    np.concatenate([columns, rows[off]]),
                ),
            ),
            shape=(3 * len(x), 3 * len(x)),
        )
    )
    right = card.right.numpy()[1].ravel()
    expected = spsolve(matrix, right)
    found = card.dx.numpy()[1].ravel()
    assert np.abs(found - expected).max() <= 1e-9 * np.abs(expected).max()
    assert np.array_equal(card.dx.numpy()[0], card.dx.numpy()[1])


def test_every_vertex_is_eliminated_once() -> None:
    s, x = tube()
    first, second = s.stencils.first, s.stencils.second
    ones = np.ones(2 * len(first), np.int8)
    graph = coo_array(
        (ones, (np.concatenate([first, second]), np.concatenate([second, first])))
    ).tocsr()
    parts = dissected(graph, x)
    assert len(parts) > 5
    assert np.array_equal(np.sort(np.concatenate(parts)), np.arange(len(x)))
    plan = plan_of(s.stencils, x)
    assert np.array_equal(np.sort(plan.pair), np.arange(len(first)))


@pytest.mark.parametrize("ease", [False, True])
def test_a_tight_tube_comes_to_the_rest_of_the_processor(ease: bool) -> None:
    s, x = tube(friction=0.3)
    state, rest = settled(s, x, 1e-2, longest=5.0, ease=ease)
    ((found, there),) = settled_batch(
        [s], x[None], 1e-2, longest=5.0, device="cpu", ease=PROCESSOR if ease else None
    )
    assert rest.residual <= 1e-2
    assert there.residual <= 1e-2
    assert np.linalg.norm(found.x - state.x, axis=1).max() <= 0.02
    assert abs(there.steps - rest.steps) <= 1
    assert found.touch.sum() == pytest.approx(state.touch.sum(), rel=1e-3)


@pytest.mark.usefixtures("exact")
@pytest.mark.parametrize("ease", [False, True])
def test_every_step_down_to_rest_is_that_of_the_processor(ease: bool) -> None:
    s, x = tube(friction=0.3)
    theirs: list[float] = []
    mine: list[float] = []
    _, rest = settled(s, x, 1e-4, longest=5.0, tell=heard(theirs), ease=ease)
    ((_, there),) = settled_batch(
        [s],
        x[None],
        1e-4,
        longest=5.0,
        tell=heard(mine),
        device="cpu",
        ease=PROCESSOR if ease else None,
    )
    assert max(rest.residual, there.residual) <= 1e-4
    # some of them with what pushes as it is
    assert (np.array(theirs) < NEAR).sum() >= 4
    assert mine == pytest.approx(theirs, rel=1e-5)


@pytest.mark.usefixtures("exact")
@pytest.mark.parametrize("friction", [0.0, 0.3])
def test_places_come_to_rest_by_themselves_as_on_the_processor(
    friction: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two variants, of which one falls out of its folds, in forty steps of each."""
    given = [tube(friction=friction), tube(0.95, friction=friction)]
    theirs: list[list[float]] = []
    eased = 0

    def counted(*args: Any) -> object:
        nonlocal eased
        inside, aim = hearts(*args)
        eased += aim[0] >= 0.0
        return inside, aim

    # so small a sheet has hardly any places that are few
    monkeypatch.setattr("pinwright.drape.solver.hearts.SPARSE", 10)
    monkeypatch.setattr("pinwright.drape.solver.settling.hearts", counted)
    for s, x in given:
        theirs.append([])
        state, _ = settled(s, x, 1e-3, 40, longest=5.0, tell=heard(theirs[-1]))
    # not once only, but where there is something to ease
    assert eased >= 20
    found = settled_batch(
        [s for s, _ in given],
        np.stack([x for _, x in given]),
        1e-3,
        40,
        longest=5.0,
        device="cpu",
        ease=PROCESSOR,
    )
    assert [r.steps for _, r in found] == [len(v) for v in theirs]
    assert np.linalg.norm(found[1][0].x - state.x, axis=1).max() <= 1e-5


def test_places_come_to_rest_by_themselves_only_from_some_step_on_and_then_in_another_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Under one residual in the steps after the fifth, under another in those after the eighth."""
    s, x = tube(0.95)
    step, asked = 0, []

    def counted(*args: Any) -> object:
        asked.append((step, args[-1]))
        return hearts(*args)

    def heard_of(k: int, _left: float) -> bool:
        nonlocal step
        step = k
        return True

    monkeypatch.setattr("pinwright.drape.gpu.easing.hearts", counted)
    ease = Eases(1, 2, 70.0, False, 5, Eases(1, 2, 90.0, False, 8))
    settled_batch([s], x[None], 1e-3, 11, longest=5.0, device="cpu", tell=heard_of, ease=ease)
    assert asked == [(k, 70.0) for k in (6, 7, 8)] + [(k, 90.0) for k in (9, 10, 11)]


@pytest.mark.parametrize("wide", [1.0, 0.95])
def test_where_rest_is_unique_it_is_that_of_the_processor_with_ease(wide: float) -> None:
    s, x = tube(wide)
    # no friction, so that it does not matter how it came there, and held at its top, as wide as it
    # is there or as the body lets it be
    top = x[:, 2] > x[:, 2].max() - 0.1
    x[top, :2] *= max(wide * 70.0, 68.3) / (70.0 + 2.5 * 2.0 * np.pi)
    s = replace(s, pinned=np.flatnonzero(top))
    state, rest = settled(s, x, 1e-2, longest=5.0)
    ((found, there),) = settled_batch([s], x[None], 1e-2, longest=5.0, device="cpu")
    assert rest.residual <= 1e-2
    assert there.residual <= 1e-2
    assert np.linalg.norm(found.x - x, axis=1).max() > 1.0
    assert np.linalg.norm(found.x - state.x, axis=1).max() <= 0.02
    assert found.touch.sum() == pytest.approx(state.touch.sum(), rel=1e-3)


@pytest.mark.usefixtures("exact")
@pytest.mark.parametrize(("firm", "reach", "whole"), [(4.0, 1.0, True), (4.0, 3.0, False)])
def test_steps_that_go_wrong_are_mended_as_on_the_processor(
    firm: float, reach: float, whole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    s, x = tube(firm=firm, friction=0.2)
    x = crushed(x)
    theirs: list[float] = []
    mine: list[float] = []
    parts: list[float] = []

    def watched(*args: Any, **more: Any) -> tuple[float, float, float]:
        found = gone(*args, **more)
        parts.append(found[1])
        return found

    monkeypatch.setattr("pinwright.drape.solver.settling.gone", watched)
    state, _ = settled(s, x, 1e-2, 14, 0.5, 5.0, reach, tell=heard(theirs), ease=False)
    ((found, _),) = settled_batch(
        [s],
        x[None],
        1e-2,
        14,
        0.5,
        5.0,
        reach,
        tell=heard(mine),
        device="cpu",
        ease=None,
    )
    assert len(mine) == 14
    # slower where it goes wrong is enough, or it is not and a part of the whole step is taken
    assert (min(parts) == 1.0) == whole
    assert mine == pytest.approx(theirs, rel=1e-5)
    assert np.linalg.norm(found.x - state.x, axis=1).max() <= 1e-5


def test_variants_of_a_batch_rest_as_each_does_alone() -> None:
    given = [tube(friction=0.3), tube(0.99, 0.8, friction=0.4), tube(0.98, 1.2, friction=0.3)]
    settings = [s for s, _ in given]
    x = np.stack([x for _, x in given])
    found = settled_batch(settings, x, 2e-2, longest=5.0, device="cpu", ease=None)
    for k, s in enumerate(settings):
        state, rest = settled(s, x[k], 2e-2, longest=5.0, ease=False)
        assert found[k][1].residual <= 2e-2
        assert abs(found[k][1].steps - rest.steps) <= 1
        assert np.linalg.norm(found[k][0].x - state.x, axis=1).max() <= 0.02
    girths = [np.hypot(f.x[:, 0], f.x[:, 1]).mean() for f, _ in found]
    assert np.abs(np.diff(girths)).min() > 0.01


def test_where_few_of_a_batch_go_on_no_threads_begin_for_the_others(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """And the one that goes on does so as alone, to the last bit."""
    s, x = tube(friction=0.3)
    plans = Plans(s.stencils, x)
    asked = {"enough": 2e-2, "longest": 5.0, "device": "cpu", "ease": None, "plans": plans}
    ((alone, rest),) = settled_batch([s], x[None], **asked)  # type: ignore[arg-type]
    rows: list[int] = []

    def choose(card: Card, on: Whole, plain: Callable[[Card, Whole], int] = Card.choose) -> int:
        rows.append(plain(card, on))
        assert set(np.flatnonzero(on)) <= set(card.room.rows.numpy()[: rows[-1]].tolist())
        return rows[-1]

    monkeypatch.setattr(Card, "choose", choose)
    at = np.repeat(alone.x[None], 5, axis=0)
    at[3] = x
    found = settled_batch([s] * 5, at, **asked)  # type: ignore[arg-type]
    assert rows[0] == 5
    assert rows[-1] == 2
    assert found[0][1].steps < found[3][1].steps == rest.steps
    assert np.array_equal(found[3][0].x, alone.x)


def test_a_strip_stretches_under_its_own_weight() -> None:
    long, wide = 20, 4
    i, j = np.meshgrid(np.arange(wide + 1), np.arange(long + 1))
    flat = np.stack([i.ravel(), j.ravel()], axis=1).astype(np.float64)
    at = (i + (wide + 1) * j)[:-1, :-1].ravel()
    triangles = np.concatenate(
        [
            np.stack([at, at + 1, at + wide + 2], axis=1),
            np.stack([at, at + wide + 2, at + wide + 1], axis=1),
        ]
    )
    s = stencils(len(flat), triangles, flat[triangles])
    matrix, pairs = bending(s, 50.0, 50.0)
    top = np.flatnonzero(flat[:, 1] == long)
    weight = 0.03
    stiffs = np.array([1e5, 2e5, 4e5])
    settings = [
        Setting(
            s,
            np.tile([k, 0.0, k, 0.4 * k], (len(triangles), 1)),
            matrix,
            pairs,
            weight * s.load,
            pinned=top,
        )
        for k in stiffs
    ]
    x = np.stack([flat[:, 0], 0.0 * flat[:, 0], flat[:, 1]], axis=1)
    found = settled_batch(settings, np.stack([x] * 3), 1e-4, device="cpu")
    longer = np.array([-f.x[flat[:, 1] == 0.0, 2].mean() for f, _ in found])
    expected = weight * GRAVITY * long**2 / (2.0 * stiffs)
    # the cloth hardens as it stretches, by about 3/2 of a strain of at most 0.6 %
    assert longer == pytest.approx(expected, rel=0.015)


@pytest.mark.usefixtures("exact")
def test_a_system_that_is_not_positive_definite_takes_a_shorter_step() -> None:
    plain, x = tube()
    s = replace(plain, bend=-plain.bend, bend_pairs=-plain.bend_pairs)
    state, _ = settled(s, x, steps=3, h=5.0, longest=5.0, ease=False)
    ((found, rest),) = settled_batch(
        [s], x[None], steps=3, h=5.0, longest=5.0, device="cpu", ease=None
    )
    assert rest.steps == 3
    assert np.linalg.norm(found.x - state.x, axis=1).max() <= 1e-6


def test_work_that_is_stopped_keeps_what_it_has() -> None:
    s, x = tube()
    ((state, rest),) = settled_batch([s], x[None], device="cpu", tell=lambda done, left: done < 3)
    assert rest.stopped
    assert rest.steps == 2
    assert np.abs(state.x - x).max() > 0.01


def test_other_triangles_are_refused() -> None:
    s, x = tube()
    other = replace(s.stencils, triangles=s.stencils.triangles[:, [1, 2, 0]])
    with pytest.raises(ValueError, match="same triangles"):
        settled_batch([s, replace(s, stencils=other)], np.stack([x, x]), device="cpu")


def test_one_cloth_on_a_card_is_what_the_drape_takes_for_its_settling() -> None:
    plain, x = tube()
    top = np.flatnonzero(x[:, 2] > x[:, 2].max() - 0.1)
    s = replace(plain, pinned=top)
    on = OnCard("a card", device="cpu")
    state, rest = on(s, x, 1e-2, 60, 0.03, 5.0, 1.0, lambda done, left: True)
    assert rest.card == "a card"
    assert rest.residual <= 1e-2
    there, left = settled(s, x, 1e-2, longest=5.0)
    assert left.card is None
    assert np.linalg.norm(state.x - there.x, axis=1).max() <= 0.02
    _, stopped = on(s, x, 1e-2, 60, 0.03, 5.0, 1.0, lambda done, left: done < 3)
    assert stopped.stopped


@pytest.mark.parametrize("before", ["the same body", "none", "a smaller one"])
def test_a_shell_laid_where_it_lay_before_settles_as_one_laid_afresh(before: str) -> None:
    plain, x = tube()
    assert plain.body is not None
    slimmer = Field(FIELD.origin, FIELD.step, FIELD.knots[:, :, :-8] + 0.4)
    top = np.flatnonzero(x[:, 2] > x[:, 2].max() - 0.1)
    first = replace(
        plain,
        body={"the same body": FIELD, "none": None, "a smaller one": slimmer}[before],
        pinned=top[:5],
        friction=0.0,
    )
    asked = (1e-2, 6, 0.03, 5.0, 1.0, lambda done, left: True)
    on = OnCard("a card", device="cpu")
    for then in (
        replace(plain, stiff=0.3 * plain.stiff, gravity=2.0 * plain.gravity, pinned=top),
        replace(plain, body=slimmer, mass=3.0 * plain.mass, **held(len(x))),  # type: ignore[arg-type]
        replace(plain, body=None, pinned=top),
    ):
        on(first, x, *asked)
        again, rest = on(then, x, *asked)
        there, left = OnCard("a card", device="cpu")(then, x, *asked)
        assert np.array_equal(again.x, there.x)
        assert np.array_equal(again.force, there.force)
        assert (rest.residual, rest.steps) == (left.residual, left.steps)


def test_a_card_is_quick_only_where_one_answers() -> None:
    assert fast() is None or fast() == available()


def test_says_whether_a_card_answers() -> None:
    assert (available() is not None) == bool(wp.is_cuda_available())
