"""The shape of the open body beside the evaluator that its publisher ships, on random settings.

Optional: it needs ``anny`` 0.6.2 and ``torch`` (``pip install -e '.[original]'``), and is skipped
without them. The evaluator reads all its data once, about two minutes, and leaves a gigabyte in
the folder ANNY_CACHE_DIR; where that is not set, in one that is removed at the end.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping
from importlib.resources import files
from typing import Any

import numpy as np
import pytest

from pinwright.figure.body.model import AGE, GENERAL, Array, body, shaped

WHY = "the published evaluator is not installed: pip install -e '.[original]'"
torch: Any = pytest.importorskip("torch", reason=WHY)
anny: Any = pytest.importorskip("anny", reason=WHY)

MM = 1e-4
"""How far the two may be apart, mm. Ours keeps offsets of up to 60 cm in single precision, of
which the last place is 4e-5 mm; theirs is asked to reckon in double precision."""

BEGINS = {
    "pelvis": "spine05",
    "loin": "spine04",
    "waist": "spine03",
    "chest": "spine02",
    "shoulders": "spine01",
    "neck": "neck01",
    "head": "head",
    "clavicle": "clavicle",
    "shoulder": "shoulder01",
    "upper_arm": "upperarm01",
    "forearm": "lowerarm01",
    "hand": "wrist",
    "thigh": "upperleg01",
    "shin": "lowerleg01",
    "foot": "foot",
}
"""Our joint -> the bone of theirs that begins there, less the side."""


@pytest.fixture(scope="module")
def original() -> Iterator[Any]:
    """Their evaluator, with every vertex, quads, and all that can be set."""
    with tempfile.TemporaryDirectory() as folder:
        if "ANNY_CACHE_DIR" not in os.environ:
            anny.paths.set_anny_cache_path(folder)
        yield anny.Anny(
            rig="makehuman",
            topology="makehuman",
            local_changes="all",
            phenotypes="all",
            phenotype_blendshapes="original",
        ).to(dtype=torch.float64)


@pytest.fixture(scope="module")
def named() -> dict[str, str]:
    """Our name of a change of one place -> theirs."""
    with files("pinwright.figure.body").joinpath("body.npz").open("rb") as file:
        more = np.load(file)["more_source"].tolist()
    return {
        ours: theirs.rpartition("/")[2] for ours, theirs in zip(body().places, more, strict=True)
    }


def reckoned(
    original: Any,
    named: Mapping[str, str],
    general: Mapping[str, float],
    places: Mapping[str, float],
    age: float,
) -> Array:
    """What theirs says of the vertices and joints of ours, in our coordinates: (n + j, 3) cm.

    At rest: before any bone turns. Theirs is in metres with the same axes as ours, and its age of
    2/3 is 25 years, of 1 is 90.
    """
    phenotype = {
        "gender": 1.0,  # female
        "age": 2.0 / 3.0 + age / 3.0,
        "height": general["height"],
        "weight": general["weight"],
        "muscle": general["muscle"],
        "cupsize": general["cup"],
        "proportions": general["proportions"],
        "firmness": 0.5,
        **dict.fromkeys(("african", "asian", "caucasian"), 1.0 / 3.0),
    }
    local = {named[place]: amount for place, amount in places.items()}
    with torch.no_grad():
        said = original(phenotype_kwargs=phenotype, local_changes_kwargs=local)
    skin = said["rest_vertices"][0].numpy()[: body().n]
    heads = said["rest_bone_heads"][0].numpy()
    side = {"left": ".L", "right": ".R"}
    bones = []
    for joint in body().joints:
        stem, _, last = joint.rpartition("_")
        bones.append(BEGINS[stem] + side[last] if last in side else BEGINS[joint])
    joints = heads[[original.bone_labels.index(bone) for bone in bones]]
    found: Array = np.concatenate([skin, joints]) * 100.0
    return found


def apart(ours: Array, theirs: Array) -> float:
    """The greatest distance between the same points, mm."""
    return float(np.linalg.norm(ours - theirs, axis=1).max() * 10.0)


def test_the_faces_are_theirs(original: Any) -> None:
    """So that the vertices are numbered alike: theirs begin with the body's."""
    faces = body().faces
    assert np.array_equal(original.faces.numpy()[: len(faces)], faces)


def test_the_mean_woman_is_theirs(original: Any, named: dict[str, str]) -> None:
    mean = dict.fromkeys(GENERAL, 0.5)
    assert apart(shaped(mean), reckoned(original, named, mean, {}, AGE)) < MM


@pytest.mark.parametrize("seed", range(24))
def test_a_random_body_is_theirs(original: Any, named: dict[str, str], seed: int) -> None:
    """Every third without changes of places, every third with all, every third at the ends."""
    rng = np.random.default_rng(seed)
    general = dict(zip(GENERAL, rng.uniform(size=len(GENERAL)).tolist(), strict=True))
    places = dict(zip(named, rng.uniform(-1.0, 1.0, size=len(named)).tolist(), strict=True))
    age = float(rng.uniform())
    if seed % 3 == 0:
        places = {}
    elif seed % 3 == 2:
        general = {name: float(rng.choice([0.0, 0.5, 1.0])) for name in GENERAL}
        places = {name: float(rng.choice([-1.0, 0.0, 1.0])) for name in named}
        age = float(rng.choice([0.0, 1.0]))
    assert apart(shaped(general, places, age), reckoned(original, named, general, places, age)) < MM


@pytest.mark.parametrize("seed", range(6))
def test_outside_0_to_1_the_nearest_line_goes_on_as_theirs_can(
    original: Any,
    named: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
    seed: int,
) -> None:
    monkeypatch.setattr(original, "extrapolate_phenotypes", True)
    rng = np.random.default_rng(100 + seed)
    general = {name: float(rng.choice([-1, 1]) * rng.uniform(0.5, 0.8) + 0.5) for name in GENERAL}
    age = float(rng.uniform())
    assert apart(shaped(general, age=age), reckoned(original, named, general, {}, age)) < MM
