"""A gradient by one solve is what hanging the cloth anew tells, both ways by a little.

The cloth is brought to rest by the solver until next to nothing is left over, with what is asked
for a little more and a little less; what touches does not change between (it is held to that).
Where sums of mechanics tell the change, it is held against these.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.data import Array
from pinwright.drape.field import field_of
from pinwright.drape.gradients import scores
from pinwright.drape.gradients.folding import bending_by
from pinwright.drape.gradients.gradient import by_cloth, gradient
from pinwright.drape.gradients.resting import rested
from pinwright.drape.gradients.standing import NotAtRestError, solved, standing, times
from pinwright.drape.reading.strain import strain_of
from pinwright.drape.solver.acting import GRAVITY, Setting, State, Work, forces
from pinwright.drape.solver.settling import settled
from pinwright.drape.solver.stencils import bending, rigidity, stencils
from tests.drape.gradient_bodies import at_rest, both_ways, oval
from tests.drape.physics_bodies import tube, turned_body, wrapped
from tests.drape.physics_cloth import MASS, SHEAR, WEFT, cloth, grained, membrane, sheet
from tests.drape.physics_stretch import shares, stretch_under

CLOSE = 1e-3
"""A gradient may be so much off hanging anew, as a part of it."""

READ = [
    ("strip", "height"),
    ("strip", "strain"),
    ("tube", "height"),
    ("tube", "strain"),
    ("tube", "gap"),
    ("kept tube", "height"),
    ("kept tube", "gap"),
    ("flaps", "height"),
    ("flaps", "aside"),
]

CONSTANTS = ["mass", "stretch_along", "stretch_across", "shear", "bend_along", "bend_across"]


@pytest.mark.parametrize(("which", "what"), READ)
def test_flat_corners_moved_at_random(which: str, what: str) -> None:
    """Each corner of each triangle by itself, with mass, contact and bending that go along."""
    hanging, _, x, found = at_rest(which)
    way = np.random.default_rng(4).normal(size=hanging.rest.shape)
    # layers meet at corners and sides, so less may change before others meet
    step = 3e-7 if which == "flaps" else 3e-6
    expected = both_ways(hanging, x, step, what, lambda k: {"flat": k * way})
    assert float(np.vdot(found[what].flat, way)) == pytest.approx(expected, rel=CLOSE)
    assert found[what].leaning == 0.0


@pytest.mark.parametrize("constant", CONSTANTS)
@pytest.mark.parametrize(("which", "what"), READ)
def test_another_cloth(which: str, what: str, constant: str) -> None:
    hanging, s, x, found = at_rest(which)
    value = getattr(hanging.made_of, constant)
    # so little that no other places touch
    step = 1e-4 * value
    expected = both_ways(hanging, x, step, what, lambda k: {constant: value + k})
    told = getattr(by_cloth(found[what], s, hanging.made_of), constant)
    assert told == pytest.approx(expected, rel=CLOSE)


@pytest.mark.parametrize("what", ["height", "strain", "gap"])
def test_a_waist_kept_otherwise(what: str) -> None:
    hanging, s, x, found = at_rest("kept tube")
    assert s.kept is not None
    way = np.where(s.kept > 0.0, np.random.default_rng(5).normal(size=s.stencils.n), 0.0)
    expected = both_ways(hanging, x, 1e-4, what, lambda k: {"kept_at": k * way})
    assert float(found[what].kept_at @ way) == pytest.approx(expected, rel=CLOSE)


def test_a_hanging_strip_is_longer_by_what_the_sum_says() -> None:
    """Longer by the integral of what hangs below over the modulus (tests/drape/physics_stretch)."""
    length, width = 50.0, 5.0
    points, triangles = sheet(length, width, 2.0, "random")
    upper, lower = shares(points, 0.0), shares(points, length)
    s = cloth(
        len(points),
        triangles,
        grained(points, 90.0)[triangles],
        stiff=membrane(WEFT, WEFT, 0.0, SHEAR),
        bend=(1.0, 1.0),
        pinned=np.flatnonzero(upper),
    )
    x = np.stack([points[:, 1], np.zeros(len(points)), -points[:, 0]], axis=1)
    state, found = settled(s, x, enough=1e-8, steps=300, h=1.0, longest=1e3)
    assert found.residual < 1e-6
    by_x = np.zeros_like(x)
    by_x[:, 2] = -lower / width
    hem = scores.Score(0.0, by_x, np.zeros((len(triangles), 3, 2)))
    told = gradient(s, state.x, hem, (1.0, 1.0))

    def longer(mass: float, modulus: float, length: float = length) -> float:
        below = GRAVITY * mass * (length - np.linspace(0.0, length, 2001))
        return float(np.trapezoid(stretch_under(below, modulus), dx=length / 2000.0))

    by_mass = (longer(1.001 * MASS, WEFT) - longer(0.999 * MASS, WEFT)) / (0.002 * MASS)
    assert float(told.mass @ s.stencils.load) == pytest.approx(by_mass, rel=CLOSE)
    by_weft = (longer(MASS, 1.001 * WEFT) - longer(MASS, 0.999 * WEFT)) / (0.002 * WEFT)
    assert float(told.stiff[:, 0].sum()) == pytest.approx(by_weft, rel=CLOSE)
    # the strip cut longer: itself by as much, and what it weighs pulls at all of it
    way = np.zeros_like(told.flat)
    way[..., 0] = grained(points, 90.0)[triangles][..., 0]
    by_length = (longer(MASS, WEFT, 1.001 * length) - longer(MASS, WEFT, 0.999 * length)) / 0.002
    assert float(np.vdot(told.flat, way)) == pytest.approx(by_length, rel=CLOSE)


@pytest.mark.parametrize("which", ["strip", "tube", "flaps"])
def test_the_stiffness_is_how_the_forces_change(which: str) -> None:
    hanging, s, x, _ = at_rest(which)
    rng = np.random.default_rng(6)
    # off the crests where contact begins, else one side differs from the other
    x = x + rng.normal(scale=1e-3, size=x.shape)
    way = rng.normal(size=x.shape)
    w = Work(s)
    if w.layers is not None:
        w.layers.look(x)

    def force(x: Array) -> Array:
        state = State(x.copy(), x.copy(), x * 0.0, np.zeros(hanging.n))
        forces(s, w, state)
        return state.force

    expected = (force(x - 1e-7 * way) - force(x + 1e-7 * way)) / 2e-7
    found = times(standing(s, x), way)
    assert found == pytest.approx(expected, abs=1e-5 * float(np.abs(expected).max()))


@pytest.mark.parametrize("banded", [False, True])
def test_bending_by_flat_corners_and_rigidities(banded: bool) -> None:
    """Against differences of the solver's own bending, on corners that do not even fit."""
    rng = np.random.default_rng(7)
    points, triangles = sheet(12.0, 6.0, 1.3, "random")
    rest = grained(points, 20.0)[triangles] + rng.normal(scale=0.03, size=(len(triangles), 3, 2))
    n = len(points)
    x, y, way = rng.normal(size=(n, 3)), rng.normal(size=(n, 3)), rng.normal(size=rest.shape)
    bends = np.where(points[triangles].mean(axis=1)[:, 0] < 4.0, 10.0, 1.0) if banded else None

    def value(by: float = 0.0, along: float = 137.0, across: float = 60.0) -> float:
        now = stencils(n, triangles, rest + by * way)
        matrix, _ = bending(now, *rigidity(bends, along, across))
        return float(np.vdot(y, matrix @ x))

    flat, along, across = bending_by(stencils(n, triangles, rest), 137.0, 60.0, y, x, bends)
    assert np.vdot(flat, way) == pytest.approx((value(1e-6) - value(-1e-6)) / 2e-6, rel=1e-6)
    by_along = (value(along=137.01) - value(along=136.99)) / 0.02
    by_across = (value(across=60.01) - value(across=59.99)) / 0.02
    assert along == pytest.approx(by_along, rel=1e-6)
    assert across == pytest.approx(by_across, rel=1e-6)


