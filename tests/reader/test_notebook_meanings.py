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


def test_a_fraction_is_asked_with_both_amounts_in_cm() -> None:
    # 5/8 of a cm is 0.625 cm; 5/8 in at 2.54 cm to the inch (exact, 1959) is 1.5875 cm.
    reading = read_line("take 5/8 off the trouser hem")
    assert dict(reading.meanings) == {"cm": "5/8 cm = 0.625 cm", "inch": "5/8 in = 1.587 cm"}


def test_one_answer_about_the_unit_serves_the_whole_line() -> None:
    done = answer(read_line("trouser hem R up 3/4, L up 1"), "inch")
    assert [p.amount for p in done.proposals] == pytest.approx([-0.75 * 2.54, -2.54])


@pytest.mark.parametrize("text", ["hem up 5/8", "hem up 1 1/2", "hem up 2", "hem up a quarter"])
def test_in_an_order_kept_in_inches_the_unit_is_never_asked(text: str) -> None:
    assert read_line(text, ("trousers",), unit="inch").status == "understood"


@pytest.mark.parametrize("key", ["point", "dart"])
def test_a_meaning_without_a_correction_is_kept_as_text_and_said_so(key: str) -> None:
    done = answer(read_line("raise bust darts 1"), key)
    assert done.status == "kept"
    assert done.proposals == ()
    assert set(done.unread) == {"raise", "bust darts", "1"}
    assert done.why is not None
    assert "no correction moves" in done.why


def test_the_mouth_of_the_bust_dart_goes_along_the_side_seam() -> None:
    said = dict(read_line("bust dart 2 higher").meanings)
    assert said["mouth"] == "the mouth 2 up along the side seam, the point stays"


def test_a_seam_of_the_leg_goes_round_the_leg() -> None:
    said = dict(read_line("take in R side seam 1 from knee to hem", ("trousers",)).meanings)
    assert said["fold"].startswith("a fold pinned 1 deep takes 2 at the side seam, 2 round the leg")
    both = read_line("take in side seams 1 from knee to hem", ("trousers",))
    assert set(dict(both.meanings)) == {"fold", "removed", "edge"}  # two legs, no one girth


def test_the_hem_is_asked_about_the_pins_when_the_shoulder_has_been_answered() -> None:
    # Design §6 (b), the shoulder's meaning said only in the answer.
    reading = answer(read_line("pick up both shoulder seams 0.7, jacket hem up 1"), "fold")
    assert reading.questions[0].about == "pins"
    assert "moves 0.3 shorter" in dict(reading.meanings)["before"]


@pytest.mark.parametrize(
    ("text", "garments", "reason"),
    [
        ("", ("jacket",), "the line says nothing"),
        ("   ", ("jacket",), "the line says nothing"),
        ("pass the back up 0.7", ("trousers",), "the back is passed on a jacket"),
        ("bust dart point 1 lower", ("jacket",), "no correction moves the point of a bust dart"),
        ("hem CB 1 lower", ("trousers",), "no garment in this order has a hem at centre back"),
        ("take in side seams 74", ("jacket",), "74 cm is a measure, not a change"),
        (
            "side seams in 1 at waist to nothing at hip and underarm",
            ("jacket",),
            "it runs to nothing at hip and underarm, and one change runs to nothing at one level",
        ),
        ("taper side seams 1 per edge from waist to hip", ("jacket",), "where it is full"),
    ],
)
def test_a_line_is_kept_for_the_right_reason(
    text: str, garments: tuple[str, ...], reason: str
) -> None:
    reading = read_line(text, garments)
    assert reading.status == "kept"
    assert reading.why is not None
    assert reason in reading.why


def test_what_is_kept_is_told_in_her_words() -> None:
    """The word she wrote, and the place she named, though no correction is known for it."""
    both = ("trousers", "jacket")
    assert "“too big”" in (read_line("trousers seat too big 8 off the seat seam", both).why or "")
    for line in ("waist 4 smaller", "trousers waist 4 smaller", "waist R up 0.7 trousers"):
        assert "which seam, dart or band at the waist" in (read_line(line, both).why or "")
