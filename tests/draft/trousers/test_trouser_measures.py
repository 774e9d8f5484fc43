"""The draft follows the client's own measures, one by one."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.draft.blocks import trouser_rules as rules
from pinwright.draft.styles.trousers import STYLE
from pinwright.errors import DraftError, OrderError

from .bodies import body, textbook_body, trousers
from .remeasure import sewn


@pytest.mark.parametrize("extra", [-1.5, 0.0, 1.0, 3.0])
def test_crotch_lines_are_the_clients_front_and_back_apart(extra: float) -> None:
    base = body()
    front, back = base["front_crotch_length"], base["back_crotch_length"]
    client = body(front_crotch_length=front + extra, back_crotch_length=back)
    garment = trousers(client)
    # regular ease 1.5 in all, 0.4 of it in front: 0.6 and 0.9
    assert sewn(garment.piece("front").edge("centre")) == pytest.approx(front + extra + 0.6)
    assert sewn(garment.piece("back").edge("seat")) == pytest.approx(back + 0.9)


@pytest.mark.parametrize("fit", list(rules.EASES))
def test_the_centre_front_stands_level_with_the_side_at_every_ease(fit: str) -> None:
    """Practical English for Garments (sources 2.1): both at the waist line, 104 over the floor;
    ours within the difference that the handbook's row states for the regular fit. A crotch line
    that is lower takes more of the crotch length, so a loose fit needs more ease there."""
    front = trousers(textbook_body(), fit=fit, above_floor=0.0).piece("front")
    assert front.point("waist_side")[1] == pytest.approx(104.0)
    assert front.point("waist_centre")[1] == pytest.approx(104.0, abs=0.4)


def test_a_lowered_waist_and_a_shaped_band_shorten_the_crotch_by_their_depth() -> None:
    client = body(worn_waist_drop=3.0)
    straight = trousers(client, band="straight")
    shaped = trousers(client, band="shaped", band_depth=4.0)
    front = client["front_crotch_length"]
    assert sewn(straight.piece("front").edge("centre")) == pytest.approx(front + 0.6 - 3.0)
    assert sewn(shaped.piece("front").edge("centre")) == pytest.approx(front + 0.6 - 7.0)
    rises = []
    for garment in (straight, shaped):
        drawn = garment.piece("front")
        rises.append(float(drawn.point("waist_side")[1] - drawn.point("side:hip")[1]))
    assert rises == pytest.approx([client["waist_to_hip"] - 3.0, client["waist_to_hip"] - 7.0])


def test_the_side_waist_stands_as_high_over_the_hip_as_the_handbook_has_it() -> None:
    """Practical English for Garments (sources 2.1): waist and hip line 20.6 apart, straight up; a
    seam straight from one to the other, 3.75 in, is 20.94 long."""
    garment = trousers(body(waist_to_hip=20.6))
    front, back = garment.piece("front"), garment.piece("back")
    rise = front.point("waist_side") - front.point("side:hip")
    assert rise[1] == pytest.approx(20.6, abs=1e-9)
    tops = []
    for piece in (front, back):
        side = piece.edge("side")
        tops.append(side.runs[0].length - side.runs[0].cumulative[side.stations["hip"][1]])
    assert tops[0] == pytest.approx(tops[1], abs=1e-6)
    # a curve is longer than the straight line, by little
    assert np.hypot(*rise) < tops[0] < np.hypot(*rise) + 0.15
    assert tops[0] == pytest.approx(20.94, abs=0.1)


def test_inside_leg_decides_the_crotch_line_when_it_was_taped_and_the_rise_was_not() -> None:
    assert trousers(body(inside_leg=78.0)).facts["crotch_level"] == pytest.approx(77.5)
    risen = body(outside_leg=104.0, body_rise=28.0)
    assert trousers(risen).facts["crotch_level"] == pytest.approx(75.5)


def test_front_and_back_arcs_decide_where_the_side_seam_falls() -> None:
    garment = trousers(body(hip_front_arc=48.0, hip_back_arc=46.0))
    front, back = garment.piece("front"), garment.piece("back")
    width = float(front.point("side:hip")[0] - front.point("centre:hip")[0])
    assert width == pytest.approx(48.0 / 2 + 1.0)
    assert float(back.point("side:hip")[0] - back.point("seat:hip")[0]) == pytest.approx(24.0)


def test_a_full_thigh_lengthens_the_forks_one_to_two() -> None:
    usual, full = trousers(body(thigh_girth=56.0)), trousers(body(thigh_girth=64.0))

    def extension(part: str, edge: str, g: object) -> float:
        piece = g.piece(part)  # type: ignore[attr-defined]
        return float(piece.point(f"{edge}:hip")[0] - piece.point("fork")[0])

    front = extension("front", "centre", full) - extension("front", "centre", usual)
    back = extension("back", "seat", full) - extension("back", "seat", usual)
    # hips 49 and extensions 18.27 make 67.27; 64 and 6 of ease need 2.73 more
    assert front + back == pytest.approx(70.0 - (49.0 + 6.375 + 11.8958), abs=1e-3)
    assert back == pytest.approx(2.0 * front)


def test_a_wide_leg_falls_straight_from_the_thigh() -> None:
    # hem half 70 / 4 - 0.5 = 17, crotch line 14.69 beside the crease: the knee lies between
    front = trousers(body(), hem_round=70.0).piece("front")
    at = [front.point(p).tolist() for p in ("side:crotch", "side:knee", "hem_side")]
    share = (at[1][1] - at[2][1]) / (at[0][1] - at[2][1])
    assert at[2][0] == pytest.approx(17.0)
    assert at[1][0] == pytest.approx(17.0 + (14.6875 - 17.0) * share, abs=1e-6)


def test_gathers_lengthen_the_trouser_top_and_not_the_band() -> None:
    plain = trousers(body())
    gathered = trousers(body(), gather_front=3.0, gather_back=8.0)
    for name, more in (("front", 1.5), ("back", 4.0)):
        grown = sewn(gathered.piece(name).edge("waist")) - sewn(plain.piece(name).edge("waist"))
        assert grown == pytest.approx(more, abs=1e-6)
    bands = [sewn(g.piece("band").edge("seam")) for g in (plain, gathered)]
    assert bands[0] == pytest.approx(bands[1], abs=1e-6)
    assert [s.planned for s in gathered.seam("waist").stretches] == [1.5, 4.0]


def test_eased_waist_has_no_darts_and_states_its_ease() -> None:
    garment = trousers(body(), waist="eased")
    assert not garment.piece("front").darts
    assert not garment.piece("back").darts
    assert [s.planned for s in garment.seam("waist").stretches] == [0.6, 1.0]


def test_estimated_measures_are_named() -> None:
    garment = trousers(textbook_body())
    assert "thigh_girth" in garment.estimated
    assert "body_rise" not in garment.estimated
    assert "hip_girth" not in garment.estimated


def test_rules_by_hand() -> None:
    # sources 2.1 with hip 94
    assert rules.front_extension(94.0, 0.5) == pytest.approx(6.375)
    assert rules.back_extension(94.0, 6.375) == pytest.approx(3.1875 + 6.375 + 2.3333, abs=1e-4)
    assert rules.front_centre_in(6.75) == pytest.approx(1.0, abs=0.001)
    assert rules.back_side_in(7.75) == pytest.approx(1.84, abs=0.03)
    assert rules.front_darts(6.75, 1.0) == pytest.approx((2.025,))
    assert rules.front_darts(11.0, 1.2) == pytest.approx((2.65, 2.65))  # 11 - 1.2 - 4.5 halved
    assert rules.front_darts(2.0, 0.3) == ()
    assert rules.back_darts(0.9) == ()
    assert rules.back_darts(4.0) == (2.0, 2.0)
    assert rules.knee_height(76.0) == 43.0
    assert rules.knee_round(44.0, 60.0, 94.0, 43.0) == pytest.approx(49.2)
    assert rules.knee_round(30.0, 60.0, 94.0, 48.0) == 48.0
    assert rules.straight_leg(60.0, 70.0, 0.6) == 64.0
    assert rules.knee_round(70.0, 64.0, 94.0, 43.0) == 64.0
    assert rules.extension_for_thigh(67.0, 56.0, 6.0) == 0.0
    assert rules.extension_for_thigh(60.0, 58.0, 6.0) == 4.0


@pytest.mark.parametrize(
    ("client", "choices", "says"),
    [
        ({}, {"hem_round": 22.0}, "does not pass over the heel"),
        ({"front_crotch_length": 44.0}, {}, "front crotch length"),
        ({"back_crotch_length": 24.0}, {}, "back_crotch_length"),
        ({}, {"above_floor": 40.0}, "from the knee to the hem"),
        ({"worn_waist_drop": 12.0}, {"band": "shaped", "band_depth": 8.0}, "waist seam to the hip"),
        ({}, {"pocket_top": 10.0, "pocket_length": 20.0, "fit": "flared"}, "slim, regular, loose"),
    ],
)
def test_what_cannot_be_cut_is_refused_in_one_sentence(
    client: dict[str, float], choices: dict[str, object], says: str
) -> None:
    with pytest.raises((DraftError, OrderError), match=says) as refusal:
        trousers(body(**client), **choices)
    assert "\n" not in str(refusal.value)


def test_drafting_twice_gives_the_same_lines_to_the_last_bit() -> None:
    a, b = trousers(body()), trousers(body())
    assert np.array_equal(a.layout.ctrl, b.layout.ctrl)


def test_small_changes_of_a_measure_make_small_changes_of_the_draft() -> None:
    base, near = trousers(body()), trousers(body(hip_girth=94.001))
    assert base.layout.ctrl.shape == near.layout.ctrl.shape
    assert np.abs(base.layout.ctrl - near.layout.ctrl).max() < 0.02


def test_choices_are_declared_with_ranges() -> None:
    assert STYLE.choose({})["fit"] == "regular"
    with pytest.raises(OrderError, match="number from"):
        STYLE.choose({"band_depth": 20})
