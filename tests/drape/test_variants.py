"""Many corrections hung at once are each hung as alone."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest

from pinwright.drape.cloth import handle
from pinwright.drape.data import Array, Hung, Rest
from pinwright.drape.draping import draped, redraped
from pinwright.drape.garb import Garb
from pinwright.drape.solver.acting import Setting, State
from pinwright.drape.solver.settling import Tell, settled
from pinwright.drape.variants import redraped_each
from pinwright.figure.figure import Figure, figure_of
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.workshop.trials import drafted
from tests.fitting.drafts import ORDINARY

AMOUNTS = (-1.0, 0.5, 1.5)


@cache
def figure() -> Figure:
    return figure_of(complete(read_record(ORDINARY), ["trousers"]))


@cache
def before() -> Hung:
    return draped(garb(), figure(), edge=3.0)


@cache
def garb(rise: float = 0.0, waist: str = "darts") -> Garb:
    """Trousers with a front rise longer by so much, cm."""
    choices = {} if waist == "darts" else {"waist": waist}
    g = drafted("trousers", complete(read_record(ORDINARY), ["trousers"]), choices)
    notes = (Correction("front_rise", "front_waist", "both", {"amount": rise}, {}),) if rise else ()
    f = fit(g, notes)
    assert not f.refused
    return Garb.of(f, handle("wool suiting, middle weight"))


class Together:
    """Settles what is given at once on the processor, one after another, and counts."""

    def __init__(self) -> None:
        self.asked: list[int] = []

    def __call__(self, *given: object) -> tuple[State, Rest]:
        self.asked.append(1)
        s, x, enough, steps, h, longest, reach, tell = given
        return settled(s, x, enough, steps, h, longest, reach, tell)  # type: ignore[arg-type]

    def many(
        self, settings: Sequence[Setting], x: Array, enough: float, steps: int, h: float, tell: Tell
    ) -> list[tuple[State, Rest]]:
        self.asked.append(len(settings))
        return [
            settled(s, at, enough, steps, h, 1.0, 1.0, tell)
            for s, at in zip(settings, x, strict=True)
        ]


def test_each_hangs_as_alone_and_what_has_other_triangles_too() -> None:
    garbs = [garb(AMOUNTS[0]), garb(waist="eased"), *(garb(a) for a in AMOUNTS[1:])]
    together = Together()
    found = redraped_each(garbs, before(), figure(), settle=together)
    # three at once from the first, and the one that is cut otherwise by itself
    assert together.asked[0] == len(AMOUNTS)
    assert together.asked[-1] == 1
    for g, hung in zip(garbs, found, strict=True):
        alone = redraped(g, before(), figure())
        assert hung.rest.residual <= 0.1
        assert hung.remarks == alone.remarks
        assert hung.shell.n == alone.shell.n
        assert np.array_equal(hung.kept_at, alone.kept_at)
        assert np.linalg.norm(hung.points - alone.points, axis=1).mean() <= 0.1
    # and they hang in this order, not in that of the settling
    assert found[1].shell.triangles is not before().shell.triangles
    crotch = [float(h.points[h.shell.vertices[0], 2].min()) for h in found]
    assert len({round(z, 3) for z in crotch}) == len(found)


def test_more_than_fit_are_settled_in_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pinwright.drape.variants.AT_ONCE", 2)
    together = Together()
    same = [garb()] * 3
    found = redraped_each(same, before(), figure(), enough=np.inf, settle=together)
    assert together.asked == [2, 1]
    assert len(found) == 3


def test_it_can_be_stopped() -> None:
    heard: list[str] = []

    def stop(what: str, _: float) -> bool:
        heard.append(what)
        return False

    found = redraped_each(
        [garb(AMOUNTS[0])], before(), figure(), stop, enough=1e-6, settle=Together()
    )
    assert heard == ["settling"]
    assert found[0].rest.stopped


def test_on_the_processor_one_hangs_after_another() -> None:
    """What cannot settle many at once settles each."""
    found = redraped_each([garb(a) for a in AMOUNTS[:2]], before(), figure(), enough=5.0)
    alone = [redraped(garb(a), before(), figure(), enough=5.0) for a in AMOUNTS[:2]]
    assert [h.rest.steps for h in found] == [h.rest.steps for h in alone]
    assert np.array_equal(found[0].points, alone[0].points)
