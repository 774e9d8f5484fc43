"""What the reader gives back: proposals, observations, and questions with their answers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from pinwright.fitting.proposal import Proposal, as_options

Status = Literal["understood", "question", "kept", "observation"]
About = Literal["fit", "keep", "trimming"]


@dataclass(frozen=True)
class Observation:
    """Something seen or said that changes nothing by itself; ``text`` as written."""

    text: str
    about: About


@dataclass(frozen=True)
class Choice:
    """One possible meaning: its ``key``, a sentence with what it would do (cm), and its reading.

    A meaning the reader has no correction for has no ``items``: its words (``unread``) are then
    kept as text, and ``why`` says so.
    """

    key: str
    sentence: str
    items: tuple[Item, ...]
    unread: tuple[str, ...] = ()
    why: str | None = None


@dataclass(frozen=True)
class Question:
    """One thing that was not said. ``about`` names it: meant_as, garment, direction, …

    Questions of one line with the same ``group`` are one question: one answer serves them all.
    """

    about: str
    text: str
    choices: tuple[Choice, ...]
    group: str = ""


Item = Proposal | Question


@dataclass(frozen=True)
class Reading:
    """How a line was read.

    ``items`` are proposals and open questions in the order of the line. ``unread`` are the words
    that could not be used, as written. ``why`` says in a sentence what stood in the way.
    """

    text: str
    items: tuple[Item, ...] = ()
    observations: tuple[Observation, ...] = ()
    unread: tuple[str, ...] = ()
    why: str | None = None
    kept: bool = False

    @property
    def questions(self) -> tuple[Question, ...]:
        """The open questions, the first to be answered first."""
        return tuple(i for i in self.items if isinstance(i, Question))

    @property
    def proposals(self) -> tuple[Proposal, ...]:
        """What is proposed; nothing while the whole line waits for an answer."""
        return tuple(i for i in self.items if isinstance(i, Proposal))

    @property
    def status(self) -> Status:
        """``question`` while one is open; ``kept`` when not understood and kept as text."""
        if self.questions:
            return "question"
        if self.kept:
            return "kept"
        return "understood" if self.items else "observation"

    @property
    def question(self) -> str | None:
        """The first open question, in words."""
        return self.questions[0].text if self.questions else None

    @property
    def meanings(self) -> tuple[tuple[str, str], ...]:
        """The choices of the first open question: key and sentence."""
        return (
            tuple((c.key, c.sentence) for c in self.questions[0].choices) if self.questions else ()
        )


def merge_levels(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Front, back and side of one hem said one after the other are one levelling."""
    out: list[Item] = []
    for item in items:
        last = out[-1] if out else None
        if (
            isinstance(item, Proposal)
            and isinstance(last, Proposal)
            and item.kind == last.kind == "hem_level"
            and replace(item, options=()) == replace(last, options=())
        ):
            both = dict(last.options) | dict(item.options)
            out[-1] = replace(last, options=as_options(both))
        else:
            out.append(item)
    return tuple(out)
