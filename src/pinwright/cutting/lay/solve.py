"""A lay in a given time: the engine and our own search share it, then the best are drawn tighter.

Which of them run, and on how many cores, follows from what is laid (:func:`searches`; measured:
``docs/cutting/lay.md``). No seed gives the same lay twice; keep the lay that is wanted again.
"""

from __future__ import annotations

import contextlib
import os
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from queue import Empty, Queue
from typing import Literal

from pinwright.cutting.lay import engine
from pinwright.cutting.lay.compact import compacted
from pinwright.cutting.lay.flaw_frame import Box, met
from pinwright.cutting.lay.measure import cloth, lower_bound
from pinwright.cutting.lay.placer import laid, left_out
from pinwright.cutting.lay.placing import Field, Lay, Template
from pinwright.cutting.lay.separation import made_ready, shortened
from pinwright.cutting.lay.upright import upright
from pinwright.cutting.lay.verify import TOLERANCE, faults
from pinwright.errors import LayError
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

TIGHTEN, TIGHTEN_MOST = 0.1, 5.0
"""The part of the time, and the most of it in seconds, for drawing the best lays tighter."""

TIGHTER = 0.02
"""The same where our own search has drawn its lays tighter already."""

THINNED = (0.2, 0.4)
"""Parts of the time at which the worse half of the runs gives up."""

PLACING, PLACING_MOST = 0.15, 0.5
"""The part of its time, and the most of it in seconds, in which the placer looks for a lay that is
then made shorter."""

BRIEFLY = 0.1
"""The part of the time for the placer where pieces may fill the width exactly."""

MANY = 45
"""More pieces than this are laid by the packing engine where it can; fewer by our own search, whose
lays then are shorter (measured: ``docs/cutting/lay.md``)."""

SIDE_BY_SIDE = 8
"""On so many cores at most our own search goes on."""

LOOSE = 1.3
"""So many times its lower bound a lay is long at the most (common practice: 1.1 to 1.25)."""

LONG_ENOUGH = 8.0
"""In less time (s) no more runs are started than there are cores."""


Stop = Callable[[], bool]
Search = Callable[[float, Callable[[float], None], Stop], Lay]
"""A search for a lay: seconds, whom to tell a length, whether to stop."""


@dataclass(frozen=True, slots=True)
class Progress:
    """The best so far: length in cm, density as a part of one, seconds since the start."""

    length: float
    density: float
    seconds: float
    phase: Literal["searching", "tightening", "done"]


Tell = Callable[[Progress], None]


class TooLittleClothError(LayError):
    """The best lay found does not go on the cloth there is; it is in ``lay``."""

    def __init__(self, sentence: str, lay: Lay) -> None:
        super().__init__(sentence)
        self.lay = lay


def solve(
    templates: Sequence[Template],
    field: Field,
    seconds: float = 20.0,
    seed: int = 0,
    tell: Tell | None = None,
    stop: Stop | None = None,
) -> Lay:
    """The best lay found in about so many seconds, checked on the true outlines.

    ``tell`` hears of every better lay and ``stop`` is asked whether to end, both from the
    calling thread; a search that is stopped gives the best so far.

    Raises:
        TooLittleClothError: what was found does not go on the cloth there is.
        LayError: pieces or cloth that cannot be laid, or nothing found.
    """
    engine.refuse_impossible(templates, field)
    made_ready()
    start = time.monotonic()
    by_engine = len(templates) > MANY or field.outline is not None
    tighten = min((TIGHTEN if by_engine else TIGHTER) * seconds, TIGHTEN_MOST)
    # The shortest lay is looked for; whether the cloth is long enough is asked at the end.
    open_ended = replace(field, length=None) if field.outline is None else field
    progress = _Told(templates, field, start, tell)
    race = searches(templates, open_ended, seconds, seed)
    found, problems = _raced(race, max(1.0, seconds - tighten), progress, stop)
    sound = [x for x in sorted(found, key=_rank) if not _unsound(x)]
    if not sound:
        sound = [_plainly(templates, open_ended, seed, problems, found)]
    end = min(start + seconds, time.monotonic() + max(tighten, 1.0))
    best = _tightened(sound, end, progress, stop)
    straight = upright(best)
    if straight is not best and not _unsound(straight):
        best = straight
    best = replace(best, field=field, seconds=time.monotonic() - start)
    progress.say(best.length, "done", always=True)
    return _enough(best)


