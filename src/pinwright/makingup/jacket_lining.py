"""The whole lining of a jacket, from its solved pieces. In cm."""

from __future__ import annotations

from collections.abc import Mapping

from pinwright.makingup.lining import back_lining, front_lining, yoke_lining
from pinwright.makingup.lining_sleeve import sleeve_lining
from pinwright.pattern.piece import Piece


def jacket_lining(pieces: Mapping[str, Piece], facing: Piece) -> tuple[Piece, ...]:
    """Lining of front, back, yoke where there is one, and sleeve.

    ``pieces`` are one side's solved pieces by name, ``facing`` the front facing drawn from them.

    Raises:
        DraftError: an edge too short to end the lining above the shell's hem.
    """
    front, back = pieces["front"], pieces["back"]
    in_front, behind = front_lining(front, facing), [back_lining(back)]
    shells = [back]
    if "yoke" in pieces:
        shells.append(pieces["yoke"])
        behind.append(yoke_lining(pieces["yoke"]))
    shorter = (_armhole([front]) - _armhole([in_front]), _armhole(shells) - _armhole(behind))
    return (in_front, *behind, sleeve_lining(pieces["sleeve"], shorter))


def _armhole(pieces: list[Piece]) -> float:
    return sum(p.edge("armhole").length for p in pieces)
