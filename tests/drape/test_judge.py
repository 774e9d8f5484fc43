"""Readings with one fault each, made by hand: exactly that sign is told; a sound garment has none.

What each sign means at a fitting is common practice; the corrections for it are the catalogue's.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from pinwright.drape.data import PULLED_DOWN
from pinwright.drape.reading import Reading, read
from pinwright.drape.reading.balance import DROPPING, SWINGING, UNEVEN
from pinwright.drape.reading.darts import Dart, darts
from pinwright.drape.reading.drag import RULES, TIGHT, WIDE, Rule, fullest, like
from pinwright.drape.reading.faults import GAPING, ZONES, zone_of
from pinwright.drape.reading.fold import Fold, Spot
from pinwright.drape.reading.gap import Girth
from pinwright.drape.reading.judge import judge
from pinwright.drape.reading.levels import Level, Levels, Plumb
from pinwright.drape.reading.places import Place
from pinwright.drape.reading.sign import LESS, Cause, Sign, cause, causes
from pinwright.drape.reading.told import may_need, no_sign, opposites, sign_words
from pinwright.drape.reading.words import EDGES, LINES
from pinwright.fitting.catalogue import all_entries
from tests.drape.test_reading_folds import GIRTH, bulged
from tests.drape.test_reading_levels import skirt
from tests.drape.test_reading_shapes import hung, panel

HEIGHTS = {"bust": 122.0, "waist": 105.0, "hip": 85.0, "knee": 46.0, "thigh": 75.0}
NOTHING = Levels((), (), (), (), ())
SIDES = ("right", "left")


@cache
def base() -> Reading:
    return read(skirt(), {})


def place(name: str, side: str = "right", across: float = 0.0, along: float = 0.0,
          gap: float = 1.0) -> Place:  # fmt: skip
    return Place(
        name=name, side=side, area=100.0, strain_along=along, strain_along_peak=1.5 * along,
        strain_across=across, strain_across_peak=1.5 * across, shear=0.0, gap=gap, gap_least=0.0,
        gap_most=2.0 * gap, pressure=0.0, touched=0.0,
    )  # fmt: skip


def hem(side: str = "", **off: float) -> Level:
    return Level("hem", side, {}, 40.0, 41.0, off)  # type: ignore[arg-type]


LEGGED = Levels((hem("right"), hem("left")), (), (), (), ())


def jacket(**changed: object) -> Reading:
    """A sound jacket, loose, with what is changed."""
    sound = tuple(
        place(n, s)
        for s in SIDES
        for n in ("armhole, front", "neck edge, front", "bust level, front", "hip level, back")
    )
    made = replace(
        base(), places=sound, girths=(girth("waist", 115.0, 77.0), girth("hip", 117.0, 99.0)),
        levels=NOTHING, folds=(), darts=(), figure_levels=HEIGHTS,
    )  # fmt: skip
    return replace(made, **changed)  # type: ignore[arg-type]


def trousers(**changed: object) -> Reading:
    """Sound trousers, loose at the hip, with what is changed."""
    sound = tuple(
        place(n, s, gap=0.5) for s in SIDES for n in ("waist edge, back", "hip level, back")
    )
    made = replace(
        base(), places=sound, girths=(girth("hip", 108.0, 99.0),), levels=LEGGED, folds=(),
        darts=(), figure_levels=HEIGHTS,
    )  # fmt: skip
    return replace(made, **changed)  # type: ignore[arg-type]


def girth(name: str, flat: float, body: float, side: str = "", open_: bool = False) -> Girth:
    return Girth(name, side, HEIGHTS.get(name, 0.0), flat, flat, flat, body, open_)


def fold(
    way: str, low: float, high: float, *, view: str = "front", side: str = "right",
    home: str = "front", depth: float = 1.5, ends: tuple[Spot, Spot] = (Spot(), Spot()),
    middle: Spot | None = None, towards: tuple[str, str] = ("", ""),
    pulled: tuple[float, float] = (0.0, 0.0), kind: str = "fold",
) -> Fold:  # fmt: skip
    x = 10.0 if side == "left" else -10.0
    line = np.array([[x, -12.0, low], [x, -12.0, (low + high) / 2.0], [x, -12.0, high]])
    return Fold(
        kind=kind, home=home, view=view, side=side, way=way, angle=45.0,  # type: ignore[arg-type]
        length=20.0, depth=depth, start=line[0], end=line[-1], ends=ends,
        middle=Spot() if middle is None else middle, towards=towards, pulled=pulled, line=line,
    )  # fmt: skip


def only(reading: Reading) -> Sign:
    (sign,) = judge(reading)
    return sign


def kinds(sign: Sign) -> list[str]:
    return [c.kind for c in sign.causes]


BUST = "the right bust point"


def to_bust(side: str = "right", depth: float = 1.5) -> Fold:
    return fold(
        "diagonal", 110.0, 118.0, side=side, depth=depth, towards=("", f"the {side} bust point")
    )


# what is no sign


@pytest.mark.parametrize("sound", [jacket, trousers])
def test_a_sound_garment_has_no_sign(sound: object) -> None:
    assert judge(sound()) == ()  # type: ignore[operator]


def test_flare_alone_is_no_sign() -> None:
    flares = (
        fold("vertical", 80.0, 118.0, depth=3.0),  # below the bust, as deep as it likes
        fold("vertical", 79.0, 100.0, depth=3.0, kind="hem flare"),
        fold("diagonal", 79.0, 100.0, depth=3.0, kind="hem flare", towards=("", BUST)),
        fold("vertical", 90.0, 135.0, depth=3.0, home="sleeve"),
        fold("vertical", 90.0, 108.0, depth=3.0, view="back", home="back", side="left"),
    )
    assert judge(jacket(folds=flares)) == ()
    legs_ = (
        fold("vertical", 20.0, 84.0, depth=3.0, view="back", home="back"),
        fold("vertical", 0.0, 30.0, depth=3.0, kind="hem flare"),
    )
    assert judge(trousers(folds=legs_)) == ()


def test_a_ruffle_really_hung_has_no_sign_of_its_folds() -> None:
    # twelve flutes of a centimetre from the waist to the hem, the hip 50 over the hem
    h = bulged(lambda a, z: 0.5 * np.cos(24.0 * np.pi * a / GIRTH))
    r = read(h, {"side_hip_left": np.array([14.0, 0.0, 79.0]), "side_hip_right": np.array([-14.0, 0.0, 79.0])})  # noqa: E501  # fmt: skip
    assert len(r.folds) == 12
    assert [s for s in judge(r) if s.kind == "fold"] == []


def test_folds_that_point_nowhere_are_only_told() -> None:
    assert (
        judge(jacket(folds=(fold("diagonal", 90.0, 100.0), fold("horizontal", 95.0, 95.5)))) == ()
    )
    # upright above the fullest place, but ending below the armhole, not at it
    off = Spot("the front of the right armhole", 8.0, "below")
    assert judge(jacket(folds=(fold("vertical", 110.0, 128.0, ends=(Spot(), off)),))) == ()


def test_a_shallow_drag_line_is_pressed_away() -> None:
    assert judge(jacket(folds=(to_bust(depth=0.5),))) == ()
    assert only(jacket(folds=(to_bust(depth=0.51),))).kind == "fold"


# drag lines


def test_a_drag_line_to_the_bust() -> None:
    sign = only(jacket(folds=(to_bust(),)))
    assert (sign.kind, sign.place, sign.side, sign.amount) == ("fold", "bust", "right", 1.5)
    assert kinds(sign) == ["bust_dart_intake", "bust_dart_direction"]
    assert sign.folds == (1,)
    assert "points to the right bust point, 20 cm long, 1.5 cm deep" in sign.says


def test_folds_to_one_place_are_one_sign_and_the_deepest_is_named() -> None:
    sign = only(jacket(folds=(to_bust(), fold("vertical", 80.0, 100.0), to_bust("left", 2.5))))
    assert (sign.side, sign.amount, sign.folds) == ("right and left", 2.5, (1, 3))
    assert "diagonal fold (45° off level) on the left front" in sign.says
    assert sign.says.endswith("one like it on the right")
    more = only(jacket(folds=(to_bust(), to_bust("left", 2.5), to_bust(depth=0.7))))
    assert more.says.endswith("2 more there")
    assert sign_words(sign).endswith("(folds 1 and 3 on the pictures).")


def made_for(rule: Rule) -> Fold:
    """A fold that a rule is for, at the height where most of it lies."""
    word = next(n for n in NAMES if not rule.words or any(w in n for w in rule.words))
    spot = Spot(word, 1.0)
    pull = 0.03 if rule.pulled else 0.0
    low, high = (100.0, 150.0) if "bust" in rule.over else (70.0, 140.0)
    return fold(
        rule.ways[0], low, high, view=rule.views[0] if rule.views else "front",
        home=rule.homes[0] if rule.homes else "front", ends=(Spot(), spot), middle=spot,
        pulled=(0.0, pull),
    )  # fmt: skip


NAMES = (
    "the right bust point", "the back waist", "the front of the right armhole",
    "the right shoulder point", "the nape", "the front neck point", "centre front at the crotch",
    "centre back at the hip",
)  # fmt: skip


@pytest.mark.parametrize("rule", RULES, ids=lambda r: f"{r.place} {r.ways[0]} {r.said[0][0]}")
def test_every_rule_has_a_fold_and_its_causes(rule: Rule) -> None:
    sound = trousers if rule.legs else jacket
    sign = only(sound(folds=(made_for(rule),)))
    assert (sign.kind, sign.place) == ("fold", rule.place)
    assert [(c.kind, c.sign[: len(b)]) for c, (_, b) in zip(sign.causes, rule.said, strict=True)] == list(rule.said)  # noqa: E501  # fmt: skip


def test_whiskers_come_from_strained_cloth_and_a_frown_from_loose() -> None:
    fork = (Spot("centre front at the crotch", 6.0, "near"), Spot("the front waist", 9.0, "near"))
    loose = only(trousers(folds=(fold("vertical", 77.0, 103.0, ends=fork),)))
    tight = only(trousers(folds=(fold("vertical", 77.0, 103.0, ends=fork, pulled=(0.03, 0.0)),)))
    assert kinds(loose) == ["front_rise"]
    assert kinds(tight) == ["fork_extension"]
    assert "from cloth stretched by 3.0%" in tight.says


def test_a_fold_out_of_strained_cloth_is_a_sign_wherever_it_points() -> None:
    spot = Spot("the right side seam at the hip", 2.0)
    sign = only(jacket(folds=(fold("horizontal", 88.0, 88.5, ends=(spot, Spot()), pulled=(0.03, 0.0)),)))  # noqa: E501  # fmt: skip
    assert sign.place == "right side seam at the hip"
    assert kinds(sign) == ["let_out"]
    assert sign.causes[0].sign.startswith("tight horizontal")


def test_an_upright_fold_where_the_draft_is_close_is_a_sign() -> None:
    upright = (fold("vertical", 70.0, 100.0),)
    # 3 of ease on a hip of 99 is a close draft, 9 is not
    close = only(jacket(folds=upright, girths=(girth("hip", 102.0, 99.0),)))
    assert (close.place, kinds(close)) == ("hip", ["let_out"])
    assert close.causes[0].sign.startswith("loose vertical")
    assert judge(jacket(folds=upright, girths=(girth("hip", 108.0, 99.0),))) == ()
    # of the other leg, or a fold that does not reach there
    knee = (girth("knee", 39.0, 38.0, "left"),)
    assert judge(trousers(folds=(fold("vertical", 30.0, 60.0),), girths=knee)) == ()
    assert judge(jacket(folds=(fold("vertical", 95.0, 110.0),), girths=(girth("hip", 102.0, 99.0),))) == ()  # noqa: E501  # fmt: skip


def test_the_fullest_place() -> None:
    assert fullest(jacket()) == 122.0
    assert fullest(trousers()) == 85.0
    assert fullest(replace(trousers(), figure_levels={})) == np.inf
    # where the figure is not known the garment's own line
    assert fullest(base()) == pytest.approx(70.0)


def test_only_a_mirrored_fold_is_one_like_it() -> None:
    one = to_bust("left", 2.5)
    far = replace(to_bust(), end=np.array([-10.0, -12.0, 127.0]))
    assert like(one, to_bust())
    for other in (
        to_bust("left"),  # beside it
        far,  # its end 9 away from the mirrored one
        replace(to_bust(), home="back", view="back"),  # on the other piece
    ):
        assert not like(one, other)
    told = only(jacket(folds=(one, far))).says
    assert told.endswith("20 cm long, 2.5 cm deep; another on the right front")


def test_a_fold_with_both_ends_at_one_place_names_it_once() -> None:
    at, near = Spot("the nape", 1.0), Spot("the nape", 6.0, "near")
    over, under = Spot("the nape", 8.0, "above"), Spot("the nape", 6.0, "below")
    for a, b, told in (
        (near, at, " at the nape"),
        (near, over, " from near the nape to 8 cm above it"),
        (under, at, " from 6 cm below the nape up to it"),
        (under, over, " from 6 cm below the nape to 8 cm above it"),
        (over, replace(over, apart=12.0), " from 8 to 12 cm above the nape"),
    ):
        assert fold("diagonal", 140.0, 150.0, ends=(a, b)).run() == told


def test_drag_lines_of_front_and_back_waist_are_two_signs() -> None:
    ends = (Spot(), Spot("the left side of the waist", 2.0))
    some = (
        fold("diagonal", 98.0, 104.0, side="left", view="back", home="back", ends=ends),
        fold("diagonal", 98.0, 104.0, ends=ends),
        fold("diagonal", 80.0, 100.0, ends=ends),  # most of it nearer to the hip
    )
    assert [(s.place, s.folds) for s in judge(trousers(folds=some))] == [
        ("waist, back", (1,)), ("waist, front", (2,)),
    ]  # fmt: skip


def test_an_upright_fold_is_told_where_most_of_it_lies() -> None:
    # it ends at the armhole, most of it under the bust; or in the hollow beside centre back
    armhole = (Spot("the right side seam at the waist", 9.0, "near"), Spot("the back of the right armhole", 1.0))  # noqa: E501  # fmt: skip
    middle = (Spot("centre back at the hip", 9.0, "near"), Spot("centre back at the underarm", 9.0, "near"))  # noqa: E501  # fmt: skip
    for low, high, ends in ((105.0, 133.0, armhole), (80.0, 126.0, middle)):
        f = fold("vertical", low, high, view="back", home="back", ends=ends)
        sign = only(jacket(folds=(f,)))
        assert (sign.place, kinds(sign)) == ("back", ["fullness"])
    f = fold("vertical", 118.0, 133.0, view="back", home="back", ends=armhole)
    assert only(jacket(folds=(f,))).place == "armhole, back"


def test_a_fold_that_only_begins_at_a_close_level_is_the_width_below() -> None:
    close = (girth("hip", 102.0, 99.0),)
    assert judge(jacket(folds=(fold("vertical", 56.0, 87.0),), girths=close)) == ()
    assert only(jacket(folds=(fold("vertical", 70.0, 100.0),), girths=close)).place == "hip"


# too little and too much


def test_a_place_that_is_strained() -> None:
    some = (*jacket().places, place("hip level, front", across=0.025))
    sign = only(jacket(places=some))
    assert (sign.kind, sign.place, sign.side, sign.wrong) == ("strained", "hip level, front", "right", True)  # noqa: E501  # fmt: skip
    assert sign.says == (
        "hip level, front, right: stretched 2.5% across in the mean, 3.8% at its tightest"
    )
    assert kinds(sign) == ["let_out"]
    # what is only told, and what is neither
    told = only(jacket(places=(*jacket().places, place("hip level, front", across=0.015))))
    assert not told.wrong
    assert judge(jacket(places=(*jacket().places, place("hip level, front", across=0.009)))) == ()


def test_one_tight_zone_is_one_sign() -> None:
    some = tuple(
        place(n, s, across=a)
        for s in SIDES
        for n, a in (
            ("hip level, back", 0.03),
            ("hip level, front", 0.025),
            ("side seam from waist to hip, front", 0.022),
            ("front", 0.03),  # a whole panel says nothing more
            ("centre back", 0.03),
        )
    )
    sign = only(jacket(places=(*jacket().places, *some)))
    assert (sign.place, sign.side) == ("hip level, back", "right and left")
    assert sign.says.endswith("also hip level, front, side seam from waist to hip, front")
    assert kinds(sign) == ["fullness", "let_out"]


def test_cloth_stretched_along_is_too_short() -> None:
    sign = only(trousers(places=(*trousers().places, place("seat seam, back", along=0.03))))
    assert "stretched 3.0% along" in sign.says
    assert kinds(sign) == ["crotch_depth"]


def test_a_band_and_the_waist_under_it_are_tight_together() -> None:
    tight = (place("band", across=0.03), place("waist edge, front", across=0.022))
    sign = only(trousers(places=(*trousers().places, *tight)))
    assert sign.says.startswith("band, right: stretched 3.0% across")
    assert sign.says.endswith("also waist edge, front")
    assert kinds(sign) == ["waistband_length"]
    assert sign.causes[0].sign.startswith("band cuts in")


def test_every_edge_and_level_has_a_zone_or_runs_through_several() -> None:
    names = {*LINES.values(), *(e for e in EDGES.values() if "side seam" not in e)}
    through = {"centre", "centre front", "centre back", "crease", "front edge", "inseam"}
    assert {n for n in names if not zone_of(n)} == through
    assert {z for _, z in ZONES} >= {"bust", "waist", "hip", "knee"}


def test_a_girth_that_is_short() -> None:
    sign = only(jacket(girths=(girth("hip", 97.0, 99.0),)))
    assert (sign.kind, sign.place, sign.amount) == ("short", "hip", 2.0)
    assert sign.says == "hip: the pieces are 2.0 cm shorter round than the body"
    assert kinds(sign) == ["let_out"]
    assert judge(jacket(girths=(girth("hip", 98.6, 99.0),))) == ()
    # a line that the armholes part is no girth, an open front is
    assert judge(jacket(girths=(girth("bust", 82.0, 95.0, open_=True),))) == ()
    assert only(jacket(girths=(girth("hip", 97.0, 99.0, open_=True),))).kind == "short"
    # trousers have no front that is open: such a level runs out over a waist edge that dips
    assert judge(trousers(girths=(girth("waist", 75.6, 80.5, open_=True),))) == ()
    assert only(trousers(girths=(girth("waist", 75.6, 80.5),))).kind == "short"


def test_a_short_girth_and_the_strain_there_are_one_sign() -> None:
    some = (*jacket().places, place("hip level, front", across=0.025))
    sign = only(jacket(places=some, girths=(girth("hip", 97.0, 99.0),)))
    assert sign.kind == "strained"
    assert sign.says.endswith("the pieces are 2.0 cm shorter round than the body")


@pytest.mark.parametrize(
    ("edge", "planned", "off"),
    [("neck edge", 0.5, 1.0), ("armhole", 1.0, 1.0), ("waist edge", 0.5, 0.7)],
)
def test_an_edge_that_gapes(edge: str, planned: float, off: float) -> None:
    name = f"{edge}, front"
    wide = tuple(place(name, s, gap=planned + off + 0.3) for s in SIDES)
    sign = only(jacket(places=wide))
    assert (sign.kind, sign.place, sign.side) == ("gapes", name, "right and left")
    assert sign.amount == pytest.approx(off + 0.3)
    assert kinds(sign) == [k for k, _ in GAPING[name]]
    near = tuple(place(name, s, gap=planned + off - 0.01) for s in SIDES)
    assert judge(jacket(places=near)) == ()


def test_gathers_at_a_waist_are_no_signs() -> None:
    """They stand off, crumple the cloth along and fall in folds; of flat cloth each is a sign."""
    falls = fold("diagonal", 93.0, 105.0, home="back", view="back",
                 ends=(Spot("the back waist", 1.0), Spot()))  # fmt: skip
    for across, said in ((-0.1, ()), (-0.02, ("gapes", "strained", "fold"))):
        at = place("waist edge, back", across=across, along=0.025, gap=1.6)
        signs = judge(trousers(places=(at,), folds=(falls,)))
        assert sorted(s.kind for s in signs) == sorted(said)
    # tight is tight, gathered or not, where the cloth is flat
    hip = place("hip level, back", across=0.03)
    gathered = place("waist edge, back", across=-0.1, gap=1.6)
    assert only(trousers(places=(gathered, hip))).place == "hip level, back"


def test_an_edge_that_gapes_and_the_fold_there_are_one_sign() -> None:
    wide = (place("waist edge, back", "right", gap=1.5), place("hip level, back"))
    over = fold("horizontal", 100.0, 104.0, view="back", side="", home="back", depth=1.4,
                middle=Spot("the back waist", 2.0))  # fmt: skip
    sign = only(trousers(places=wide, folds=(over,)))
    assert sign.place == "waist edge, back"
    assert sign.seen.startswith("stands 1.5 cm off in the mean (3.0 cm at most), 0.5 cm planned; ")
    assert "horizontal fold on the back at the back waist" in sign.seen
    assert kinds(sign) == ["waist_dart_intake", "waistband_length"]
    assert sign.folds == (1,)


def test_a_dart_that_points_beside_the_bust() -> None:
    both = (Dart("bust dart", "right", -1.6, 2.0), Dart("bust dart", "left", -2.6, 2.0))
    sign = only(jacket(darts=both))
    assert sign.says == "bust dart, right and left: points 2.6 cm over the bust point"
    assert kinds(sign) == ["bust_dart_direction"]
    assert judge(jacket(darts=(Dart("bust dart", "right", 1.5, 2.0),))) == ()
    apart = judge(jacket(darts=(both[0], replace(both[1], beside=1.7))))
    assert [s.says for s in apart] == [
        "bust dart, left: points 1.7 cm under the bust point",
        "bust dart, right: points 1.6 cm over the bust point",
    ]


def test_where_a_dart_points_is_read_from_the_hung_cloth() -> None:
    # a level dart in a plane 30 high that ends at x = 10; the bust point 4 beyond and 2 under it
    p = panel("front", "left", 40.0, 60.0, 40, 60, {})
    row = 30 * 41 + np.arange(20, 9, -1)
    p = replace(p, legs={"bust dart": (row, row)})
    x, z = p.points.T
    shell = replace(skirt().shell, panels=(p,), vertices=(np.arange(len(x)),), n=len(x),
                    triangles=p.triangles, rest=p.points[p.triangles],
                    panel=np.zeros(len(p.triangles), np.int64))  # fmt: skip
    h = hung(shell, np.stack([x, 0.0 * x - 12.0, z], 1), skirt().body)
    (found,) = darts(h, {"bust_point_left": np.array([6.0, -11.0, 28.0])})
    assert found.beside == pytest.approx(2.0 * -1.0)
    assert found.short == pytest.approx(4.0)
    assert darts(h, {"bust_point_right": np.array([6.0, -11.0, 28.0])}) == ()
    assert darts(h, {"bust_point_left": np.array([6.0, -11.0, 50.0])}) == ()  # no dart of the bust


# level and plumb


def plumb(what: str, side: str, off: float) -> Plumb:
    return Plumb(what, side, "waist", {"hem": off})  # type: ignore[arg-type]


def with_levels(sound: Reading, **some: object) -> Reading:
    return replace(sound, levels=replace(sound.levels, **some))  # type: ignore[arg-type]


def test_side_seams_that_swing_alike_are_one_sign() -> None:
    seams = (plumb("side seam", "right", 2.0), plumb("side seam", "left", 2.5))
    sign = only(with_levels(jacket(), seams=seams))
    assert sign.says == "side seam, right and left: swings to the back, 2.5 cm off plumb at the hem"
    assert kinds(sign) == ["pass_back", "round_back"]
    assert judge(with_levels(jacket(), seams=(plumb("side seam", "right", 1.0),))) == ()
    apart = judge(with_levels(jacket(), seams=(seams[0], plumb("side seam", "left", -2.5))))
    assert [s.side for s in apart] == ["left", "right"]
    assert "to the front" in apart[0].says


def test_a_side_seam_swings_to_the_part_that_is_too_short() -> None:
    """docs/sources.md, symptoms: "side seam swings back" asks for back length or a shorter front,
    "side seam swings forward" for front length."""
    back = only(with_levels(trousers(), seams=(plumb("side seam", "right", 2.0),)))
    assert [(c.kind, "shorten" in c.sign) for c in back.causes] == [
        ("seat_wedge", False),
        ("front_rise", True),
    ]
    assert "lengthen" in back.causes[0].sign
    front = only(with_levels(trousers(), seams=(plumb("side seam", "right", -2.0),)))
    assert [(c.kind, "lengthen" in c.sign) for c in front.causes] == [("front_rise", True)]


def test_a_side_seam_is_off_plumb_by_so_much_as_the_leg_lets_it() -> None:
    def told(off: float, beside: float, forwards: float, backwards: float) -> list[str]:
        p = replace(plumb("side seam", "right", off), beside=beside)
        p = replace(p, forwards=forwards, backwards=backwards)
        return [s.seen for s in judge(with_levels(trousers(), seams=(p,)))]

    plumb_ = "swings to the back, {} cm off plumb at the hem"
    # the room to the other side is nothing to it
    assert told(3.0, 0.2, 3.1, 0.0) == [plumb_.format("3.0")]
    assert told(-3.0, 0.2, 0.0, 3.1) == [plumb_.format("3.0").replace("back", "front")]
    nearer = ", where the leg lets it hang 1.2 cm nearer"
    assert told(3.0, 0.2, 1.2, 9.0) == [plumb_.format("3.0") + nearer]
    assert told(3.0, 0.9, 0.9, 9.0) == []
    assert told(3.0, -1.1, 0.9, 9.0) == ["runs 1.1 cm before the middle of the leg at the hem"]
    assert told(0.5, 2.0, 9.0, 9.0) == []  # it hangs free, and plumb


def crease(what: str, side: str, knee: float, foot: float) -> Plumb:
    return replace(plumb(what, side, 3.0), knee=knee, foot=foot)


def test_creases_beside_knee_and_foot_the_same_way_are_one_sign() -> None:
    some = [("back crease", 0.4, 3.3), ("front crease", 1.6, 0.8)]
    creases = tuple(crease(w, s, *off) for s in SIDES for w, *off in some)
    sign = only(with_levels(trousers(), creases=creases))
    assert sign.says == (
        "back crease, right and left: runs 3.3 cm outside the middle of the foot; "
        "the front crease 1.6 cm"
    )
    # 3 cm off plumb over a foot that stands as far out is none
    assert (
        judge(with_levels(trousers(), creases=(crease("back crease", "right", -1.5, 1.5),))) == ()
    )
    (inside,) = judge(with_levels(trousers(), creases=(crease("front crease", "left", -1.8, 0.0),)))
    assert "runs 1.8 cm inside the middle of the knee" in inside.says


def test_a_leg_s_width_falls_in_slanting_folds_on_its_inside() -> None:
    low, high = 50.0, HEIGHTS["thigh"] + 1.0
    some = {"view": "inside", "ends": (Spot(), Spot("the fork"))}
    reading = with_levels(trousers(), creases=(crease("back crease", "left", 0.0, 0.0),))
    assert judge(replace(reading, folds=(fold("diagonal", low, high, **some),))) == ()  # type: ignore[arg-type]
    # not one that goes on over the fork, nor one from strained cloth
    for f in (
        fold("diagonal", low, high + 6.0, **some),  # type: ignore[arg-type]
        fold("diagonal", low, high, pulled=(0.03, 0.0), **some),  # type: ignore[arg-type]
    ):
        assert [s.place for s in judge(replace(reading, folds=(f,)))] == ["fork"]


def test_in_other_poses_balance_is_not_judged() -> None:
    seams = (plumb("side seam", "right", 30.0),)
    reading = with_levels(trousers(), seams=seams)
    assert [s.kind for s in judge(reading)] == ["swings"]
    assert judge(replace(reading, pose="sitting")) == ()


def line(name: str, side: str = "", **off: float) -> Level:
    return Level(name, side, {}, 80.0, 82.0, off)  # type: ignore[arg-type]


def test_hems_of_both_legs_that_tip_alike_are_one_sign() -> None:
    hems = (
        hem("right", front=-0.5, back=0.0, right=0.5, left=0.0),
        hem("left", front=-0.4, back=0.0, left=0.5, right=-0.1),
    )
    sign = only(with_levels(trousers(), hems=hems))
    assert sign.says == (
        "hem, right and left: hangs 1.0 cm lower at the front than at the outside, "
        "against what was planned"
    )
    assert kinds(sign) == ["hem_level"]
    level = (hem("right", front=-0.3, back=0.4), hem("left", front=-0.3, back=0.3))
    assert judge(with_levels(trousers(), hems=level)) == ()


def test_a_garment_that_hangs_down_on_one_side_is_one_sign() -> None:
    some = {"front": 0.0, "back": 0.0, "right": 1.2, "left": -1.2}
    lines = (line("waist level", "", **some), line("hip level", "", **some))
    sign = only(with_levels(jacket(), hems=(hem("", **some),), lines=lines))
    assert sign.says == (
        "hem: hangs 2.4 cm lower at the left than at the right, against what was planned; "
        "so do the waist level and the hip level"
    )
    assert kinds(sign) == ["shoulder_slope", "hem_level"]


def test_sleeves_that_end_at_other_heights_are_a_sign_from_what_a_hem_is() -> None:
    ends = [replace(hem(side, front=0.0, back=2.0), name="sleeve hem") for side in SIDES]
    right, left = replace(ends[0], lift=-0.2), replace(ends[1], lift=2.0)
    sign = only(with_levels(jacket(), hems=(right, left)))
    assert sign.says == (
        "sleeve hem: hangs 2.2 cm lower at the right than at the left, against what was planned: "
        "see what holds the left sleeve up"
    )
    assert sign.amount == pytest.approx(2.2)
    assert sign.tolerance == UNEVEN
    assert sign.causes == ()
    alike = replace(left, lift=0.4)
    assert judge(with_levels(jacket(), hems=(right, alike))) == ()
    # of one arm alone, and of trousers, nothing
    assert judge(with_levels(jacket(), hems=(left,))) == ()


def test_a_balance_line_out_of_level() -> None:
    low = line("hip level", front=-0.2, back=-1.6, right=0.6, left=0.5)
    sign = only(with_levels(trousers(), lines=(low,)))
    assert sign.says.startswith("hip level: hangs 2.2 cm lower at the back than at the sides")
    assert kinds(sign) == ["seat_wedge"]
    # the back has room to sit; the front has none to spare
    room = line("hip level", front=0.2, back=-1.2, right=0.6, left=0.6)
    assert judge(with_levels(trousers(), lines=(room,))) == ()
    front = line("hip level", front=-0.8, back=0.2, right=0.5, left=0.5)
    assert kinds(only(with_levels(trousers(), lines=(front,)))) == ["front_rise"]
    # within a centimetre; a line of the front alone; a sleeve; the waist as it is worn
    for x in (
        line("hip level", front=0.0, back=0.9),
        line("bust level", back=-1.0, right=1.0, left=0.0),
        line("waist edge", front=0.0, back=2.0),
    ):
        assert judge(with_levels(jacket(), lines=(x,))) == ()
    arm = replace(hem("right", front=0.0, back=2.0), name="sleeve hem")
    assert judge(with_levels(jacket(), hems=(arm,))) == ()


# what the garment can have


def test_only_corrections_that_the_garment_can_have_are_causes() -> None:
    asked: list[tuple[str, tuple[str, ...], int]] = []

    def has(kind: str, places: tuple[str, ...], way: int) -> bool:
        asked.append((kind, places, way))
        return kind == "waistband_length"

    wide = tuple(place("waist edge, back", s, gap=1.5) for s in SIDES)
    (sign,) = judge(trousers(places=wide), has=has)
    assert kinds(sign) == ["waistband_length"]
    # of the darts the one of the same part, each to the way that the sign asks for
    assert asked == [
        ("waist_dart_intake", ("back_waist_dart",), 1), ("waistband_length", ("waistband",), -1),
    ]  # fmt: skip


def test_every_sign_that_asks_for_less_is_the_catalogue_s_own() -> None:
    for kind, some in LESS.items():
        assert all(any(s.startswith(b) for s in all_entries()[kind].signs) for b in some)
    less = {"shorten", "take in", "less", "shorter", "narrower", "squarer", "pass it down"}
    more = {"lengthen", "more", "longer", "wider", "more sloping", "pass the back up", "deepen"}
    for kind, e in all_entries().items():
        for s in e.signs:
            c = Cause(kind, s)
            if c.asks in less and kind in LESS:
                assert c.way == -1, s
            if c.asks in more:
                assert c.way == 1, s


# signs against each other


def sign_of(place_: str, *some: tuple[str, str], side: str = "right and left") -> Sign:
    return Sign("fold", place_, side, 2.0, 1.0, "cm", "seen", causes(some))


WEDGE = ("seat_wedge", "waist pulled down"), ("seat_wedge", "loose folds")
FROWN = ("front_rise", "frown")


def test_signs_that_ask_for_opposite_things_are_told_with_what_to_try_first() -> None:
    both_ = sign_of("side seam", WEDGE[0], FROWN)
    signs = (both_, sign_of("hip level", WEDGE[1]), sign_of("fork", FROWN))
    (told,) = opposites(signs)
    assert told == (
        "Back rise longer or shorter (seat_wedge) is asked for in opposite ways, by sign 1 "
        "“lengthen” and sign 2 “shorten”: try first front rise longer or shorter (front_rise: "
        "“shorten”), named by signs 1 and 3; then the mirror decides."
    )
    (told,) = opposites((sign_of("side seam", WEDGE[0]), sign_of("hip level", WEDGE[1])))
    assert told.endswith(": which of them is right, only the mirror decides.")
    # what is only to be watched asks for nothing
    assert not [*opposites((signs[0], replace(signs[1], wrong=False)))]


def test_what_can_be_done_at_once_is_not_opposite() -> None:
    out, take = ("let_out", "tight"), ("let_out", "loose")
    for some in (
        (sign_of("hip", out), sign_of("waist edge, back", take)),  # two levels of a seam
        (sign_of("hip", out, side="right"), sign_of("hip", take, side="left")),  # two sides
        (
            sign_of("waist, front", ("waist_dart_intake", "drag lines")),
            sign_of("waist edge, back", ("waist_dart_intake", "loose waist")),
        ),  # two darts
        (sign_of("hip", take), sign_of("hip", take)),  # the same
    ):
        assert not [*opposites(some)]
    assert len([*opposites((sign_of("hip", out), sign_of("hip", take)))]) == 1


def test_a_waist_that_is_pulled_down_is_a_sign() -> None:
    pulled = f"{PULLED_DOWN} with 1.4 times the weight of the cloth: the rise is short there."
    assert no_sign(("She stands without shoes.",)) == "No sign of a fault."
    assert no_sign(("She stands without shoes.", pulled)) == (
        "No sign but this: the waist is pulled down with 1.4 times the weight of the cloth: the "
        "rise is short there."
    )


# order, unit, causes


def test_the_worst_comes_first_and_what_is_only_told_last() -> None:
    r = with_levels(
        jacket(
            places=(*jacket().places, place("hip level, front", across=0.019)),
            folds=(to_bust(depth=0.6),),
        ),
        seams=(plumb("side seam", "right", 3.0),),
    )
    assert [(s.kind, s.wrong) for s in judge(r)] == [
        ("swings", True), ("fold", True), ("strained", False),
    ]  # fmt: skip


def test_signs_are_told_in_the_unit_of_the_order() -> None:
    # 5.08 cm are two inches; 20 cm some 8
    seams = (plumb("side seam", "right", 5.08),)
    r = with_levels(jacket(folds=(to_bust(depth=2.54),), unit="in"), seams=seams)
    told = " ".join(s.says for s in judge(r))
    assert "2 in off plumb at the hem" in told
    assert "8 in long, 1 in deep" in told
    assert "cm" not in told
    assert judge(r)[0].amount == 5.08


def test_causes_are_the_catalogue_s_own() -> None:
    every = [c for r in RULES for c in r.said]
    every += [c for table in (SWINGING, DROPPING, GAPING) for some in table.values() for c in some]
    for kind, begins in (*every, *TIGHT, *WIDE):
        assert cause(kind, begins).sign in all_entries()[kind].signs
    with pytest.raises(KeyError):
        cause("hollow_back", "no such sign")


def test_what_may_help_is_said_with_what_it_is_for() -> None:
    assert may_need(cause("let_out", "tight")) == (
        "It may need: seam let out or taken in (let_out), for “tight horizontal folds: too little "
        "ease at that level, let out”."
    )