def test_scores_and_their_own_derivatives() -> None:
    hanging, s, x, _ = at_rest("tube")
    rng = np.random.default_rng(8)
    x = x + rng.normal(scale=0.05, size=x.shape)
    way, cut = rng.normal(size=x.shape), rng.normal(size=hanging.rest.shape)
    assert s.body is not None
    which = rng.permutation(hanging.n)[:40]
    strain = strain_of(x, hanging.triangles, hanging.rest)
    mean = np.average(strain.across[which] ** 2, weights=strain.area[which])
    assert scores.strain_across(s.stencils, x, which).value == pytest.approx(mean, rel=1e-9)

    def read(by_x: float, by_flat: float) -> dict[str, scores.Score]:
        st = stencils(hanging.n, hanging.triangles, hanging.rest + by_flat * cut)
        now = x + by_x * way
        assert s.body is not None
        return {
            "strain": scores.strain_across(st, now, which),
            "height": scores.height(st, now, which),
            "gap": scores.gap(st, now, which, s.body, s.half),
            "both": scores.height(st, now, which) + 2.0 * scores.gap(st, now, which, s.body),
        }

    for name, found in read(0.0, 0.0).items():
        by_x = (read(1e-6, 0.0)[name].value - read(-1e-6, 0.0)[name].value) / 2e-6
        by_flat = (read(0.0, 1e-6)[name].value - read(0.0, -1e-6)[name].value) / 2e-6
        assert np.vdot(found.by_x, way) == pytest.approx(by_x, rel=1e-6)
        assert np.vdot(found.by_flat, cut) == pytest.approx(by_flat, rel=1e-6, abs=1e-9)


