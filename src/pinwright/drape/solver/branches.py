"""Branches of a tree of fronts over the cores of the machine: none waits for another's branch."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

from pinwright.drape.data import Whole
from pinwright.drape.solver.tree import Shares

_CORES = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()

THREADS = min(4, _CORES or 1)
"""So many branches are factored at once."""

Branch = Callable[[Whole], int]
"""What is done to the fronts of a branch; a number of one that went wrong, or -1."""


def upwards(s: Shares, one: Branch) -> int:
    """Does all branches, each after those it waits for: the front that went wrong, or -1."""
    waits = s.children.copy()

    def after(k: int) -> list[int]:
        p = s.parent[k]
        if p < 0:
            return []
        waits[p] -= 1
        return [p] if waits[p] == 0 else []

    return _over_cores(s, list(s.ready), one, after)


def downwards(s: Shares, one: Branch) -> None:
    """Does all branches, each when the one that waits for it upwards is done."""
    roots = [k for k, p in enumerate(s.parent) if p < 0]
    _over_cores(s, roots, one, lambda k: s.below[k])


def _over_cores(
    s: Shares, ready: list[int], one: Branch, after: Callable[[int], Sequence[int]]
) -> int:
    there = threading.Condition()
    left = len(s.todo)
    bad = -1

    def work() -> None:
        nonlocal left, bad
        while True:
            with there:
                while not ready and left and bad < 0:
                    there.wait()
                if bad >= 0 or not left:
                    return
                k = ready.pop()
            try:
                found = one(s.todo[k])
            except BaseException:
                with there:
                    bad = sum(len(v) for v in s.todo)
                    there.notify_all()
                raise
            with there:
                if found >= 0:
                    bad = found
                left -= 1
                ready.extend(after(k))
                there.notify_all()

    others = [_pool().submit(work) for _ in range(min(THREADS, len(s.todo)) - 1)]
    try:
        work()
    finally:
        for o in others:
            o.result()
    return bad


_pools: list[ThreadPoolExecutor] = []


def _pool() -> ThreadPoolExecutor:
    if not _pools:
        _pools.append(ThreadPoolExecutor(max(1, THREADS - 1), "fronts"))
    return _pools[0]
