"""The sleeve's lining, from the solved sleeve. In cm; all of it common practice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from pinwright.geometry.path import Path
from pinwright.makingup.lining import hanging
from pinwright.makingup.lining_edges import (
    SEAM,
    draught,
    drawn_out,
    grain_through,
    inked,
    lengthened,
    shifted,
    shortened,
)
from pinwright.pattern.piece import Piece

SEAM_EASE = 0.2
"""How much wider each edge of the sleeve seam is than the shell's (0.2 to 0.3)."""

SLEEVE_UP = 2.5
"""How far the underarm stands above the shell's along the sleeve seam: the lining goes over both
allowances of the armhole seam, which stand up there (2 to 2.5)."""

SLEEVE_HEM_ABOVE = 2.0
"""How far above the shell's finished hem the lining's fold hangs (2)."""


MOST_RAISED = 3.0
"""The top of the cap is raised by this at most."""


def sleeve_lining(sleeve: Piece, shorter: tuple[float, float]) -> Piece:
    """The sleeve with its underarm raised and its hem short of the shell's.

    ``shorter`` is by how much the lining's armhole is shorter than the shell's, in front and
    behind. The top of the cap stays where each half then has the shell's own ease at least; else
    it is raised until it has. The ease is laid in small pleats near the shoulder.

    Raises:
        DraftError: a sleeve seam too short to end the lining above the shell's hem.
    """
    out = np.array([SEAM_EASE, 0.0])
    front = shifted(draught(sleeve.edge("under_front")), out)
    front = lengthened(shortened(front, "the sleeve seam", start=SLEEVE_HEM_ABOVE), end=SLEEVE_UP)
    behind = shifted(draught(sleeve.edge("under_back")), -out)
    behind = lengthened(shortened(behind, "the sleeve seam", end=SLEEVE_HEM_ABOVE), start=SLEEVE_UP)
    shell_hem, shell_cap = sleeve.edge("hem"), sleeve.edge("cap")
    path = drawn_out(shell_hem.runs[0], behind.last - shell_hem.first, front.first - shell_hem.last)
    whole, top = shell_cap.runs[0].ctrl, shell_cap.stations["shoulder"][1]
    low, high = Path(whole[:top]), Path(whole[top:])
    in_front, behind_it = front.last - low.start, behind.first - high.end

    def raised(up: float) -> tuple[Path, Path]:
        top = np.array([0.0, up])
        return drawn_out(low, in_front, top), drawn_out(high, top, behind_it)

    def short(up: float) -> float:
        halves = zip((low, high), raised(up), shorter, strict=True)
        return max(shell.length - less - half.length for shell, half, less in halves)

    cap = Path.joined(*raised(_least(short)))
    middle = 0.5 * (path.start + path.end)
    return Piece(
        "lining_sleeve",
        "Sleeve lining",
        (
            inked("under_back", "underarm_back", behind, "hem_back"),
            hanging(replace(shell_hem, runs=(path,))),
            inked("under_front", "hem_front", front, "underarm_front"),
            replace(shell_cap, runs=(cap,), allowance=SEAM, reserve=0.0),
        ),
        grain=grain_through(middle, sleeve, middle[1] + 6.0, float(low.end[1]) - 6.0),
        layer="lining",
        home=sleeve.home,
        follows=sleeve.name,
        stage="after",
    )


def _least(short: Callable[[float], float]) -> float:
    """The least raise at which nothing is short, by halving; the most where something still is."""
    if short(0.0) <= 0.0:
        return 0.0
    low, high = 0.0, MOST_RAISED
    if short(high) > 0.0:
        return high
    for _ in range(25):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if short(middle) > 0.0 else (low, middle)
    return high
