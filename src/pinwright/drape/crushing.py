"""To rest with layers kept apart, and what is done where they cannot be.

A fold that is pressed flat behind a bent knee may lie through itself where no step leads out of it;
then layers pass through each other there, or where that does not do everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinwright.drape.data import Array, Rest
from pinwright.drape.solver.acting import Setting, State


@dataclass(frozen=True, slots=True)
class Tries:
    """How many steps are taken with layers apart; then, so often, as many more with those passing
    through each other that are crushed; then as many with all passing."""

    first: int
    more: int
    lets: int
    last: int


TRIES = Tries(45, 60, 3, 150)
"""As one garment is hung."""

HOPE = 5.0
"""Over this residual layers pass through each other where they are crushed, for there no step leads
out of it and all others would be in vain."""

CRUSHED, WIDER = 0.99, 2
"""Crushed is where so much of the squared forces acts, and so many times what meets it."""

SettleAll = Callable[[Sequence[Setting], Array, int], list[tuple[State, Rest]]]
"""Brings cloths from x (k, n, 3) towards rest, in so many steps at most."""


def brought_to_rest(
    settle: SettleAll, settings: Sequence[Setting], x: Array, enough: float, tries: Tries = TRIES
) -> list[tuple[State, Rest, Setting]]:
    """Cloths from x (k, n, 3) at rest or as near as they come, and with what each ended: its
    ``passing`` tells where layers pass through each other, no ``apart`` that they do everywhere.

    Either all have layers that are kept apart, or none; then all steps are taken at once.
    """
    now = list(settings)
    found: list[tuple[State, Rest]] = []

    def go(which: list[int], steps: int) -> None:
        at = np.stack([found[k][0].x if found else x[k] for k in which])
        done = settle([now[k] for k in which], at, steps)
        if not found:
            found.extend(done)
            return
        for k, (state, rest) in zip(which, done, strict=True):
            found[k] = state, rest

    def going_on() -> list[int]:
        return [
            k
            for k, (_, rest) in enumerate(found)
            if now[k].apart > 0.0 and rest.residual > enough and not rest.stopped
        ]

    go(list(range(len(now))), tries.first if now[0].apart > 0.0 else tries.last)
    for _ in range(tries.lets):
        if which := going_on():
            for k in which:
                if found[k][1].residual > HOPE:
                    now[k] = replace(now[k], passing=crushed(now[k], found[k][0]))
            go(which, tries.more)
    if which := going_on():
        for k in which:
            now[k] = replace(now[k], apart=0.0, passing=None)
        go(which, tries.last)
    return [(state, rest, s) for (state, rest), s in zip(found, now, strict=True)]


def crushed(now: Setting, state: State) -> NDArray[np.bool_]:
    """Where (n,) layers are to pass through each other, with where they did."""
    size = (state.force**2).sum(axis=1)
    order = np.argsort(-size)
    most = 1 + int(np.searchsorted(np.cumsum(size[order]), CRUSHED * size.sum()))
    some: Array = np.zeros(len(size))
    some[order[:most]] = 1.0
    near = abs(now.bend).sign()
    for _ in range(WIDER):
        some = np.asarray(near @ some)
    found: NDArray[np.bool_] = some > 0.0
    return found if now.passing is None else found | now.passing
