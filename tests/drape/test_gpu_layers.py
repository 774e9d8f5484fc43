"""Layers of cloth kept apart on the path of the graphics card, run on the processor.

What is compared with is the processor's own solver (:mod:`tests.drape.test_against_itself` holds it
against counts of crossings that share nothing with it), and those counts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.data import Array
from pinwright.drape.solver.acting import Setting, State, Work, forces
from pinwright.drape.solver.settling import settled
from pinwright.figure.meeting import meeting
from tests.drape.physics_cloth import cloth
from tests.drape.physics_legs import crossings
from tests.drape.test_against_itself import APART, BEND, drawn_together, raised, table, through, two

wp = pytest.importorskip("warp")

from pinwright.drape.gpu.card import Card  # noqa: E402
from pinwright.drape.gpu.plans import Plans  # noqa: E402
from pinwright.drape.gpu.settling import settled_batch  # noqa: E402
from tests.drape.test_gpu import heard  # noqa: E402


@pytest.fixture
def exact(monkeypatch: pytest.MonkeyPatch) -> None:
    """The processor solves as nearly as the card, which does it in double precision, and both have
    room for all that is joined."""
    monkeypatch.setattr("pinwright.drape.solver.fronts.GOOD", 1e-12)
    monkeypatch.setattr("pinwright.drape.solver.fronts.TIMES", 8)
    for where in ("solver.against_itself", "gpu.lying"):
        monkeypatch.setattr(f"pinwright.drape.{where}.LACKING", 0.0)


def on_each_other() -> tuple[Setting, Array]:
    """Two uneven sheets on a table, partly nearer than they may lie."""
    flat, t, rest = two()
    n = len(flat) // 2
    x = raised(flat, np.repeat([0.1, 0.35], n))
    x += 0.05 * np.random.default_rng(3).standard_normal(x.shape)
    return cloth(2 * n, t, rest, bend=BEND, body=table(), half=0.02, apart=APART), x


@pytest.mark.parametrize("given", [on_each_other, through, drawn_together])
def test_layers_press_as_on_the_processor(given: Callable[[], tuple[Setting, Array]]) -> None:
    s, x = given()
    w = Work(s)
    assert w.layers is not None
    w.layers.look(x)
    state = State(x.copy(), x.copy(), x * 0.0, np.zeros(len(x)))
    forces(s, w, state)
    assert (w.layers.gap < APART).sum() > 20
    with wp.ScopedDevice("cpu"):
        card = Card([s], x[None], None, 0.03, Plans(s.stencils, x))
        assert card.layering is not None
        assert card.layering.look(card.live, card.x, np.ones(1, np.bool_))
        card.start()
    assert (
        np.abs(card.acting.force.numpy()[0] - state.force).max() <= 1e-9 * np.abs(state.force).max()
    )
    assert card.total.numpy()[0] == pytest.approx(state.energy, rel=1e-9)
    # what is joined has room in the factors once it was asked for
    with wp.ScopedDevice("cpu"):
        assert card.layering.lacks_room()
        assert not card.layering.lacks_room()
    assert len(card.layering.more) > 0


@pytest.mark.usefixtures("exact")
@pytest.mark.parametrize(
    ("given", "steps"), [(on_each_other, 2), (through, 100), (drawn_together, 5)]
)
def test_steps_are_those_of_the_processor(
    given: Callable[[], tuple[Setting, Array]], steps: int
) -> None:
    """Down to rest, or until rounding is seen: crumpled cloth makes it ten times as much in a step,
    and which of two triangles a vertex meets is rounding where it is nearest to their side."""
    s, x = given()
    theirs: list[float] = []
    mine: list[float] = []
    state, rest = settled(s, x, 1e-2, steps, 0.01, reach=0.5, tell=heard(theirs), ease=False)
    ((found, there),) = settled_batch(
        [s], x[None], 1e-2, steps, 0.01, reach=0.5, tell=heard(mine), device="cpu", ease=None
    )
    assert there.steps == rest.steps
    assert mine == pytest.approx(theirs, rel=1e-5)
    assert np.abs(found.x - state.x).max() <= 1e-6


def test_two_legs_come_to_a_rest_of_the_processor_and_do_not_pass() -> None:
    """Two of a batch, of which one is heavier, beside each other and as on the processor.

    Their inner sides lie on each other and may slide, so rests differ there by what costs nothing.
    The light ones have two rests, 0.3 % apart in energy; to which they come hangs on rounding, on
    the processor too: so it is asked from beginnings that differ by as much.
    """
    s, x = drawn_together()
    heavy = replace(s, mass=1.3 * s.mass)
    asked = {"enough": 1e-2, "steps": 120, "h": 0.02, "longest": 2.0, "reach": 0.5}
    found = settled_batch([s, heavy], np.stack([x, x]), device="cpu", ease=None, **asked)  # type: ignore[arg-type]
    for (mine, left), one in zip(found, (s, heavy), strict=True):
        assert left.residual <= 1e-2
        assert crossings(mine.x, s.stencils.triangles) == 0
        assert len(meeting(mine.x, s.stencils.triangles)) == 0
        by_chance = np.random.default_rng(1)
        for size in (0.0, *[1e-9] * 5):
            begin = x + size * by_chance.standard_normal(x.shape)
            state, rest = settled(one, begin, ease=False, **asked)  # type: ignore[arg-type]
            assert rest.residual <= 1e-2
            off = np.linalg.norm(mine.x - state.x, axis=1).mean()
            apart = abs(mine.energy - state.energy) / abs(state.energy)
            if off <= 0.05 and apart <= 1e-3:
                break
        else:
            pytest.fail(f"{off} cm and {apart} of its energy from the last rest, like no other")


def test_a_step_that_would_pass_another_layer_is_cut_short() -> None:
    s, x = on_each_other()
    n = len(x) // 2
    with wp.ScopedDevice("cpu"):
        card = Card([s], x[None], None, 0.03, Plans(s.stencils, x))
        assert card.layering is not None
        card.layering.look(card.live, card.x, np.ones(1, np.bool_))
        card.start()
        down = np.zeros_like(x)
        down[n:, 2] = -1.0
        card.dx.assign(down[None])
        card.look_ahead(card.live)
        card.keep()
        kept = card.dx.numpy()[0]
    w = Work(s)
    assert w.layers is not None
    w.layers.look(x)
    forces(s, w, State(x.copy(), x.copy(), x * 0.0, np.zeros(len(x))))
    w.layers.keep(down)
    assert np.abs(down[n:, 2]).max() < 0.5
    assert np.abs(kept - down).max() <= 1e-12


def test_layers_that_are_nowhere_near_each_other_hang_as_without() -> None:
    """Of a batch of which one variant has layers near each other and one has none; and alone."""
    s, x = on_each_other()
    n = len(x) // 2
    off = x + np.repeat([[0.0, 0.0, 0.0], [0.0, 0.0, 4.0]], n, axis=0)
    asked = {"enough": 1e-9, "steps": 3, "h": 0.01, "reach": 0.5, "device": "cpu", "ease": None}
    ((alone, _),) = settled_batch([s], off[None], **asked)  # type: ignore[arg-type]
    ((without, _),) = settled_batch([replace(s, apart=0.0)], off[None], **asked)  # type: ignore[arg-type]
    (_, (beside, _)) = settled_batch([s, s], np.stack([x, off]), **asked)  # type: ignore[arg-type]
    assert np.abs(alone.x - without.x).max() <= 1e-9
    assert np.abs(beside.x - without.x).max() <= 1e-6


def test_a_shell_that_is_settled_again_has_room_for_what_its_layers_joined() -> None:
    """Also in steps without layers, which have no such pairs; and it rests where it rested."""
    s, x = on_each_other()
    plans = Plans(s.stencils, x)
    asked = {"steps": 2, "h": 0.01, "reach": 0.5, "device": "cpu", "ease": None}
    ((first, _),) = settled_batch([s], x[None], plans=plans, **asked)  # type: ignore[arg-type]
    more, roomy = plans.more, plans.roomy
    assert len(more) > 0
    assert roomy.numbers > plans.plain.numbers
    ((again, _),) = settled_batch([s], x[None], plans=plans, **asked)  # type: ignore[arg-type]
    assert plans.roomy is roomy
    assert np.array_equal(plans.more, more)
    assert np.abs(again.x - first.x).max() <= 1e-9
    bare = replace(s, apart=0.0)
    ((with_plans, _),) = settled_batch([bare], x[None], plans=plans, **asked)  # type: ignore[arg-type]
    ((without, _),) = settled_batch([bare], x[None], **asked)  # type: ignore[arg-type]
    assert np.array_equal(with_plans.x, without.x)
