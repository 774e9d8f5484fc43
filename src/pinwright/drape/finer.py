"""Shells on which a garment hangs one after another, each finer than the one before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from scipy.sparse import csr_array

from pinwright.drape.data import Shell
from pinwright.drape.garb import Garb, coarsely, setting
from pinwright.drape.refining import prolongation
from pinwright.drape.solver.acting import Setting


@dataclass(frozen=True, slots=True, eq=False)
class Finer:
    """A shell finer than the one before, how points of that lead to its own, and what it is to the
    solver but for the body and where it is kept. last: there is none finer."""

    shell: Shell
    prolongation: csr_array
    setting: Setting
    last: bool


def finer(garb: Garb, shell: Shell, sides: Sequence[float]) -> Iterator[Finer]:
    """Shells of triangles with these sides, cm, each finer than the one before."""
    for side in sides:
        before, shell = shell, garb.shell(side)
        last = side == sides[-1]
        yield Finer(shell, prolongation(before, shell), bare(garb, shell, side, last), last)


def bare(garb: Garb, shell: Shell, side: float, last: bool) -> Setting:
    """What a shell with such sides, cm, is to the solver. last: there is none finer."""
    if last:
        return setting(shell, garb.handle, apart=min(garb.apart, 0.3 * side))
    return setting(shell, garb.handle, stiffer=coarsely(garb.handle, side))


def coarsest(garb: Garb, side: float) -> tuple[Shell, Setting]:
    """A shell with such sides, cm, and what it is to the solver while finer ones follow."""
    shell = garb.shell(side)
    return shell, bare(garb, shell, side, last=False)
