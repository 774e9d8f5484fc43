"""One way to answer missing cloth, and how it is told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pinwright.cutting.reserve import SLIGHT
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

RemedyKind = Literal["opposite", "share", "piece_on", "face_hem", "pass_up", "iron"]

JOIN = 0.6
"""Allowance kept on each side of a join when a strip is pieced on, cm (common practice)."""

LAP = 2.0
"""How far a pieced strip runs on past each end of what is missing, cm (common practice)."""

IRON = 0.5
"""What iron work may win along an edge of wool, cm (common practice; nothing on most else)."""

IRON_SLACK = 0.05
"""Iron work is enough when no more than this is left, cm: what scissors can do."""

UPRIGHT = 0.7
"""Cosine to the grain from which an edge counts as an end of its piece."""

OTHER = ":other"
"""What marks a piece of the other side in the mappings given to :func:`options`."""


@dataclass(frozen=True, slots=True)
class Take:
    """What another edge takes: ``amount`` cm at an edge, of the ``other`` side or of this one."""

    piece: str
    edge: str
    other: bool
    amount: float


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to answer a shortfall: ``amount`` cm it gives, ``feasible`` if that is enough.

    ``takes`` are the edges that take what is missing (opposite, share), ``shift`` how far the
    cloth is passed up along its grain (cm, pass_up). ``side``, ``piece`` and ``edge`` say which
    shortage it answers; ``by_hand`` that the cutter does it and the net lines stay as asked.
    """

    kind: RemedyKind
    text: str
    amount: float
    feasible: bool
    takes: tuple[Take, ...] = ()
    shift: float = 0.0
    side: str = ""
    piece: str = ""
    edge: str = ""
    by_hand: bool = False


def word(name: str) -> str:
    """A name as it is said."""
    return name.replace("_", " ")


def who(text: str) -> str:
    """A phrase as it begins a sentence."""
    return text[:1].upper() + text[1:]


def has(amount: float, unit: LengthUnit, only: str = "") -> str:
    """What an edge has, or that it has nothing."""
    return f"has {only}{said(amount, unit)}" if amount >= SLIGHT else "has nothing"
