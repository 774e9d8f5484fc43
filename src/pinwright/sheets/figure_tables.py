"""What is told beside the client's figure: measures, the ease on her, and what does not hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from pinwright.cutting.sentences import capital
from pinwright.figure.ease import SLIPS, Ease, Part, again_words, ease_warnings
from pinwright.figure.figure import Figure, Measured
from pinwright.figure.photographs.silhouette import sentence
from pinwright.figure.remarks import AGREED, off_by, stance_words
from pinwright.measures import TERMS
from pinwright.measures.amounts import SLIGHT, said
from pinwright.measures.record import split_side
from pinwright.measures.units import LengthUnit, format_length
from pinwright.sheets.columns import Cell, Section, heading, paragraph, row
from pinwright.sheets.ink import FINE
from pinwright.sheets.tape_picture import amount_of

LETTER = 0.34
"""Letters of tables, cm: 9.6 points."""

NAMED: Mapping[LengthUnit, str] = {"cm": "cm", "in": "inches"}

PARTS: tuple[Part, ...] = ("whole", "front", "back")


def told(
    figure: Figure,
    eases: Mapping[str, Sequence[Ease]],
    opinions: Sequence[str],
    unit: LengthUnit,
    width: float,
) -> list[Section]:
    """All that is told, in columns of a width, cm: see the others here."""
    found = [measures(figure, unit, width)]
    found += [ease(garment, some, unit, width) for garment, some in eases.items() if some]
    for title, sentences in (
        ("What does not hold", figure.remarks(unit)),
        ("Beside the photographs", photographs(figure, unit)),
        ("Second opinions", opinions),
    ):
        if sentences:
            lines = tuple(paragraph(capital(words), width) for words in sentences)
            found.append(Section(heading(title, width), lines))
    return found


def photographs(figure: Figure, unit: LengthUnit) -> list[str]:
    """How she agrees with each photograph, and how they have her stand; none without any."""
    told = [sentence(a, unit) for a in figure.agreements]
    return [*told, *stance_words(figure.posture, unit)] if told else []


def measures(figure: Figure, unit: LengthUnit, width: float) -> Section:
    """Every measure as the record has it and as the figure has it, and how far they are apart."""
    blocks = []
    for term, some in groupby(figure.measured, key=lambda m: split_side(m.name)[0]):
        rows = [(m, _words(term, m, unit)) for m in some]
        alike = len(rows) > 1 and all(words == rows[0][1] for _, words in rows)
        for m, words in rows[:1] if alike else rows:
            name = f"{TERMS[term].label}, both" if alike else m.label
            blocks.append(row(_measure_cells(name, *words), width, LETTER, bold=not agrees(m)))
    key = (
        f"Lengths in {NAMED[unit]}. est.: not taped but estimated from the others, give or take "
        "so much. Off: the figure less the record; in bold with ! where a taped measure is off by "
        f"more than {off_by(AGREED, unit)}. Of a slope it is the rise over the shoulder's length."
    )
    head = _measure_cells("measure", "record", "known", "figure", "off")
    return Section(
        heading("Her measures on the figure", width),
        tuple(blocks),
        row(head, width, LETTER, bold=True, rule=FINE),
        (paragraph(key, width, LETTER),),
    )


def _measure_cells(name: str, record: str, known: str, figure: str, off: str) -> list[Cell]:
    return [
        (name, 0.0, "start"),
        (record, 0.49, "end"),
        (known, 0.52, "start"),
        (figure, 0.78, "end"),
        (off, 1.0, "end"),
    ]


def agrees(m: Measured) -> bool:
    """Whether the figure has what was taped; an estimate need not come out."""
    return not m.given or m.residual is None or abs(m.residual) <= AGREED


def _words(term: str, m: Measured, unit: LengthUnit) -> tuple[str, str, str, str]:
    record, figure, error = (
        amount_of(term, v, unit).removesuffix(f" {unit}") for v in (m.record, m.figure, m.error)
    )
    return record, "taped" if m.given else f"est. ± {error}", figure, off(term, m, unit)


def off(term: str, m: Measured, unit: LengthUnit) -> str:
    """How far the figure is from the record: in mm, or in sixteenths of an inch."""
    if m.residual is None:
        apart = m.figure - m.record
        sign = "-" if apart < 0.0 else "+"
        return _unsigned(f"{sign}{amount_of(term, abs(apart), unit)}")
    words = off_by(m.residual, unit, "+")
    words = _unsigned(words) if unit == "cm" else words
    return words if agrees(m) else f"! {words}"


def _unsigned(words: str) -> str:
    """Nothing has no sign."""
    return words[1:] if float(words.split()[0]) == 0.0 else words


def ease(garment: str, some: Sequence[Ease], unit: LengthUnit, width: float) -> Section:
    """What a garment has over the body at each level: round, in front and at the back."""
    levels: dict[tuple[str, str], dict[Part, Ease]] = {}
    for e in some:
        levels.setdefault((e.level, e.side), {})[e.part] = e
    blocks = []
    for (level, side), parts in levels.items():
        name = level.replace("_", " ") + ("" if side == "both" else f", {side}")
        whole = parts.get("whole")
        sizes = (whole.garment, whole.body) if whole else (None, None)
        more = [parts[p].told(unit) if p in parts else None for p in PARTS]
        cells = _ease_cells(name, *(_length(v, unit) for v in (*sizes, *more)))
        # by the body's own number, or by the part of it that was shared out
        guessed = [x for p, x in zip(PARTS, (AT[1], AT[3], AT[4]), strict=True)
                   if p in parts and parts[p].estimated]  # fmt: skip
        cells += [("est.", x + 0.012, "start") for x in guessed]
        blocks.append(row(cells, width, LETTER))
    head = _ease_cells("level", "garment", "body", "ease", "front", "back")
    key = f"In {NAMED[unit]}, as sewn, on the figure. est.: the body was not taped here."
    key = " ".join(filter(None, (key, again_words(some))))
    if any(e.part != "whole" and -SLIPS <= e.ease < -SLIGHT[unit] for e in some):
        # a quarter of a centimetre at each side seam is told to the sixteenth in inches
        slips = said(SLIPS, unit) if unit == "cm" else off_by(10.0 * SLIPS, unit)
        key += (
            f" A front or back up to {slips} smaller than the body's is not remarked: where the "
            "whole has room, the other helps it over the side seams."
        )
    small = tuple(paragraph(words, width, bold=True) for words in ease_warnings(some, unit))
    return Section(
        heading(f"Ease of the {garment}", width),
        tuple(blocks),
        row(head, width, LETTER, bold=True, rule=FINE),
        (paragraph(key, width, LETTER), *small),
    )


def _ease_cells(name: str, *amounts: str) -> list[Cell]:
    return [(name, 0.0, "start"), *((a, x, "end") for a, x in zip(amounts, AT, strict=True))]


AT = (0.33, 0.46, 0.62, 0.76, 0.93)
"""Where the columns of the ease end, as parts of the width; "est." has room after each."""


def _length(cm: float | None, unit: LengthUnit) -> str:
    return "" if cm is None else format_length(cm, unit).removesuffix(f" {unit}")
