"""Fields: usable width, flaws on open and folded cloth, remnants, and what cannot lie there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.cutting.fields import checked, fields, suits
from pinwright.cutting.lay.placing import Field, Phase, Template
from pinwright.cutting.material import Flaw, Material, Remnant, Repeat
from pinwright.errors import LayError

OPEN = Material(width=150.0, selvedge=1.5)
FOLDED = replace(OPEN, lay="folded")


def block(length: float, width: float, **more: object) -> Template:
    outline = np.array([[0, 0], [length, 0], [length, width], [0, width]], dtype=float)
    return replace(
        Template("g.back.left", "trousers", "back", "left", outline, title="Trouser back, left"),
        **more,  # type: ignore[arg-type]
    )


def test_usable_width() -> None:
    assert fields(OPEN)[0].width == 147.0
    folded = fields(FOLDED)[0]
    assert folded.width == 73.5
    assert folded.folded


@pytest.mark.parametrize(
    ("cloth", "says"),
    [
        (Material(width=2.0, selvedge=1.0), "2.0 cm wide, with 1.0 cm of selvedge"),
        (Material(width=4.0, selvedge=2.5, lay="folded"), "no width is left"),
        (Material(width=0.0), "wider than 0"),
        (Material(width=float("nan")), "wider than 0"),
        (Material(selvedge=-1.0), "selvedge is -1 cm"),
        (Material(length=0.0), "longer than 0"),
        (Material(repeat=Repeat(across=160.0)), "repeat is 160.0 cm across, more than the 148.0"),
        (Material(length=80.0, repeat=Repeat(along=90.0)), "repeat is 90.0 cm along"),
        (Material(repeat=Repeat(along=-2.0)), "repeat along is -2 cm"),
        (Material(flaws=(Flaw((30.0, 20.0), (0.0, 5.0)),)), "a flaw runs from 30 to 20 cm along"),
        (
            Material(
                length=90.0, flaws=(Flaw((-1.0, 50.0), (0, 150)), Flaw((45.0, 99.0), (0, 150)))
            ),
            "flaws cover all 90.0 cm",
        ),
        (replace(FOLDED, flaws=(Flaw((0.0, 9.0), (70.0, 90.0)),)), "70 to 90 cm from the fold"),
        # told as the order says it, of the cloth as bought
        (
            replace(OPEN, shrink_across=2.0, flaws=(Flaw((0.0, 9.0), (300.0, 400.0)),)),
            "300 to 400 cm from the selvedge, but the cloth is 150.0 cm wide",
        ),
        (replace(OPEN, flaws=(Flaw((0.0, 9.0), (-4.0, 0.0)),)), "-4 to 0 cm from the selvedge"),
        (
            replace(OPEN, length=250.0, flaws=(Flaw((600.0, 640.0), (3.0, 9.0)),)),
            "600 to 640 cm along, .* the cloth is 250.0 cm long",
        ),
        (replace(FOLDED, length=9.0, flaws=(Flaw((9.0, 12.0), (3.0, 9.0)),)), "9 to 12 cm along"),
        (replace(OPEN, flaws=(Flaw((-9.0, -2.0), (3.0, 9.0)),)), "counted from the cut end\\."),
        (Material(remnants=(Remnant("bit", ((0, 0), (9, 9))),)), "bit: its outline has 2 corners"),
        (
            Material(remnants=(Remnant("bit", ((0, 0), (9, 9), (9, 0), (0, 9))),)),
            "bit: its outline crosses",
        ),
        (
            Material(remnants=(Remnant("bit", ((0, 0), (9, 0), (9, 0.1))),)),
            "bit: its outline holds 0.4|0.5 cm2",
        ),
        (Material(remnants=(Remnant("bit", ((0, 0), (9, 0), (9, float("inf")))),)), "not a number"),
    ],
)
def test_cloth_that_makes_no_sense(cloth: Material, says: str) -> None:
    with pytest.raises(LayError, match=says):
        fields(cloth)


def test_flaws_on_an_open_cloth() -> None:
    flaws = (
        Flaw((10.0, 12.0), (1.5, 4.0)),
        Flaw((20.0, 22.0), (-3.0, 1.0)),  # in the selvedge
        Flaw((30.0, 32.0), (140.0, 155.0)),
        Flaw((290.0, 310.0), (1.5, 9.0)),  # over the end
    )
    found = fields(replace(OPEN, length=300.0, flaws=flaws))[0].flaws
    assert found == (
        (10.0, 0.0, 12.0, 2.5),
        (30.0, 138.5, 32.0, 147.0),
        (290.0, 0.0, 300.0, 7.5),
    )


@pytest.mark.parametrize(
    ("across", "lies"),
    [((5.0, 9.0), (5.0, 9.0)), ((-9.0, -5.0), (5.0, 9.0)), ((-4.0, 7.0), (0.0, 7.0))],
)
def test_flaws_fold_over(across: tuple[float, float], lies: tuple[float, float]) -> None:
    found = fields(replace(FOLDED, flaws=(Flaw((10.0, 12.0), across),)))[0].flaws
    assert found == ((10.0, lies[0], 12.0, lies[1]),)
    # whatever lies on the cloth opened out, on either ply, lies under the flaw
    for y in np.linspace(*across, 7):
        assert lies[0] <= abs(y) <= lies[1]


def test_remnants_are_laid_open_from_their_corner() -> None:
    clockwise = ((110.0, 20.0), (110.0, 70.0), (150.0, 70.0), (190.0, 20.0))
    cloth = replace(FOLDED, remnants=(Remnant("end", clockwise),), repeat=Repeat(across=3.0))
    main, rest = fields(cloth)
    assert main.repeat == (0.0, 3.0)
    assert rest.outline is not None
    assert not rest.folded
    assert rest.name == "end"
    assert rest.repeat == (0.0, 0.0)
    assert rest.outline.min(axis=0) == pytest.approx([0.0, 0.0])
    assert (rest.length, rest.width) == (80.0, 50.0)
    x, y = rest.outline.T
    assert 0.5 * float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) == pytest.approx(3000.0)
    pair = block(10.0, 10.0, plies=2)
    matched = block(10.0, 10.0, phases=(Phase("across", (0.0, 0.0), 1.0),))
    assert suits(pair, main)
    assert suits(matched, main)
    assert suits(block(10.0, 10.0), rest)
    assert not suits(pair, rest)
    assert not suits(matched, rest)


def test_what_fits_is_left_alone() -> None:
    field = Field(45.0, 120.0)
    checked([block(120.0, 45.0), block(30.0, 40.0)], field)
    # turned it fits, so it may be turned
    checked([block(40.0, 100.0, rotations=(0.0, 90.0))], field)


def test_too_wide_is_one_sentence_with_piece_and_measure() -> None:
    with pytest.raises(LayError) as err:
        checked([block(100.0, 47.1, reserve=3.0)], Field(45.0, name="grey check"))
    assert str(err.value) == (
        "Trousers: the left trouser back is 47.1 cm wide but the cloth grey check has 45.0 usable: "
        "take a cloth 2.1 wider, or keep less reserve."
    )
    # less reserve is no help where there is less of it than is lacking
    with pytest.raises(LayError, match=r"take a cloth 2\.1 wider\.$"):
        checked([block(100.0, 47.1, reserve=2.0)], Field(45.0))
    with pytest.raises(LayError, match="lay the cloth open"):
        checked([block(100.0, 47.1)], Field(45.0, folded=True))
    with pytest.raises(LayError, match=r"lay the cloth open, and take it 10\.0 wider"):
        checked([block(100.0, 100.0)], Field(45.0, folded=True, name="w"))
    with pytest.raises(LayError, match=r"take a cloth 4\.2 wider"):
        checked([block(100.0, 47.1, on_fold=True, rotations=(0.0,))], Field(45.0, folded=True))
    with pytest.raises(LayError, match=r"46\.0 cm wide, 1\.0 held back .* hold back less"):
        checked([block(100.0, 44.0, kept=1.0)], Field(45.0))


def test_too_long() -> None:
    with pytest.raises(LayError, match=r"100\.0 cm long but the cloth has 90\.0 .* 10\.0 more"):
        checked([block(100.0, 30.0)], Field(45.0, 90.0))


def test_what_does_not_fit_is_told_in_inches() -> None:
    # 47.1 cm = 18.54 in, 45 = 17.72, 2.1 = 0.83; 100 = 39.37, 90 = 35.43, 10 = 3.937 (31.496 / 8)
    with pytest.raises(LayError) as err:
        checked([block(100.0, 47.1, reserve=2.1)], Field(45.0), "in")
    assert str(err.value) == (
        "Trousers: the left trouser back is 18 1/2 in wide but the cloth has 17 3/4 in usable: "
        "take a cloth 7/8 in wider, or keep less reserve."
    )
    with pytest.raises(LayError, match=r"39 3/8 in long but .* 35 3/8 in of length: 3 7/8 in more"):
        checked([block(100.0, 30.0)], Field(45.0, 90.0), "in")


def test_no_line_of_the_repeat_lets_it_in() -> None:
    # 45 wide, the piece 40: its lower edge may lie at 0 to 5, lines lie at 7, 17, 27, ...
    field = Field(45.0, repeat=(0.0, 10.0))

    def at(residue: float) -> list[Template]:
        return [block(90.0, 40.0, phases=(Phase("across", (3.0, 0.0), residue),))]

    checked(at(4.9), field)
    checked(at(5.0), field)
    with pytest.raises(LayError, match=r"left trouser back .* repeat of 0\.0 along and 10\.0"):
        checked(at(7.0), field)
