"""The general strip-packing engine (spyrrow 0.9, MIT), asked in a process of its own.

The engine packs outlines into a strip of given height; it cannot hold a piece in place, keep off
a flaw, or match a repeat. What is made of that here: see :mod:`pinwright.cutting.lay.items`.
Under a time limit it does not find the same lay twice, whatever the seed.
"""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations_with_replacement, permutations
from queue import Empty, Queue
from random import Random

import numpy as np
import shapely

from pinwright.cutting.lay.flaw_frame import Box, behind_the_end, flaw_frame, span
from pinwright.cutting.lay.items import CLOSE, WALL, Item, extent, frame, put, single, sweeps
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template, placed, turned
from pinwright.errors import LayError

Tell = Callable[[float], None]
"""Called with the length (cm) of every better lay."""
Stop = Callable[[], bool]
"""Whether to stop now and keep the best so far."""

LENT = (0.0, 0.02, 0.06, 0.15)
"""Cloth (cm) the engine is lent across until a piece which fits exactly is found to fit: it
simplifies outlines of its own accord, outwards, most at sharp corners."""

OVER, LATE = 1.0, 30.0
"""Seconds the engine may take longer than asked; so much more if nothing is found yet."""


EXACT = 0.05
"""Pieces that leave less than this (cm) across are better tried by the placer as well."""


class _NoFit(LayError):  # noqa: N818
    """The engine sees a piece as wider than the strip."""


def does(templates: Sequence[Template], field: Field) -> bool:
    """Whether the engine can lay this at all.

    Not round what is taken, not on a remnant's outline, not on the fold beside flaws, and no
    piece that has no room to be moved a whole repeat across.
    """
    if field.taken or field.outline is not None:
        return False
    if field.flaws and (
        any(t.on_fold for t in templates) or flaw_frame(field.flaws, field) is None
    ):
        return False
    room = field.width + 1e-6
    return all(
        min(extent(t, r)[1] for r in t.rotations) + sweeps(t, field)[1] <= room for t in templates
    )


def packed(
    templates: Sequence[Template],
    field: Field,
    seconds: float,
    seed: int = 0,
    workers: int = 1,
    tell: Tell | None = None,
    stop: Stop | None = None,
    flaws: Sequence[Box] | None = None,
) -> Lay:
    """The best lay the engine finds in so many seconds (to the whole second).

    ``seed`` also chooses the order of the pieces on the fold. ``tell`` and ``stop`` are called
    from this thread. ``flaws`` are those it is told of, all of the field if not given; a lay that
    reaches others does not hold.

    Raises:
        LayError: the engine cannot do this field, or found nothing.
    """
    if not does(templates, field):
        raise LayError("The engine does not lay on a remnant, or round what is already cut.")
    flaws = field.flaws if flaws is None else flaws
    start = time.monotonic()
    row = [t for t in templates if t.on_fold]

    def items(tight: Field) -> list[Item]:
        found = [single(t, tight) for t in templates if not t.on_fold]
        if flaws:
            shut = flaw_frame(flaws, tight, low=seed % 2 == 0)
            return [*found, shut] if shut is not None else found
        return [*found, frame(order_of(row, seed), tight)] if row else found

    lent = LENT[1:] if flaws or _exact(templates, field) else LENT
    base = WALL if row or flaws else 0.0
    above = WALL if flaws else 0.0
    placements = solved(items, field, lent, base, seconds, seed, workers, tell, stop, above)
    seconds = time.monotonic() - start
    lay = Lay(field, tuple(templates), tuple(placements), 0.0, seconds, "engine")
    return behind_the_end(lay) if flaws else drawn_up(lay)


