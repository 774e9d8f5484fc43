"""Many corrections of a garment hung at once, each from where the garment hung before.

What a graphics card settles together costs it little more than one by one costs a processor, so
which of many amounts of a correction hangs best can be seen in seconds.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from os import cpu_count
from typing import Protocol, runtime_checkable

import numpy as np

from pinwright.drape.crushing import Tries, brought_to_rest
from pinwright.drape.data import Array, Hung, Rest
from pinwright.drape.draping import AGAIN, ENOUGH, Garb, Settle, Tell, as_hung, made_over, redraped
from pinwright.drape.solver.acting import Setting, State
from pinwright.drape.solver.settling import Tell as Hear
from pinwright.figure.figure import Figure

TOGETHER = Tries(180, 120, 3, 300)
"""Steps of many at once: more before layers pass, for all wait for the slowest."""

AT_ONCE = 100
"""So many are settled together at most: some 0.4 GB each of the card's memory at 8,000 vertices."""


THREADS = 4
"""In so many threads shells are made over: 48 take 8.2 s in one, 3.5 in four, 4.4 in sixteen, for
only one of them at a time runs Python."""


@runtime_checkable
class AtOnce(Protocol):
    """Something that settles many variants of a shell at once."""

    def many(
        self, settings: Sequence[Setting], x: Array, enough: float, steps: int, h: float, tell: Hear
    ) -> list[tuple[State, Rest]]:
        """Variants from x (B, n, 3) cm, in so many steps at most, the first of h s."""


def redraped_each(
    garbs: Sequence[Garb],
    before: Hung,
    figure: Figure,
    tell: Tell | None = None,
    enough: float = ENOUGH,
    settle: Settle | None = None,
) -> list[Hung]:
    """A garment after each of many corrections, from where it hung before, as ``redraped`` does.

    Those that keep the triangles are settled at once where ``settle`` can (:class:`AtOnce`), the
    others one after another. tell hears and may stop, as for ``redraped``. The seconds of a rest
    are those of all that were settled with it, its steps those since layers passed last.
    """
    found: dict[int, Hung] = {}
    if isinstance(settle, AtOnce):
        for k in range(0, len(garbs), AT_ONCE):
            some = dict(enumerate(garbs[k : k + AT_ONCE], k))
            found |= _together(some, before, figure, tell, enough, settle)
    return [
        found[k] if k in found else redraped(g, before, figure, tell, enough, settle)
        for k, g in enumerate(garbs)
    ]


def _together(
    garbs: dict[int, Garb],
    before: Hung,
    figure: Figure,
    tell: Tell | None,
    enough: float,
    settle: AtOnce,
) -> dict[int, Hung]:
    """Those whose triangles are those of the garment before, by their numbers."""
    begun = time.perf_counter()
    with ThreadPoolExecutor(min(cpu_count() or 1, THREADS)) as pool:
        made = pool.map(lambda g: made_over(g, before, figure), garbs.values())
        kept = {
            k: (garbs[k], shell, now)
            for k, (shell, now, _) in zip(garbs, made, strict=True)
            if shell.triangles is before.shell.triangles
        }
    if not kept:
        return {}

    def hear(_: int, left: float) -> bool:
        return tell is None or tell("settling", left)

    def many(settings: Sequence[Setting], at: Array, steps: int) -> list[tuple[State, Rest]]:
        return settle.many(settings, at, enough, steps, AGAIN, hear)

    settings = [now for _, _, now in kept.values()]
    x = np.repeat(before.points[None], len(kept), axis=0)
    ended = brought_to_rest(many, settings, x, enough, TOGETHER)
    took = time.perf_counter() - begun
    return {
        k: as_hung(garb, shell, state, before.body, before.pose, replace(rest, seconds=took), now)
        for (k, (garb, shell, _)), (state, rest, now) in zip(kept.items(), ended, strict=True)
    }
