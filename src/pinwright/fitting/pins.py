"""A hem marked with pins in or before them: what an earlier pinned fold already takes up."""

from __future__ import annotations

from collections.abc import Iterable

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Correction


def hem_with_pins(marked: float, pins: str | None, lifted: float) -> float:
    """How far the hem edge moves on the piece, cm (+ down, - up), for a hem marked at a fitting.

    A fold pinned at the shoulder carries the whole garment up, hem and all. A hem marked with
    that pin in is marked on the garment as it now hangs: the pin's lift comes on top, and the edge
    moves by what was marked. A hem marked before the pin went in says where the edge is to be in
    the end: the pin has since brought it part of the way, and only the rest is taken at the hem.

    Args:
        marked: as said, cm, + longer, - shorter.
        pins: "in" or "before".
        lifted: how far the pinned corrections lift the hem, cm (see :func:`lift`).

    Worked example (design 6 b, common practice): shoulder fold of depth 1 pinned, hem marked up 2:
    the edge moves up 2 if read with the pins in, 1 if read before them.

    Raises:
        CorrectionError: it was not said whether the pins were in.
    """
    if pins == "in":
        return marked
    if pins == "before":
        return marked + lifted
    raise CorrectionError(
        f"The hem is marked {abs(marked):g} cm {'up' if marked < 0 else 'down'} and other pins "
        "lift it: say whether it was read with the pins in or before them."
    )


def lift(pinned: Iterable[Correction]) -> float:
    """How far earlier pinned corrections carry the hem up, cm (+ up).

    A fold of depth d at the shoulder moves each shoulder edge in by d and so lifts front and back
    by d (not 2d: front and back hang side by side from it). The body or sleeve shortened at a
    balance line above the hem lifts by what it is shortened. Other corrections hang from
    above themselves and lift nothing. One-sided pins lift their own side only: pass that side's.
    """
    lifted = 0.0
    for c in pinned:
        if (
            (c.kind == "let_out" and c.place == "shoulder_seam")
            or (c.kind == "body_length" and c.options.get("at", c.place) != "hem")
            or (c.kind == "sleeve_length" and c.place != "sleeve_hem")
        ):
            lifted -= c.amount
    return lifted