def solved(
    items_on: Callable[[Field], Sequence[Item]],
    field: Field,
    lent: Sequence[float],
    base: float,
    seconds: float,
    seed: int,
    workers: int,
    tell: Tell | None,
    stop: Stop | None,
    above: float = 0.0,
) -> list[Placement]:
    """Where the engine lays the templates of items, lent so much cloth across in turn.

    ``items_on`` makes the items for a field, whose gap says how far they must be apart. ``base``
    (cm) is what of a pinned item lies below y = 0, ``above`` what lies beyond the other edge.
    """
    for slack in lent:
        # What is lent is taken back after: two pieces come nearer by no more than that.
        tight = replace(field, gap=field.gap + slack + above)
        items = items_on(tight)
        half, height = tight.gap / 2.0, field.width + tight.gap + base + slack + above
        heard = None if tell is None else (lambda x, gap=tight.gap: tell(x - gap))
        try:
            found = asked(items, height, seconds, seed, workers, heard, stop)
        except _NoFit:
            if slack == lent[-1]:
                raise
            continue
        placements: list[Placement] = []
        ends = [at[0] for item, at in zip(items, found, strict=True) if item.cut_end]
        start = ends[0] if ends else half
        for item, (x, y, rotation) in zip(items, found, strict=True):
            y -= half + base + slack / 2.0
            if item.pinned:
                y = 0.0
            else:
                bounds = turned(item.shape, rotation)[:, 1] + y
                low, high = -half - bounds.min(), field.width + half - bounds.max()
                y += float(low if low > 0.0 else min(high, 0.0))
            placements += put(item, x - start, y, rotation, field)
        return placements
    raise LayError("The packing engine was lent no cloth.")


def _exact(templates: Sequence[Template], field: Field) -> bool:
    """Whether a piece fits exactly; the frame of those on the fold always does."""
    room = field.width - CLOSE
    return any(t.on_fold or min(extent(t, r)[1] for r in t.rotations) > room for t in templates)


def fits_exactly(templates: Sequence[Template], field: Field) -> bool:
    """Whether a piece, or up to four side by side, takes the width to less than 0.05 cm.

    The engine may then see them as too wide.
    """
    sizes = sorted({round(extent(t, r)[1], 3) for t in templates for r in t.rotations})
    return any(
        -1e-6 <= field.width - sum(some) - field.gap * (k - 1) < EXACT
        for k in range(1, 5)
        for some in combinations_with_replacement(sizes, k)
    )


def drawn_up(lay: Lay) -> Lay:
    """The lay moved to the cloth's cut end (by whole repeats, where one is matched), measured."""
    spans = [span(lay, p) for p in lay.placements]
    first, last = min(s[0] for s in spans), max(s[1] for s in spans)
    repeat = lay.field.repeat[0]
    if repeat > 0.0 and any(q.axis == "along" for t in lay.templates for q in t.phases):
        first = repeat * float(np.floor(first / repeat + 1e-9))
    moved = tuple(replace(p, x=float(p.x - first)) for p in lay.placements)
    return replace(lay, placements=moved, length=float(last - first))


def order_of(row: Sequence[Template], seed: int) -> list[tuple[Template, float]]:
    """One order of the pieces on the fold for each seed, each piece with its rotation.

    Few pieces go through all orders; once these are through, pieces are turned where they may be.
    """
    rng = Random(seed)
    rounds = 0
    if len(row) <= 4:
        orders = list(permutations(row))
        rounds, which = divmod(seed, len(orders))
        mixed = list(orders[which])
    else:
        mixed = list(row)
        rng.shuffle(mixed)
    # the first round, and half of the others, all one way: that is often the best
    ways = [r for t in row for r in t.rotations]
    if rounds % 2 == 0 or 180.0 not in ways:
        return [(t, 0.0) for t in mixed]
    return [(t, rng.choice(t.rotations)) for t in mixed]


