"""What is made beside a card by processes of their own: the same as is made here, whatever befalls
them."""

from __future__ import annotations

import math
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from typing import Any, TypeVar

import numpy as np
import pytest

from pinwright.drape.data import Array, Rest, Shell
from pinwright.drape.draping import Foreseeing, Shells, draped
from pinwright.drape.finer import finer
from pinwright.drape.garb import Garb
from pinwright.drape.gpu.foreseeing import Coming, Helper, helper
from pinwright.drape.gpu.meeting import meets_of
from pinwright.drape.gpu.plans import Plans
from pinwright.drape.solver.acting import Setting, State
from pinwright.drape.solver.settling import settled
from pinwright.figure.figure import figure_of
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from tests.drape.sewn import draft, garb_of
from tests.fitting.drafts import ORDINARY

T = TypeVar("T")

SIDES = (4.0, 3.0)


@pytest.fixture(scope="module")
def garb() -> Garb:
    g = draft("trousers")
    return garb_of(g)


@pytest.fixture(scope="module")
def coarse(garb: Garb) -> tuple[Shell, Array]:
    """A coarse shell, flat, the panels beside each other."""
    shell = garb.shell(6.0)
    x = np.zeros((shell.n, 3))
    for k, (panel, at) in enumerate(zip(shell.panels, shell.vertices, strict=True)):
        x[at, :2] = panel.points + np.array([100.0 * k, 0.0])
    return shell, x


@pytest.fixture(autouse=True)
def own() -> Iterator[None]:
    """Processes of this test's own."""
    helper.cache_clear()
    yield
    for one in both():
        one.end()
    helper.cache_clear()


def both() -> list[Helper]:
    return [helper(k) for k in range(len(SIDES))]


class Asked:
    """Shells that are asked for, and the plans heard of."""

    def __init__(self, garb: Garb) -> None:
        self.garb, self.plans = garb, list[Plans]()
        self.coming = Coming(garb, SIDES, self.plans.append)

    def are_those_made_here(self, coarse: tuple[Shell, Array]) -> None:
        self.coming.laid(*coarse)
        shell, x = coarse
        found, made = list(self.coming), list(finer(self.garb, shell, SIDES))
        assert [f.last for f in found] == [False, True]
        for one, plans, other in zip(found, self.plans, made, strict=True):
            assert np.array_equal(one.shell.triangles, other.shell.triangles)
            assert np.array_equal(one.prolongation.toarray(), other.prolongation.toarray())
            assert np.array_equal(one.setting.bend_pairs, other.setting.bend_pairs)
            assert one.setting.apart == other.setting.apart
            # by which a card knows them again
            assert plans.stencils is one.setting.stencils
            x = other.prolongation @ x
            there = Plans(other.setting.stencils, x)
            assert np.array_equal(plans.plain.tasks, there.plain.tasks)
            assert plans.plain.numbers == there.plain.numbers


def test_what_processes_make_is_what_is_made_here(garb: Garb, coarse: tuple[Shell, Array]) -> None:
    for _ in range(2):  # and one garment after another
        Asked(garb).are_those_made_here(coarse)
    assert all(one.process is not None for one in both())


def test_what_a_killed_process_leaves_is_made_here_and_the_next_by_another(
    garb: Garb, coarse: tuple[Shell, Array]
) -> None:
    asked = Asked(garb)
    time.sleep(1.0)  # until it is at it
    for one in both():
        assert one.process is not None
        os.kill(one.process.pid, signal.SIGKILL)
    asked.are_those_made_here(coarse)
    assert all(one.process is None for one in both())
    Asked(garb).are_those_made_here(coarse)
    assert all(one.process is not None for one in both())


def test_a_garment_given_up_does_not_hold_up_the_next(
    garb: Garb, coarse: tuple[Shell, Array]
) -> None:
    given_up = Asked(garb)
    del given_up
    Asked(garb).are_those_made_here(coarse)


def test_where_no_process_can_begin_all_is_made_here(
    garb: Garb, coarse: tuple[Shell, Array], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    assert Helper().process is None
    Asked(garb).are_those_made_here(coarse)


class Beside:
    """Settles on the processor, what it needs next being made as for a card."""

    def __init__(self) -> None:
        self.stages: list[int] = []

    def __call__(self, s: Setting, x: Array, *how: Any) -> tuple[State, Rest]:
        self.stages.append(len(x))
        return settled(s, x, *how)

    def foreseen(self, garb: Garb, sides: Sequence[float]) -> Shells:
        return Coming(garb, sides, lambda plans: None)

    def beside(self, which: int, work: Callable[..., T], *args: object) -> Future[T]:
        return helper(which).do(work, *args)


def test_a_garment_hangs_where_it_does_when_nothing_is_foreseen(garb: Garb) -> None:
    """By as many steps, within what these make of rounding: bodies made ahead have larger boxes."""
    figure = figure_of(complete(read_record(ORDINARY), ["trousers"]))
    settle = Beside()
    assert isinstance(settle, Foreseeing)
    found = draped(garb, figure, edge=1.6, enough=2.0, settle=settle)
    there = draped(garb, figure, edge=1.6, enough=2.0)
    assert len(set(settle.stages)) == 3
    assert found.rest.steps == there.rest.steps
    assert np.abs(found.points - there.points).max() < 0.01


def test_what_is_asked_first_is_done_first() -> None:
    slow, quick = helper(0).do(time.sleep, 0.3), helper(0).do(math.sqrt, 4.0)
    assert quick.result(60.0) == 2.0
    assert slow.done()


def test_what_goes_wrong_there_goes_wrong_here() -> None:
    one = helper(0)
    with pytest.raises(ValueError, match="math domain"):
        one.do(math.sqrt, -1.0).result(60.0)
    assert one.do(math.sqrt, 9.0).result(60.0) == 3.0
    process = one.process
    # what cannot go there is done here, and the process goes on
    assert one.do(lambda: 4.0).result(60.0) == 4.0
    assert process is not None
    assert one.process is process


def test_a_process_ends_with_the_program_that_asked() -> None:
    process = helper(0).process
    assert process is not None
    assert process.stdin is not None
    process.stdin.close()
    assert process.wait(timeout=30.0) == 0


def test_who_meets_whom_is_told_of_either_and_in_order(garb: Garb) -> None:
    s = next(finer(garb, garb.shell(6.0), (4.0,))).setting.stencils
    meets = meets_of(s)
    pairs = {(int(a), int(b)): k for k, (a, b) in enumerate(zip(s.first, s.second, strict=True))}
    for v in range(s.n):
        run = slice(meets.ends[v], meets.ends[v + 1])
        who = meets.who[run].tolist()
        assert who == sorted({b if a == v else a for a, b in pairs if v in (a, b)})
        assert [pairs[max(v, o), min(v, o)] for o in who] == meets.pair[run].tolist()
    assert (np.diff(meets.keys) > 0).all()