def free_tube() -> tuple[Setting, Array]:
    """A tight tube on a round cylinder, without weight: free to turn and to slide."""
    girth = 58.0
    flat, triangles, rest = tube(18, 7, girth / 18)
    body = field_of(turned_body(lambda z: np.full_like(z, 9.4), -30.0, 60.0))
    gravity = np.zeros(3)
    s = cloth(len(flat), triangles, rest, bend=(9.0, 9.0), body=body, half=0.04, gravity=gravity)
    # not with its corners just where the grid of the field is: there it would lie on a crest
    x = wrapped(flat + np.array([0.5, 0.0]), girth, 9.44)
    state, _ = settled(s, x, enough=1e-3, steps=300, h=0.05, longest=10.0)
    return s, rested(s, state.x).x


def test_what_nothing_holds_is_told() -> None:
    s, x = free_tube()
    pull = np.zeros_like(x)
    pull[:, 2] = 1.0
    found, leaning = solved(standing(s, x), pull)
    assert leaning > 0.0
    # nothing but the mass that was added holds it: it goes by pull over mass and leaning
    moved = float(s.mass @ found[:, 2]) / float(s.mass.sum())
    assert moved == pytest.approx(len(x) / float(s.mass.sum()) / leaning, rel=0.05)


def test_flat_cloth_that_is_pushed_has_no_gradient() -> None:
    """Flat it balances, but would buckle at once."""
    points, triangles = sheet(10.0, 3.0, 0.8, "random")
    ends = (points[:, 0] < 1e-9) | (points[:, 0] > 10.0 - 1e-9)
    s = cloth(
        len(points),
        triangles,
        points[triangles],
        bend=(9.0, 9.0),
        pinned=np.flatnonzero(ends),
        gravity=np.zeros(3),
    )
    x = np.column_stack([points * [0.97, 1.0], np.zeros(len(points))])
    score = scores.height(s.stencils, x, np.array([len(x) // 2]))
    with pytest.raises(NotAtRestError, match="does not stand firm"):
        gradient(s, x, score, (9.0, 9.0))


def test_close_rest_is_where_the_solver_goes() -> None:
    """From a rest as rough as a garment's is left at, to the one that long settling finds."""
    hanging, s, x, _ = at_rest("tube")
    rough, found = settled(s, hanging.start, enough=0.1, steps=300, h=0.02, longest=5.0)
    assert found.residual > 1e-4
    close = rested(s, rough.x, 1e-9)
    assert close.residual < 1e-9
    assert np.abs(close.x - x).max() < 1e-5 < np.abs(rough.x - x).max()


def test_what_cannot_be_asked_is_refused() -> None:
    hanging, s, x, _ = at_rest("tube")
    score = hanging.read(s, x)["height"]
    with pytest.raises(ValueError, match="depends on the way there"):
        gradient(replace(s, friction=0.3), x, score, hanging.bend)
    with pytest.raises(ValueError, match="bending rigidity"):
        gradient(s, x, score, (hanging.bend[0], 2.0 * hanging.bend[1]))
    nothing = np.empty(0, np.int64)
    with pytest.raises(ValueError, match="no triangle"):
        scores.strain_across(s.stencils, x, nothing)
    with pytest.raises(ValueError, match="no vertex"):
        scores.gap(s.stencils, x, nothing, oval(0.0))