def asked(
    items: Sequence[Item],
    height: float,
    seconds: float,
    seed: int = 0,
    workers: int = 1,
    tell: Tell | None = None,
    stop: Stop | None = None,
) -> list[tuple[float, float, float]]:
    """Where the engine puts each item in a strip of this height: (x, y, rotation).

    Raises:
        LayError: it found nothing, or failed.
    """
    request = {
        "height": height,
        "items": [
            {"id": str(i), "shape": item.shape.tolist(), "orientations": list(item.rotations)}
            for i, item in enumerate(items)
        ],
        "seconds": seconds,
        "seed": seed % 2**31,
        "workers": workers,
    }
    try:
        process = subprocess.Popen(
            [sys.executable, "-m", "pinwright.cutting.lay.engine_process"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
    except OSError as err:  # no memory, or no more processes
        raise LayError(f"The packing engine could not be started ({err.strerror}).") from err
    answers: Queue[str | None] = Queue()

    def read() -> None:
        assert process.stdout is not None
        for line in process.stdout:
            answers.put(line)
        answers.put(None)

    threading.Thread(target=read, daemon=True).start()
    best: list[list[float]] | None = None
    fault = "it ended without a word"
    end = time.monotonic() + seconds + OVER
    assert process.stdin is not None
    try:
        process.stdin.write(json.dumps(request) + "\n")
        process.stdin.flush()
        while not (stop is not None and stop()):
            if time.monotonic() > (end if best is not None else end + LATE):
                break
            try:
                line = answers.get(timeout=0.1)
            except Empty:
                continue
            if line is None:
                break
            try:
                answer = json.loads(line)
            except json.JSONDecodeError:  # it was killed while it wrote
                continue
            if "placed" in answer:
                best = answer["placed"]
                if tell is not None:
                    tell(float(answer["width"]))
            elif "fault" in answer:
                fault = str(answer["fault"])
    except BrokenPipeError:
        pass
    finally:
        process.kill()
        process.wait()
        with contextlib.suppress(OSError):  # what it did not read any more
            process.stdin.close()
    if best is None:
        if stop is not None and stop():
            raise LayError("The lay was stopped before anything was found.")
        kind = _NoFit if "seem to fit" in fault else LayError
        raise kind(f"The pieces could not be laid: the packing engine failed ({fault}).")
    where = {int(key): (float(x), float(y), float(r)) for key, x, y, r in best}
    return [where[i] for i in range(len(items))]


def refuse_impossible(templates: Sequence[Template], field: Field) -> None:
    """Say at once what no lay can mend.

    Raises:
        LayError: no pieces, no cloth, an outline that crosses itself, or a piece that is wider
            or longer than the cloth in every way it may lie.
    """
    if not templates:
        raise LayError("There are no pieces to lay.")
    width, most = field.width, field.length
    if field.outline is not None:
        _refuse_crossed(f"The remnant {field.name}".rstrip(), field.outline)
        size = np.ptp(field.outline, axis=0)
        width, most = float(size[1]), float(size[0])
    if not 0.0 < width < float("inf"):
        raise LayError(f"The cloth {field.name!r} has {width:g} cm to lay on; it needs some width.")
    if most is not None and not most > 0.0:
        raise LayError(f"The cloth {field.name!r} is {most:g} cm long; it needs some length.")
    for t in templates:
        name = t.title or t.piece
        _refuse_crossed(f"The piece {name}", t.outline)
        sizes = [extent(t, r) for r in t.rotations]
        across = min(s[1] for s in sizes)
        if across > width + 1e-6:
            raise LayError(
                f"The piece {name} ({t.garment}) takes {across:.1f} cm across the cloth, which has "
                f"{width:.1f} cm to lay on{' from the fold' if field.folded else ''}: it needs a "
                "wider cloth, or a seam."
            )
        along = min(s[0] for s in sizes if s[1] <= width + 1e-6)
        if most is not None and along > most + 1e-6:
            raise LayError(
                f"The piece {name} ({t.garment}) takes {along:.1f} cm along the cloth, "
                f"of which there are {most:.1f} cm."
            )


def _refuse_crossed(name: str, outline: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> None:
    if len(outline) < 3 or not np.isfinite(outline).all():
        raise LayError(f"{name} has no outline: {len(outline)} points, three or more are needed.")
    poly = shapely.Polygon(outline)
    if not poly.is_valid or poly.area <= 0.0:
        raise LayError(f"{name} has an outline that crosses itself or encloses nothing.")


def outlines(lay: Lay) -> list[shapely.Polygon]:
    """The true outlines as laid, in the order of the placements."""
    return [shapely.Polygon(placed(lay.template(p.key), p)) for p in lay.placements]