def _plainly(
    templates: Sequence[Template],
    field: Field,
    seed: int,
    problems: Sequence[LayError],
    found: Sequence[Lay],
) -> Lay:
    """Each piece put down once, where the searches ended (or were stopped) with nothing.

    Raises:
        LayError: what the searches said, when this does not give a lay either.
    """
    with contextlib.suppress(LayError):
        lay = laid(tuple(templates), field, 0.0, seed=seed, stop=lambda: True)
        if not _unsound(lay) and not left_out(lay):
            return lay
    if problems:
        raise problems[0]
    raise LayError(f"No lay was found that can be cut: {_unsound(found[0])[0]}")


def searches(
    templates: Sequence[Template], field: Field, seconds: float, seed: int
) -> list[Search]:
    """The searches that start side by side; see :func:`_raced` for how they are thinned out."""
    cores = os.cpu_count() or 1
    place = _placer(templates, field, seed)
    if field.outline is not None:
        return [_placer(templates, field, seed + i) for i in range(min(cores, 2))]
    if len(templates) <= MANY or not engine.does(templates, field):
        return [_placer(templates, field, seed, cores=min(cores, SIDE_BY_SIDE))]
    matched = any(t.phases for t in templates)
    if matched and not field.flaws:
        return [place, _engine(templates, field, seed, max(1, cores - 1))]
    if field.flaws:
        # Whether the lay reaches the last flaws is not known before: then both are tried.
        sets = _met(templates, field)
        # Round one flaw the engine is better by some per cent, round three our own search is.
        also = [place] if len(sets[-1]) > 1 or matched else []
        each = max(1, cores // (len(sets) + len(also)))
        return [_engine(templates, field, seed + i, each, f) for i, f in enumerate(sets)] + also
    if engine.fits_exactly(templates, field):
        # by chance some pieces of most orders do: the placer looks at it only for a while
        brief = _placer(templates, field, seed, BRIEFLY)
        return [_engine(templates, field, seed, cores), brief]
    if not any(t.on_fold for t in templates):
        # one run on all cores: several that are thinned out were 1 % longer (docs/cutting/lay.md)
        return [_engine(templates, field, seed, cores)]
    # Pieces on the fold: their order counts for more than the length of a run.
    runs = min(cores, 4) * (3 if seconds >= LONG_ENOUGH else 1)
    return [_engine(templates, field, seed + i, max(1, cores // 4)) for i in range(runs)]


def _engine(
    templates: Sequence[Template],
    field: Field,
    seed: int,
    workers: int,
    flaws: tuple[Box, ...] = (),
) -> Search:
    def search(seconds: float, tell: Callable[[float], None], stop: Stop) -> Lay:
        return engine.packed(templates, field, seconds, seed, workers, tell, stop, flaws)

    return search


def _met(templates: Sequence[Template], field: Field) -> list[tuple[Box, ...]]:
    """The flaws a lay meets at the least, and those it may meet, where these are more."""
    least = lower_bound(templates, field)
    sure = met(field, least)
    most = LOOSE * least + sum(b[2] - b[0] for b in met(field, LOOSE * least))
    return list(dict.fromkeys((sure, met(field, most))))


def _placer(
    templates: Sequence[Template], field: Field, seed: int, share: float = 1.0, cores: int = 1
) -> Search:
    def search(seconds: float, tell: Callable[[float], None], stop: Stop) -> Lay:
        begun, seconds = time.monotonic(), seconds * share
        placing = PLACING * seconds
        if field.outline is None:
            placing = min(placing, PLACING_MOST)
        lay = laid(tuple(templates), field, placing, seed=seed, stop=stop)
        if _unsound(lay) or left_out(lay):
            return lay
        tell(lay.length)
        left = seconds - (time.monotonic() - begun)
        return shortened(lay, left, seed, tell, stop, cores)

    return search


class _Told:
    """Who is told of progress, and the best told so far."""

    def __init__(
        self, templates: Sequence[Template], field: Field, start: float, tell: Tell | None
    ) -> None:
        self.area = sum(t.area * t.plies for t in templates) / (2 if field.folded else 1)
        self.field, self.start, self.tell = field, start, tell
        self.best = float("inf")

    def say(
        self, length: float, phase: Literal["searching", "tightening", "done"], always: bool = False
    ) -> None:
        """Tell of a length, if it is better."""
        if self.tell is None or (length >= self.best - 1e-6 and not always):
            return
        self.best = min(length, self.best)
        used = float(cloth(replace(self.field, flaws=(), taken=()), length).area)
        density = self.area / used if used > 0.0 else 0.0
        self.tell(Progress(length, density, time.monotonic() - self.start, phase))


def _raced(
    race: Sequence[Search], seconds: float, progress: _Told, stop: Stop | None
) -> tuple[list[Lay], list[LayError]]:
    """The lays of searches started together, and what the others ended with.

    The engine's first seconds tell much of how a run will end: at each part of the time in
    ``THINNED`` the worse half gives up, until a core is left for each. Those too give their best.
    """
    lengths: Queue[tuple[int, float]] = Queue()
    ended = [threading.Event() for _ in race]
    best = [float("inf")] * len(race)
    lays: list[Lay] = []
    wrong: list[BaseException] = []

    def run(i: int, search: Search) -> None:
        try:
            lays.append(search(seconds, lambda x: lengths.put((i, x)), ended[i].is_set))
        except BaseException as e:  # raised again below, in the thread of the caller
            wrong.append(e)

    threads = [threading.Thread(target=run, args=x, daemon=True) for x in enumerate(race)]
    start, cuts = time.monotonic(), list(THINNED)
    try:
        for t in threads:
            t.start()
        while any(t.is_alive() for t in threads):
            with contextlib.suppress(Empty):
                i, length = lengths.get(timeout=0.1)
                best[i] = min(best[i], length)
                progress.say(length, "searching")
            if stop is not None and stop():
                for event in ended:
                    event.set()
            if cuts and time.monotonic() - start > cuts[0] * seconds:
                cuts.pop(0)
                running = [i for i in range(len(race)) if not ended[i].is_set()]
                keep = max(-(-len(running) // 2), min(os.cpu_count() or 1, 4))
                for i in sorted(running, key=lambda i: best[i])[keep:]:
                    ended[i].set()
    finally:
        for event in ended:  # an interrupted program leaves no search behind
            event.set()
    problems = []
    for e in wrong:
        if not isinstance(e, LayError):
            raise e
        problems.append(e)
    return lays, problems


def _tightened(sound: Sequence[Lay], end: float, progress: _Told, stop: Stop | None = None) -> Lay:
    """The shortest lay after compaction of the first few; they are sorted by length.

    A lay is tried only while it is within a few per cent of the best.
    """
    best = sound[0]
    for i, lay in enumerate(sound):
        left = end - time.monotonic()
        if i > 0 and (left < 0.2 or lay.length > 1.03 * best.length):
            break
        tried = compacted(lay, max(0.5, left / 2.0), stop)
        if tried.length < best.length and not _unsound(tried):
            best = tried
            progress.say(best.length, "tightening")
    return best


def _unsound(lay: Lay) -> tuple[str, ...]:
    """What is wrong with what was laid, however much cloth there is and whatever is left over."""
    there = {p.key for p in lay.placements}
    return faults(
        replace(
            lay,
            field=replace(lay.field, length=None),
            templates=tuple(t for t in lay.templates if t.key in there),
        )
    )


def _rank(lay: Lay) -> tuple[int, float]:
    """The best lay has the lowest: nothing left over, then the shortest."""
    return len(left_out(lay)), lay.length


def _enough(best: Lay) -> Lay:
    """The lay, if it goes on the cloth there is."""
    field, over = best.field, left_out(best)
    if over:
        names = ", ".join(sorted({t.title or t.piece for t in over}))
        raise TooLittleClothError(
            f"There is no room on {field.name or 'the cloth'} for {names}.", best
        )
    sentence = shortage(best)
    if sentence:
        raise TooLittleClothError(sentence, best)
    return best


def shortage(lay: Lay, unit: LengthUnit = "cm") -> str:
    """What is missing of the cloth, in words; nothing if it is long enough, or a remnant."""
    field = lay.field
    if field.length is None or field.outline is not None:
        return ""
    if lay.length <= field.length + TOLERANCE:
        return ""
    least = lower_bound(lay.templates, field)
    name = f"The cloth {field.name}" if field.name else "The cloth"
    sentence = (
        f"{name} has {said(field.length, unit)}; the best lay found takes "
        f"{said(lay.length, unit)}: {said(lay.length - field.length, unit)} are missing."
    )
    if least > field.length:
        sentence += f" No lay of these pieces is shorter than {said(least, unit)}."
    return sentence
