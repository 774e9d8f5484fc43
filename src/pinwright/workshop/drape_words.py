"""What a hung garment tells, in a cutter's words: doubts, then signs with their causes, then all
else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pinwright.cutting.sentences import capital, listed, small
from pinwright.drape.data import Pose
from pinwright.drape.pictures.shown import COMMON
from pinwright.drape.reading.sign import Sign
from pinwright.drape.reading.told import (
    WATCHED,
    after_signs,
    before_signs,
    doubted,
    may_need,
    no_sign,
    opposites,
    sign_words,
)
from pinwright.sheets.drape_sheet import rest_words
from pinwright.workshop.drape import Hanging, When
from pinwright.workshop.figure import OrderFigure
from pinwright.workshop.job import Job

STANDS = {
    "standing": "standing",
    "arms-raised": "both arms raised to the front",
    "step": "in mid-step",
    "sitting": "sitting",
}
"""How she stands, in words."""

NEXT = "Fit is judged at the fitting: look there for these signs first, and pin what you see."


def drape_words(
    job: Job, figure: OrderFigure, hangings: Sequence[Hanging], wanted: Sequence[str]
) -> list[tuple[str, str]]:
    """All that is told of hung garments, as lines with the style they are shown in.

    wanted: the garments that were to be hung. Doubts come first: of the figure, then of each
    garment before its signs.
    """
    unit = job.order.client.units
    lines = [("yellow", w) for w in (*figure.odd, *figure.figure.remarks(unit))]
    for h in hangings:
        lines.append(("bold", title(h, bool(job.order.fittings))))
        lines += [("yellow", f"  {w}") for w in doubt_words(h)]
        lines += [("", f"  {w}") for w in all_signs(h.signs, h.hung.remarks)]
        lines += [("dim", f"  {w}") for w in rest_of(h)]
    missing = not_hung(hangings, wanted)
    if missing:
        lines.append(("yellow", missing))
    if hangings:
        lines += [("", w) for w in cautions(hangings[0].hung.pose)]
    return lines


def in_short(h: Hanging) -> str:
    """A garment in a few sentences: doubts, its foremost sign and how many more there are."""
    remarks = h.hung.remarks
    doubts = doubt_words(h)
    faults = [s for s in h.signs if s.wrong]
    if h.reading.doubts:
        said = doubts
    elif faults:
        more = [f"{len(faults) - 1} more on it."] if len(faults) > 1 else []
        said = [*doubts, *before_signs(remarks), sign_words(faults[0]), *more]
    else:
        said = [*doubts, no_sign(remarks)] if doubts else [small(no_sign(remarks))]
    return f"{capital(h.style)}: {' '.join(said)}"


def title(h: Hanging, fitted: bool) -> str:
    """Which garment hangs, how she stands, of which cloth; fitted: there was a fitting."""
    cloth = f", {h.cloth}" if h.cloth else ""
    return f"{capital(h.style)}, {STANDS[h.hung.pose]}, {state_words(h.when, fitted)}{cloth}"


def state_words(when: When, fitted: bool) -> str:
    """In which state a garment hangs."""
    if when == "cut":
        return "as cut for the fitting"
    return "after the fitting" if fitted else "as drafted"


def doubt_words(h: Hanging) -> list[str]:
    """Why what follows cannot be trusted, or not everywhere; nothing where it can."""
    return list(doubted(h.reading.doubts, h.hung.remarks))


def all_signs(signs: Sequence[Sign], remarks: Sequence[str] = ()) -> Iterator[str]:
    """Faults with what may help them, the worst first, where they contradict each other, then what
    is only to be watched; remarks: of the hung garment."""
    faults = [s for s in signs if s.wrong]
    if faults:
        yield from before_signs(remarks)
    for k, s in enumerate(faults, 1):
        yield f"{k}. {sign_words(s)}"
        yield from (f"   {may_need(c)}" for c in s.causes)
    yield from opposites(signs)
    if not faults:
        yield no_sign(remarks)
    seen = [s for s in signs if not s.wrong]
    if seen:
        yield f"{WATCHED}: {' '.join(sign_words(s) for s in seen)}"


def rest_of(h: Hanging) -> Iterator[str]:
    """All else of a garment: levels and plumb lines, how well it is at rest, what is left out."""
    if h.shown.levels:
        yield "; ".join(f"{name}: {words}" for name, words in h.shown.levels) + "."
    again = " It hangs as it was kept; --again hangs it anew." if h.reopened else ""
    yield rest_words(h.shown) + again
    yield from after_signs(h.hung.remarks)
    if h.hung.shell.left_out:
        yield f"Left out: {'; '.join(h.hung.shell.left_out)}."


def not_hung(hangings: Sequence[Hanging], styles: Sequence[str]) -> str | None:
    """What was not hung any more because the work was stopped."""
    missing = [s for s in styles if s not in {h.style for h in hangings}]
    return f"Stopped: not hung at all: {listed(missing)}." if missing else None


def cautions(pose: Pose) -> tuple[str, ...]:
    """What stands at the end of all."""
    given = () if pose == "standing" else (POSED,)
    return (*given, *COMMON, NEXT)


POSED = (
    "In another pose than standing, hems, levels and plumb lines move with her and are not told: "
    "only stretch, gap, pressure and folds are to be read there."
)
"""What no pose but standing tells."""
