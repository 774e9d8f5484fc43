"""The jacket's lining for the body: front, back and yoke, each from its solved shell piece. In cm.

Everything here is common practice; ``docs/cutting/lining.md`` tells it to a cutter.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pinwright.geometry.path import Path
from pinwright.makingup.lining_edges import (
    SEAM,
    Draught,
    draught,
    drawn_out,
    grain_through,
    inked,
    lengthened,
    redrawn,
    shifted,
    shifted_beyond_darts,
    shortened,
)
from pinwright.pattern.piece import Edge, Piece

SIDE_EASE = 0.4
"""How much wider each edge of the side seam is than the shell's (0.3 to 0.5)."""

UNDERARM_UP = 1.0
"""How far the underarm stands above the shell's, so that the lining goes over the seam there
(1.0 to 1.5)."""

SHOULDER_EASE = 0.4
"""How much longer the shoulder is at its tip, laid in as a small pleat (0.3 to 0.5); the yoke seam
too at the armhole."""

PLEAT = 1.0
"""Ease pleat at the centre back, on the half: 2 in all."""

HEM_ABOVE = 1.5
"""How far above the shell's finished hem the lining's fold hangs (1 to 1.5)."""

JUMP = 1.0
"""How far the lining goes up again behind its fold before it is felled to the shell's turn-up."""

SIDE_RESERVE = 1.0
"""Reserve of the back's side seam: the centre back stands on the fold and cannot have it."""


def hanging(fold: Edge) -> Edge:
    """The fold in which a lining hangs: below it the jump and what is turned in."""
    return replace(fold, allowance=JUMP + SEAM, reserve=0.0, least=JUMP + 0.6)


def front_lining(front: Piece, facing: Piece) -> Piece:
    """The front less its facing, with the bust dart as the shell has it.

    It is sewn to the facing's inner edge, from the shoulder down to the lining's fold.

    Raises:
        DraftError: an edge too short to end the lining above the shell's hem.
    """
    inner = shortened(
        Draught((facing.edge("inner").runs[0].reversed(),)),
        "the facing's inner edge",
        end=HEM_ABOVE,
    )
    side, armhole, shoulder = _body_edges(front, front.edge("shoulder"))
    beyond = facing.edge("shoulder").length
    shoulder = shortened(shoulder, "the front shoulder", end=beyond)
    shell_hem = front.edge("hem").runs[0]
    kept = shell_hem.between(facing.edge("hem").length, shell_hem.length)
    hem = drawn_out(kept, inner.last - kept.start, side.first - kept.end)
    middle = 0.5 * (hem.start + hem.end)
    return Piece(
        "lining_front",
        "Front lining",
        (
            inked("inner", "facing_shoulder", inner, "facing_hem"),
            hanging(inked("hem", "facing_hem", Draught((hem,)), "hem_side")),
            inked("side", "hem_side", side, "underarm"),
            inked("armhole", "underarm", armhole, "shoulder_tip"),
            inked("shoulder", "shoulder_tip", shoulder, "facing_shoulder"),
        ),
        grain=grain_through(middle, front, middle[1] + 6.0, float(side.last[1]) - 10.0),
        layer="lining",
        darts=front.darts,
        home=front.home,
        follows=front.name,
        stage="after",
    )


def back_lining(back: Piece) -> Piece:
    """The back, whole or below its yoke, on the fold beyond an ease pleat at the centre back.

    The pleat runs the whole length and is caught in the neck, or in the yoke seam.

    Raises:
        DraftError: an edge too short to end the lining above the shell's hem.
    """
    top = "yoke" if any(e.name == "yoke" for e in back.edges) else "neck"
    centre_edge = back.edge("centre")
    centre = shortened(draught(centre_edge), "the centre back", end=HEM_ABOVE)
    down = centre.runs[0].start_tangent
    fold = shifted(centre, PLEAT * np.array([down[1], -down[0]]))
    edges: list[Edge]
    if top == "neck":
        side, armhole, shoulder = _body_edges(back, back.edge("shoulder"))
        edges = [inked("shoulder", "shoulder_tip", shoulder, "neck_point")]
        edges.append(replace(back.edge("neck"), allowance=SEAM, reserve=0.0))
        armhole_end = "shoulder_tip"
    else:
        side, armhole, seam = _body_edges(back, back.edge("yoke"))
        edges = [inked("yoke", "yoke_arm", seam, "yoke_centre")]
        armhole_end = "yoke_arm"
    shell_hem = back.edge("hem").runs[0]
    at_centre = centre.last
    moved = drawn_out(shell_hem, at_centre - shell_hem.start, side.first - shell_hem.end)
    hem = Draught((Path.line(fold.last, at_centre) + moved,), (), {"hem_centre": (0, PLEAT)})
    return Piece(
        "lining_back",
        "Back lining",
        (
            replace(inked("centre", "fold_top", fold, "fold_hem", 0.0), least=0.0),
            hanging(inked("hem", "fold_hem", hem, "hem_side")),
            replace(inked("side", "hem_side", side, "underarm"), reserve=SIDE_RESERVE),
            inked("armhole", "underarm", armhole, armhole_end),
            *edges,
            inked(
                "pleat",
                edges[-1].end,
                Draught((Path.line(edges[-1].last, fold.first),)),
                "fold_top",
            ),
        ),
        grain=grain_through(
            at_centre + np.array([6.0, 0.0]),
            back,
            float(at_centre[1]) + 6.0,
            float(side.last[1]) - 4.0,
        ),
        cut="fold",
        layer="lining",
        darts=back.darts,
        fold="centre",
        home=back.home,
        follows=back.name,
        stage="after",
    )


def yoke_lining(yoke: Piece) -> Piece:
    """The yoke's own lining on the fold, without a pleat."""
    seam = lengthened(draught(yoke.edge("yoke")), end=SHOULDER_EASE)
    shoulder = lengthened(draught(yoke.edge("shoulder")), start=SHOULDER_EASE)
    hole = yoke.edge("armhole")
    armhole = redrawn(yoke, draught(hole), seam.last - hole.first, shoulder.first - hole.last)
    return replace(
        yoke,
        name="lining_yoke",
        title="Yoke lining",
        edges=(
            yoke.edge("centre"),
            inked("yoke", "yoke_centre", seam, "yoke_arm"),
            inked("armhole", "yoke_arm", armhole, "shoulder_tip"),
            inked("shoulder", "shoulder_tip", shoulder, "neck_point"),
            replace(yoke.edge("neck"), allowance=SEAM, reserve=0.0),
        ),
        layer="lining",
        lines=(),
        marks=(),
        follows=yoke.name,
        stage="after",
    )


def _body_edges(piece: Piece, above: Edge) -> tuple[Draught, Draught, Draught]:
    """Side, armhole and the edge after the armhole (shoulder, or a back's yoke seam), eased."""
    side = shifted_beyond_darts(piece, draught(piece.edge("side")), np.array([SIDE_EASE, 0.0]))
    side = shortened(side, "the side seam", start=HEM_ABOVE)
    side = lengthened(side, end=UNDERARM_UP)
    after = lengthened(draught(above), start=SHOULDER_EASE)
    hole = piece.edge("armhole")
    armhole = redrawn(piece, draught(hole), side.last - hole.first, after.first - hole.last)
    return side, armhole, after
