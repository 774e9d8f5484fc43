"""Answering the open questions of a reading."""

from __future__ import annotations

from dataclasses import replace

from pinwright.errors import CorrectionError
from pinwright.fitting.reader.joining import ask_pins
from pinwright.fitting.reader.reading import Item, Question, Reading, merge_levels


def answer(reading: Reading, choice: str) -> Reading:
    """The reading with its first open question answered by the key of one of its choices.

    Raises CorrectionError when nothing is asked, or the key is none of the choices.
    """
    if not reading.questions:
        raise CorrectionError(
            f"The note {reading.text!r} asks nothing, so {choice!r} answers nothing."
        )
    asked = reading.questions[0]
    keys = tuple(c.key for c in asked.choices)
    if choice not in keys:
        raise CorrectionError(
            f"{choice!r} is not an answer to {asked.text!r} in the note {reading.text!r}; "
            f"it is one of {', '.join(keys)}."
        )
    items: list[Item] = []
    unread, why = reading.unread, reading.why
    for item in reading.items:
        same = item is asked or (
            isinstance(item, Question) and asked.group != "" and item.group == asked.group
        )
        if isinstance(item, Question) and same:
            chosen = next((c for c in item.choices if c.key == choice), None)
            items.extend(chosen.items if chosen is not None else (item,))
            if chosen is not None and chosen.why is not None:
                unread, why = (*unread, *chosen.unread), chosen.why
        else:
            items.append(item)
    done = ask_pins(merge_levels(tuple(items)))
    kept = reading.kept or not done
    return replace(reading, items=done, unread=unread, why=why, kept=kept)
