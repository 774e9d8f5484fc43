"""Matching: the pattern of the cloth looked up where garment points come to lie.

Where a point lies is worked out here by hand (up along the cloth, the other hand mirrored) and
set on the template by its bounding box; the pattern is a function of the cloth's own coordinates.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from pinwright.cutting.cutline import cut_line
from pinwright.cutting.fields import checked, fields
from pinwright.cutting.lay.placing import Lay, Placement, Template
from pinwright.cutting.matching import Match, Matched, mismatches
from pinwright.cutting.matching_words import off_words
from pinwright.cutting.material import Material, Repeat
from pinwright.cutting.rules import RULES
from pinwright.cutting.templates import prepared
from pinwright.errors import LayError
from pinwright.pattern.hand import as_drawn
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Give, Ref, Seam, Station, Stretch
from tests.cutting.own_orders import garments, layer
from tests.cutting.skirt import skirt

CHECK = Material(width=150.0, selvedge=1.3, repeat=Repeat(4.0, 3.0, 0.7, 2.2, turns=True))
ONE_WAY = replace(CHECK, repeat=replace(CHECK.repeat, turns=False))

Half = Mapping[str, Piece]


class Laid:
    """A garment laid by its phases, at whole repeats picked by a seed."""

    def __init__(
        self, right: Half, left: Half, seams: tuple[Seam, ...], cloth: Material, seed: int = 0
    ) -> None:
        self.halves = {"right": right, "left": left}
        self.cloth = cloth
        self.found: Matched = prepared(right, left, "g", cloth, seams)
        self.by_key = {t.key: t for t in self.found.templates}
        rng = Random(seed)
        self.at = {t.key: self._place(t, rng) for t in self.found.templates}

    def _place(self, t: Template, rng: Random) -> Placement:
        turn = rng.choice(t.rotations)
        sign = -1.0 if turn == 180.0 else 1.0
        to = [rng.uniform(0.0, 90.0), 0.0 if t.on_fold else rng.uniform(0.0, 90.0)]
        r = self.cloth.repeat
        for p in t.phases:
            k, size = (0, r.along) if p.axis == "along" else (1, r.across)
            to[k] = p.residue - sign * p.at[k] + rng.randrange(20) * size
        return Placement(t.key, to[0], to[1], turn)

    @property
    def lay(self) -> Lay:
        return Lay(
            fields(self.cloth)[0], self.found.templates, tuple(self.at.values()), length=400.0
        )

    def on_cloth(self, name: str, hand: str, points: np.ndarray) -> np.ndarray:
        """Garment points (k, 2) in the drawing -> where they lie from cut end and selvedge."""
        piece = self.halves[hand][name]
        side = -1.0 if (as_drawn(piece) == hand) else 1.0
        up = -1.0 if piece.fall else 1.0

        def by_hand(p: np.ndarray) -> np.ndarray:
            return np.stack([up * p[:, 1], side * up * p[:, 0]], axis=1)

        t = self.by_key.get(f"g.{name}.{hand}") or self.by_key[f"g.{name}"]
        shift = t.outline.min(axis=0) - by_hand(cut_line(piece)).min(axis=0)
        if t.side == "both":  # its fold, at x = 0 as drawn, lies on y = 0
            other = self.halves["left" if hand == "right" else "right"][name]
            low = min(float((up * cut_line(p)[:, 1]).min()) for p in (piece, other))
            shift = np.array([t.outline[:, 0].min() - low, 0.0])
        at = self.at[t.key]
        sign = -1.0 if at.rotation == 180.0 else 1.0
        edge = self.cloth.selvedge if self.cloth.lay == "open" else 0.0
        out: np.ndarray = sign * (by_hand(points) + shift) + [at.x, at.y + edge]
        return out

    def bars(self, name: str, hand: str, points: np.ndarray) -> np.ndarray:
        r = self.cloth.repeat
        return pattern(self.on_cloth(name, hand, points)[:, 0] - r.from_start, r.along, r.turns)

    def stripes(self, name: str, hand: str, points: np.ndarray) -> np.ndarray:
        r = self.cloth.repeat
        return pattern(self.on_cloth(name, hand, points)[:, 1] - r.from_selvedge, r.across, r.turns)


def pattern(beyond_line: np.ndarray, repeat: float, turns: bool) -> np.ndarray:
    """What is woven there: even about a line where the repeat turns, and else not at all."""
    a = 2.0 * np.pi * beyond_line / repeat
    found: np.ndarray = np.cos(a) + 0.5 * np.cos(2 * a)
    return found if turns else found + 0.7 * np.sin(a) + 0.4 * np.sin(2 * a)


def around(p: np.ndarray) -> np.ndarray:
    """A cross of points about one, both ways within a repeat."""
    d = np.linspace(-2.0, 2.0, 9)
    return np.concatenate([p + np.stack([d, 0 * d], axis=1), p + np.stack([0 * d, d], axis=1)])


def up_and_down(p: np.ndarray) -> np.ndarray:
    return p + np.stack([np.zeros(9), np.linspace(-3.0, 3.0, 9)], axis=1)


def skirt_laid(cut: str, cloth: Material, seed: int) -> Laid:
    g = skirt(cut)
    pieces = {p.name: p for p in g.pieces if p.name in ("front", "back")}
    return Laid(pieces, pieces, g.seams[:1], cloth, seed)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("cut", ["pair", "fold"])
@pytest.mark.parametrize("cloth", [CHECK, ONE_WAY], ids=["turns", "one way"])
def test_bars_meet_at_the_side_seam(cut: str, cloth: Material, seed: int) -> None:
    laid = skirt_laid(cut, cloth, seed)
    for hand in ("right", "left"):
        front, back = laid.halves[hand]["front"], laid.halves[hand]["back"]
        a = laid.bars("front", hand, up_and_down(front.point("hip")))
        b = laid.bars("back", hand, up_and_down(back.point("hip")))
        assert a == pytest.approx(b, abs=1e-6)
    hip = up_and_down(laid.halves["right"]["front"].point("hip"))
    assert laid.bars("front", "right", hip) == pytest.approx(laid.bars("front", "left", hip))
    # and the pattern is no constant: half a repeat higher it is another
    higher = laid.bars("front", "right", hip + np.array([0.0, 2.0]))
    assert float(np.abs(higher - laid.bars("front", "right", hip)).max()) > 0.5


def jacket(cloth: Material, seed: int) -> Laid:
    right, left, seams = garments()["jacket"]
    return Laid(layer(right, "shell"), layer(left, "shell"), seams, cloth, seed)


def across(p: np.ndarray, d: np.ndarray) -> np.ndarray:
    found: np.ndarray = p + np.stack([d, 0 * d], axis=1)
    return found


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("cloth", [CHECK, ONE_WAY], ids=["turns", "one way"])
def test_the_demo_jacket(cloth: Material, seed: int) -> None:
    laid = jacket(cloth, seed)
    r = laid.halves["right"]
    d = np.linspace(0.0, 6.0, 13)
    zero = np.zeros(2)
    # closed at centre front the stripes run on, and mirror each other where the repeat turns
    run_on = laid.stripes("front", "right", across(zero, -d))
    assert laid.stripes("front", "left", across(zero, d)) == pytest.approx(run_on, abs=1e-6)
    if cloth.repeat.turns:
        mirrored = laid.stripes("front", "right", across(zero, d))
        assert mirrored == pytest.approx(run_on, abs=1e-6)
    for hand in ("right", "left"):
        h = laid.halves[hand]
        # the pocket is lost on the front it is stitched to
        inside = around(h["patch_pocket"].point("opening_front") + np.array([6.0, -7.0]))
        for show in (laid.bars, laid.stripes):
            assert show("patch_pocket", hand, inside) == pytest.approx(
                show("front", hand, inside), abs=1e-6
            )
        # sleeve and front at the front notch: level, and stripes run on across the seam
        a, b = h["sleeve"].point("front_notch"), h["front"].point("front_notch")
        assert laid.bars("sleeve", hand, up_and_down(a)) == pytest.approx(
            laid.bars("front", hand, up_and_down(b)), abs=1e-6
        )
        assert laid.stripes("sleeve", hand, a[None]) == pytest.approx(
            laid.stripes("front", hand, b[None]), abs=1e-6
        )
    # yoke and back at centre back
    a, b = r["yoke"].point("yoke_centre"), r["back"].point("yoke_centre")
    for show in (laid.bars, laid.stripes):
        assert show("yoke", "right", around(a)) == pytest.approx(
            show("back", "right", around(b)), abs=1e-6
        )
    # the collar 7 deep on a stand of s lies 7 - 2 s below the neck seam at centre back
    roll = r["collar"].line("roll").path
    neck = r["collar"].point("neck_centre")
    stand = min(abs(float(p[1] - neck[1])) for p in (roll.start, roll.end) if abs(p[0]) < 1e-6)
    edge = r["collar"].point("outer_centre")
    below = r["yoke"].point("neck_centre") - np.array([0.0, 7.0 - 2.0 * stand])
    assert 2.0 < stand < 3.5
    # drawn turned over: up as worn is down in its drawing
    assert laid.bars("collar", "right", up_and_down(edge)[::-1]) == pytest.approx(
        laid.bars("yoke", "right", up_and_down(below)), abs=1e-6
    )
    assert laid.stripes("collar", "right", edge[None]) == pytest.approx(
        laid.stripes("yoke", "right", below[None]), abs=1e-6
    )
    # nothing that is inside is held
    assert not laid.by_key["g.undercollar.left"].phases


@pytest.mark.parametrize("style", ["jacket", "trousers"])
@pytest.mark.parametrize("seed", range(3))
def test_nothing_is_off_where_the_phases_hold(style: str, seed: int) -> None:
    right, left, seams = garments()[style]
    laid = Laid(layer(right, "shell"), layer(left, "shell"), seams, CHECK, seed)
    off = mismatches(laid.lay, laid.found.matches)
    assert len(off) == len(laid.found.matches) > 8
    assert max(o for _, o in off) <= 0.05
    checked(laid.found.templates, fields(CHECK)[0])


def test_what_is_moved_is_found_out() -> None:
    laid = jacket(CHECK, 0)
    at = laid.at["g.front.left"]
    laid.at["g.front.left"] = replace(at, x=at.x + 0.7, y=at.y - 1.1)
    for m, o in mismatches(laid.lay, laid.found.matches):
        moved = "g.front.left" in (m.a, m.b)
        want = (0.7 if m.axis == "along" else 1.1) if moved else 0.0
        # on a line or half way between two
        want = min(want, 1.5 - want) if moved and not m.b else want
        assert o == pytest.approx(want, abs=0.05), m


def test_turned_where_the_repeat_does_not_turn() -> None:
    laid = jacket(ONE_WAY, 0)
    assert {t.rotations for t in laid.found.templates} == {(0.0,)}
    laid.at["g.front.left"] = replace(laid.at["g.front.left"], rotation=180.0)
    for m, o in mismatches(laid.lay, laid.found.matches):
        if "g.front.left" in (m.a, m.b):
            assert o == pytest.approx(2.0 if m.axis == "along" else 1.5)


def test_matches_of_what_is_not_there_and_where_there_is_no_repeat() -> None:
    laid = jacket(CHECK, 0)
    del laid.at["g.front.left"]
    there = mismatches(laid.lay, laid.found.matches)
    assert there
    assert all("g.front.left" not in (m.a, m.b) for m, _ in there)
    plain = replace(laid.lay, field=fields(Material())[0])
    assert all(o == float("inf") for _, o in mismatches(plain, laid.found.matches))


def test_a_folded_cloth() -> None:
    good = replace(CHECK, lay="folded", repeat=replace(CHECK.repeat, from_selvedge=1.5))
    laid = jacket(good, 1)
    assert max(o for _, o in mismatches(laid.lay, laid.found.matches)) <= 0.05
    assert not any("fold it on a line" in s for s in laid.found.told)
    # folded 0.4 beside a line, the front on it lies 0.8 off the line in the lower ply
    bad = jacket(replace(good, repeat=replace(good.repeat, from_selvedge=0.4)), 1)
    assert any("is folded 0.4 cm beside a stripe" in s for s in bad.found.told)
    # then no stripe is said to match, and what stands on the fold is told
    assert "Bars matched on the g at" in " ".join(bad.found.told)
    assert "Check matched on the g at centre front" in " ".join(laid.found.told)
    assert (
        "Not matched on the g: back and yoke with a stripe at centre back, 0.4 cm off, because "
        "the cloth is folded beside a stripe."
    ) in bad.found.told
    off = [
        o
        for m, o in mismatches(bad.lay, bad.found.matches)
        if m.rule == "centre_front" and m.a == m.b
    ]
    assert off == pytest.approx([0.8])
    one_way = replace(good, repeat=replace(good.repeat, turns=False))
    assert any("lay it open" in s for s in jacket(one_way, 1).found.told)


def rules_of(matches: tuple[Match, ...]) -> set[str]:
    return {m.rule for m in matches}


def test_only_the_rules_that_are_asked_for() -> None:
    asked = replace(CHECK, match=("pocket", "centre_front"))
    found = jacket(asked, 0).found
    assert rules_of(found.matches) == {"pocket", "centre_front"}
    held = {t.piece for t in found.templates if t.phases}
    assert held == {"front", "patch_pocket"}
    none = jacket(replace(CHECK, match=()), 0).found
    assert not none.matches
    assert not any(t.phases for t in none.templates)
    assert rules_of(jacket(CHECK, 0).found.matches) == set(RULES)
    # sides that differ after the fitting are told, not refused, also where all is asked for
    every = jacket(replace(CHECK, match=tuple(RULES)), 0).found
    assert _apart() > 0.05
    assert (
        f"Not matched on the g: right and left sleeve at the underarm back, bars {_apart():.1f} "
        "cm off, because the front notch of the sleeve is matched first."
    ) in every.told


def _apart() -> float:
    """How much higher one front notch is above the underarm than the other, front and sleeve."""
    heights = []
    for half in garments()["jacket"][:2]:
        hip = half["front"].point("side:hip")
        notch = half["front"].point("front_notch") - hip
        arm = half["sleeve"].point("front_notch") - half["sleeve"].point("underarm_back")
        heights.append(float(notch[1] - arm[1]))
    return abs(heights[0] - heights[1])


def test_what_is_matched_is_said_in_one_sentence() -> None:
    few = jacket(replace(CHECK, match=("pocket", "centre_front")), 0).found
    assert few.told == (
        "Check matched on the g at centre front (right and left front) and pocket (patch pocket "
        "with front).",
    )
    (level,) = jacket(replace(CHECK, match=("level", "yoke")), 0).found.told
    assert level == (
        "Check matched on the g at yoke seam (back with yoke); right level with left (front, "
        "sleeve and patch pocket)."
    )
    # a lining is not seen: that is said, and nothing else
    right, left, seams = garments()["jacket"]
    halves = layer(right, "lining"), layer(left, "lining")
    hidden = prepared(*halves, "g", replace(CHECK, name="silk"), seams)
    assert hidden.told == ("The cloth silk: nothing on the g is matched.",)


def test_what_is_off_as_it_lies_is_said_with_its_pieces() -> None:
    laid = jacket(CHECK, 0)
    laid.at["g.sleeve.left"] = replace(laid.at["g.sleeve.left"], x=laid.at["g.sleeve.left"].x + 0.7)
    said = [
        off_words(m, o, laid.found.templates)
        for m, o in mismatches(laid.lay, laid.found.matches)
        if o > 0.2
    ]
    assert said == [
        "Off as laid on the g: left sleeve with left front at the front notch, bars 0.7 cm."
    ]
    laid = jacket(CHECK, 0)
    laid.at["g.front.right"] = replace(laid.at["g.front.right"], y=laid.at["g.front.right"].y + 0.6)
    said = [
        off_words(m, o, laid.found.templates)
        for m, o in mismatches(laid.lay, laid.found.matches)
        if o > 0.2 and m.rule == "centre_front"
    ]
    assert said == [
        "Off as laid on the g: right front with a stripe at centre front, 0.6 cm.",
        "Off as laid on the g: right and left front at centre front, stripes 0.6 cm.",
    ]


def test_what_is_off_is_said_in_inches_to_those_who_measure_so() -> None:
    # 1 in = 2.54 cm: 0.7 cm is 0.276 in, 0.4 cm 0.157, 3.5 cm 1.378; to the eighth 1/4, 1/8, 1 3/8
    laid = jacket(CHECK, 0)
    laid.at["g.sleeve.left"] = replace(laid.at["g.sleeve.left"], x=laid.at["g.sleeve.left"].x + 0.7)
    said = [
        off_words(m, o, laid.found.templates, unit="in")
        for m, o in mismatches(laid.lay, laid.found.matches)
        if o > 0.2
    ]
    assert said == [
        "Off as laid on the g: left sleeve with left front at the front notch, bars 1/4 in."
    ]
    folded = replace(CHECK, lay="folded", repeat=replace(CHECK.repeat, from_selvedge=0.4))
    right, left, seams = garments()["jacket"]
    told = prepared(layer(right, "shell"), layer(left, "shell"), "g", folded, seams, "in").told
    assert any("is folded 1/8 in beside a stripe" in s for s in told)
    assert any("with a stripe at centre back, 1/8 in off, because" in s for s in told)
    pieces, seams, along = _contradicting()
    asked = replace(along, match=("side_seam", "yoke"))
    with pytest.raises(LayError, match=r"at the hem side, bars 1 3/8 in off\. Leave one"):
        prepared(pieces, pieces, "skirt", asked, seams, "in")
    told = prepared(pieces, pieces, "skirt", along, seams, "in").told
    assert any("bars 1 3/8 in off, because the level and the side seam" in s for s in told)
    assert not any(" cm" in s for s in told)


def test_stripes_only_along_leave_the_length_free() -> None:
    stripes = replace(CHECK, repeat=Repeat(across=3.0, turns=True))
    found = jacket(stripes, 0).found
    assert {p.axis for t in found.templates for p in t.phases} == {"across"}
    plain = prepared(*garments()["jacket"][:2], "g", Material(), garments()["jacket"][2])
    assert not plain.matches
    assert not any(t.phases for t in plain.templates)


def test_rules_without_a_place_are_said() -> None:
    right, left, seams = garments()["trousers"]
    halves = layer(right, "shell"), layer(left, "shell")
    asked = replace(CHECK, name="check", match=("collar", "pocket", "level"))
    told = prepared(*halves, "trousers", asked, seams).told
    assert told[0] == (
        "The cloth check: match names collar and pocket, but there is no such place on the "
        "trousers."
    )
    striped = replace(asked, repeat=Repeat(across=3.0, turns=True), match=("centre_back", "level"))
    told = prepared(*halves, "trousers", striped, seams).told
    assert told == (
        "The cloth check: match names level, but the cloth has no bars to match there.",
        "Stripes matched on the trousers at centre back (right and left trouser back).",
    )
    # nobody asked for a collar on trousers
    plain = prepared(*halves, "trousers", CHECK, seams).told
    assert "collar" not in " ".join(plain)
    held = Laid(layer(right, "shell"), layer(left, "shell"), seams, CHECK).by_key
    # the band lies round the body and is not made level
    assert not held["g.band.right"].phases


def _contradicting() -> tuple[dict[str, Piece], tuple[Seam, ...], Material]:
    """A yoke seam from the front's hem to the back's waist, 59.5 higher, level at the hip too."""
    g = skirt("pair")
    pieces = {p.name: p for p in g.pieces if p.name in ("front", "back")}
    ends = (Station("centre", "hem_side", "waist_side"), Station("arm", "waist_side", "hem_side"))
    odd = Seam(
        "odd",
        "yoke",
        (Ref("front", "side"),),
        (Ref("back", "side"),),
        ends,
        (Stretch(),),
        "arm",
        (Give("b", "end"),),
    )
    seams = (g.seams[0], odd)
    along = replace(CHECK, repeat=Repeat(along=8.0, turns=True))
    return pieces, seams, along


def test_refusals() -> None:
    with pytest.raises(
        LayError, match=r"match has no rule 'pockets'\. Did you mean pocket\? It may name centre_fr"
    ):
        jacket(replace(CHECK, match=("pockets",)), 0)
    pieces, seams, along = _contradicting()
    asked = replace(along, match=("side_seam", "yoke"))
    with pytest.raises(LayError) as err:
        prepared(pieces, pieces, "skirt", asked, seams)
    # 61 - 1.5 = 59.5 is 3.5 off seven repeats of 8
    assert str(err.value) == (
        "The cloth: match cannot keep yoke besides side_seam on the skirt: right front with right "
        "back at the hem side, bars 3.5 cm off. Leave one of them out of match."
    )
    told = prepared(pieces, pieces, "skirt", along, seams).told
    off = [s for s in told if s.startswith("Not matched on the skirt: right front with right back")]
    assert len(off) == 1
    assert "bars 3.5 cm off, because the level and the side seam are matched first" in off[0]


def test_scaled_for_shrinkage_the_points_go_with_the_outline() -> None:
    cloth = replace(CHECK, shrink="scaled", shrink_along=5.0, shrink_across=4.0)
    laid = jacket(cloth, 2)
    assert max(o for _, o in mismatches(laid.lay, laid.found.matches)) <= 0.05
    hip = {m.a: m.at_a for m in laid.found.matches if m.rule == "level"}["g.front.right"]
    drawn = laid.halves["right"]["front"].point("side:hip")
    assert hip == pytest.approx([drawn[1] / 0.95, drawn[0] / 0.96])
