"""How an amount is meant: design §6, worked examples (a) and (b), and refusals of answers."""

from __future__ import annotations

import pytest

from pinwright.errors import CorrectionError
from pinwright.fitting.reader import answer, read_line

from .notebook_expected import written


def test_design_example_a_each_meaning_says_what_it_takes() -> None:
    # Design §6 (a): fold depth 1 at each side seam takes 4 from the girth; 1 per seam takes 2.
    reading = read_line("side seams taken in 1", ("jacket",))
    assert reading.status == "question"
    said = dict(reading.meanings)
    assert set(said) == {"fold", "removed", "edge", "girth"}
    assert "4 from the girth" in said["fold"]
    assert "each edge moves 1" in said["fold"]
    assert "2 from the girth" in said["removed"]
    assert "4 from the girth" in said["edge"]
    assert "1 from the girth" in said["girth"]
    assert "each edge moves 0.25" in said["girth"]


def test_one_side_takes_half_of_it() -> None:
    said = dict(read_line("R side seam taken in 1", ("jacket",)).meanings)
    assert "2 from the girth" in said["fold"]
    assert "1 from the girth" in said["removed"]
    assert "girth" not in said  # one seam: the same as removed


def test_a_fold_where_only_the_back_gives_is_given_as_the_cloth_it_removes() -> None:
    reading = read_line("take in side seam R 1 back only", ("jacket",))
    done = answer(reading, "fold")
    assert written(done.proposals[0]) == "let_out side_seam right -2 removed part=back @jacket"


def test_design_example_b_the_hem_after_a_shoulder_fold() -> None:
    # Design §6 (b): fold 1 at the shoulder, hem up 2: moves 2 with the pins in, 1 before them.
    reading = read_line("shoulder fold 1 pinned, hem up 2", ("jacket",))
    said = dict(reading.meanings)
    assert reading.questions[0].about == "pins"
    assert "moves 2 shorter" in said["in"]
    assert "moves 1 shorter" in said["before"]
    assert answer(reading, "in").proposals[1].pins == "in"


def test_one_garment_answer_serves_the_whole_line() -> None:
    reading = read_line("hem R up 1.5 L up 1")
    done = answer(reading, "jacket")
    assert done.status == "understood"
    assert {p.garment for p in done.proposals} == {"jacket"}


def test_a_wrong_answer_is_refused_in_a_sentence() -> None:
    reading = read_line("side seams taken in 1", ("jacket",))
    with pytest.raises(CorrectionError, match=r"'double' is not an answer .* fold, removed, edge"):
        answer(reading, "double")
    with pytest.raises(CorrectionError, match="asks nothing"):
        answer(read_line("jacket hem up 2"), "in")


def test_the_side_of_the_first_thing_is_not_lent_to_the_second_unasked() -> None:
    reading = read_line("R bust dart 1 deeper and shoulder dart 0.5 deeper")
    assert reading.questions[0].about == "side"
    assert [p.side for p in answer(reading, "right").proposals] == ["right", "right"]
    assert [p.side for p in answer(reading, "both").proposals] == ["right", "both"]


def test_a_measure_is_not_taken_for_a_change() -> None:
    assert read_line("shorten the sleeves to 58").status == "kept"
    assert "58" in read_line("shorten the sleeves to 58").unread


@pytest.mark.parametrize(
    "text", ["pinned 1 at the side seams", "1 taken in at side seams", "side seams: in 1, both"]
)
def test_a_seam_amount_without_meaning_is_always_asked(text: str) -> None:
    assert read_line(text, ("jacket",)).questions[0].about == "meant_as"
