"""What holds for every line: nothing is raised, nothing vanishes, right and left are alike."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.fitting.proposal import Proposal
from pinwright.fitting.reader import Reading, answer, read_line
from pinwright.fitting.reader.joining import leaves
from pinwright.fitting.reader.reading import Item

from .notebook_corpus import FIRST, GARMENTS, LATER, SECOND, THIRD, TRAPS, Line
from .notebook_corpus_held import HELD
from .notebook_corpus_mended import MENDED
from .notebook_expected import written

LINES = (*FIRST, *LATER, *SECOND, *THIRD, *TRAPS, *MENDED, *HELD)
UNDERSTOOD = [line for line in LINES if line.status == "understood"]
SAID = [
    "bust dart", "side seams", "SS", "CB", "hem", "trouser hem", "jacket", "sleeve", "shoulder",
    "shoulder seam", "waist", "hip", "knee", "crotch", "back fork", "fork", "pocket", "neckline",
    "waistband", "over the seat", "front", "back", "R", "L", "left", "right", "both", "up", "down",
    "deeper", "shallower", "longer", "shorter", "take in", "let out", "in", "out", "forward",
    "pinned", "fold", "per edge", "per seam", "off the girth", "in all", "from", "to", "at",
    "to nothing at", "leave", "not", "stays", "without touching", "and", ",", ";", ":", ".",
    "then", "with the pins in", "before pinning", "pulls", "too long", "buttons", "the", "zorp",
    "more", "less", "room", "tighter", "taper", "leg",
    "give", "tight", "swung forward", "+", "-", "?", "or", "pass the back", "gather", "measured",
]  # fmt: skip
# Amounts that no product with 2, 2.54 or a half turns into one another.
NUMBERS = ["0.3", "0.7", "1.1", "1.3", "1.7", "+1.9", "-2.3", "2.9", "3,1", "43.7"]
NEGATIONS = re.compile(r"\b(leave|not|stays|without touching)\b")


def amounts_of(items: tuple[Item, ...]) -> set[float]:
    """Every amount the items can come to, without sign, in cm."""
    out: set[float] = set()
    for item in items:
        if isinstance(item, Proposal):
            out.add(round(abs(item.amount), 4))
            out |= {round(abs(v), 4) for _, v in item.options if isinstance(v, float)}
        else:
            for choice in item.choices:
                out |= amounts_of(choice.items)
    return out


def ends(reading: Reading) -> list[Reading]:
    """The reading after every run of answers."""
    if not reading.questions:
        return [reading]
    return [end for key, _ in reading.meanings for end in ends(answer(reading, key))]


salads = st.lists(st.sampled_from(SAID + NUMBERS), min_size=1, max_size=12).map(" ".join)


@given(st.text(max_size=80))
def test_any_text_is_read_without_raising(text: str) -> None:
    reading = read_line(text)
    assert reading.text == text
    assert reading.status in {"understood", "question", "kept", "observation"}


@given(st.text(alphabet="0123456789./,+-½¼²٣ '\"incmRL hem:", max_size=40))
def test_any_run_of_figures_is_read_without_raising(text: str) -> None:
    reading = read_line(text)
    if reading.status == "understood":
        assert reading.proposals


@settings(max_examples=600)
@given(salads, st.sampled_from(sorted(GARMENTS)))
def test_no_number_vanishes(text: str, garments: str) -> None:
    reading = read_line(text, GARMENTS[garments])
    used = amounts_of(reading.items)
    for said in re.findall(r"(?<![\d.,])\d+[.,]\d+", text):
        value = float(said.replace(",", "."))
        in_cm = round(value, 4) in used or round(value * 2.54, 4) in used
        unread = any(said in piece for piece in reading.unread)
        assert in_cm or unread, (said, reading)
        if reading.status == "understood":
            assert in_cm, (said, reading)


@settings(max_examples=600)
@given(salads)
def test_what_is_understood_leaves_nothing_unread(text: str) -> None:
    reading = read_line(text)
    if reading.status == "understood":
        assert reading.unread == ()
        assert "zorp" not in text
        assert "?" not in text
    if reading.unread and reading.status == "question":
        assert reading.questions[0].about == "rest"


@settings(max_examples=600)
@given(salads)
def test_no_side_and_no_negation_vanishes(text: str) -> None:
    reading = read_line(text)
    told = " ".join((*reading.unread, *(o.text for o in reading.observations)))
    for end in ends(reading) if reading.status != "kept" else []:
        if end.kept:
            continue
        told += " " + " ".join(end.unread)
        proposed = " ".join(written(p) for p in end.proposals)
        for words, side in ((r"\b(R|right)\b", "right"), (r"\b(L|left)\b", "left")):
            if re.search(words, text):
                found = re.search(words, told) or side in proposed or "both" in proposed
                other = "left" if side == "right" else "right"
                assert found or other in proposed, (text, end)  # "not the right": the left
        if NEGATIONS.search(text):
            limited = re.search(r" (left|right) ", proposed) is not None
            assert "keep=" in proposed or limited or NEGATIONS.search(told), (text, end)


def swapped(text: str) -> str:
    pairs = {"R": "L", "L": "R", "right": "left", "left": "right", "Rt": "Lt", "Lt": "Rt"}
    return re.sub(r"\b(R|L|right|left|Rt|Lt)\b", lambda m: pairs[m.group()], text)


def check_mirrored(text: str, garments: str) -> None:
    here, there = (read_line(t, GARMENTS[garments]) for t in (text, swapped(text)))
    assert swapped(repr(here)) == repr(there)


def test_right_and_left_are_alike_on_the_corpus() -> None:
    for line in LINES:
        check_mirrored(line.text, line.g)


@settings(max_examples=300)
@given(salads, st.sampled_from(sorted(GARMENTS)))
def test_right_and_left_are_alike(text: str, garments: str) -> None:
    check_mirrored(text, garments)


@settings(max_examples=300)
@given(st.sampled_from(UNDERSTOOD), st.data())
def test_a_word_that_is_not_known_is_never_passed_over(chosen: Line, data: st.DataObject) -> None:
    words = chosen.text.split()
    where = data.draw(st.integers(0, len(words)))
    text = " ".join([*words[:where], "zorp", *words[where:]])
    reading = read_line(text, GARMENTS[chosen.g], unit=chosen.unit)
    seen = " ".join(o.text for o in reading.observations)
    assert reading.status != "understood" or "zorp" in seen, reading
    assert "zorp" in reading.unread or "zorp" in seen


def test_capitals_and_blanks_change_nothing() -> None:
    for line in LINES:
        plain = read_line(line.text, GARMENTS[line.g], unit=line.unit)
        loud = read_line(
            "  " + line.text.upper().replace(" ", "  "), GARMENTS[line.g], unit=line.unit
        )
        assert plain.proposals == loud.proposals
        assert plain.status == loud.status


def test_every_question_can_be_answered_to_its_end() -> None:
    for line in LINES:
        reading = read_line(line.text, GARMENTS[line.g], unit=line.unit)
        for end in ends(reading):
            assert end.status in {"understood", "kept", "observation"}
            assert end.proposals or end.kept or end.observations


def test_reading_twice_is_the_same() -> None:
    for line in LINES:
        assert read_line(line.text) == read_line(line.text)


# The vocabulary of corrections: places and meanings each kind can have.
VOCABULARY = {
    "bust_dart_intake": ("bust_dart", "intake fold"),
    "bust_dart_length": ("bust_dart", "length"),
    "bust_dart_direction": ("bust_dart", "length"),
    "shoulder_dart_intake": ("shoulder_dart", "intake fold"),
    "waist_dart_intake": ("front_waist_dart back_waist_dart", "intake fold"),
    "let_out": (
        "side_seam centre_back inseam seat_seam front_crotch_seam shoulder_seam sleeve_seam",
        "edge fold removed girth",
    ),
    "pass_back": ("side_seam", "level"),
    "neck_point": ("neck_point", "length"),
    "neckline": ("front_neck back_neck", "level"),
    "sleeve_pitch": ("sleeve", "length"),
    "fork_extension": ("front_fork back_fork", "length"),
    "body_length": ("body", "level"),
    "sleeve_length": ("elbow sleeve_hem", "level"),
    "hem": ("trouser_hem jacket_hem sleeve_hem", "level"),
    "hem_level": ("trouser_hem jacket_hem", "level"),
    "armhole_depth": ("armhole", "level"),
    "shoulder_slope": ("shoulder", "level"),
    "hollow_back": ("back_waist", "level"),
    "round_back": ("upper_back", "level"),
    "crotch_depth": ("crotch", "level"),
    "seat_wedge": ("seat", "level"),
    "front_rise": ("front_waist", "level"),
    "pocket_move": ("side_pocket patch_pocket", "level"),
    "pocket_across": ("patch_pocket", "length"),
    "pocket_opening": ("side_pocket patch_pocket", "length"),
    "waistband_length": ("waistband", "measure length"),
    "waistband_gather": ("waistband", "length"),
    "fullness": (
        "over_seat across_back across_front thigh upper_arm waist_back",
        "girth edge",
    ),
}


def check_vocabulary(reading: Reading) -> None:
    for proposal in leaves(reading.items):
        places, meanings = VOCABULARY[proposal.kind]
        assert proposal.place in places.split(), proposal
        assert proposal.meant_as in meanings.split(), proposal
        assert proposal.garment in {"trousers", "jacket"}
        assert proposal.side in {"both", "right", "left"}


def test_the_corpus_comes_to_every_kind_of_the_vocabulary_and_to_nothing_else() -> None:
    kinds = set()
    for line in LINES:
        reading = read_line(line.text, GARMENTS[line.g], unit=line.unit)
        check_vocabulary(reading)
        kinds |= {p.kind for p in leaves(reading.items)}
    assert kinds == set(VOCABULARY)


@settings(max_examples=600)
@given(salads)
def test_nothing_outside_the_vocabulary_is_ever_proposed(text: str) -> None:
    check_vocabulary(read_line(text))
