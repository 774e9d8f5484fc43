"""Rests kept on disk: how a garment hung, so that the next drape of it need not begin anew.

A rest lies beside the pictures that were made of it, never in the order; it holds the client's
body, and is erased with that folder.
"""

from __future__ import annotations

import io
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import lru_cache
from hashlib import sha256
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

import numpy as np

from pinwright import __version__
from pinwright.drape.data import Hung, Panel, Pose, Rest, Shell, Surface
from pinwright.drape.draping import COARSE, Garb
from pinwright.drape.reading.doubts import UNREST
from pinwright.figure.figure import Figure
from pinwright.sheets.writing import write_whole

KINDS = {c.__name__: c for c in (Hung, Panel, Rest, Shell, Surface)}
"""What a rest is made of, by name."""


def key_of(garb: Garb, figure: Figure, pose: Pose, edge: float) -> str:
    """What a rest hangs on: with the same key the same garment would hang the same.

    edge: sides of triangles, cm. Before the "/" is the figure in its pose, after it what hangs.
    """
    body = sha256(f"{_code()} {pose} {edge}".encode())
    body.update(np.ascontiguousarray(figure.points).tobytes())
    cloth = sha256(str(garb.handle).encode())
    shell = garb.shell(COARSE)
    for panel, vertices in zip(shell.panels, shell.vertices, strict=True):
        cloth.update(panel.name.encode())
        for some in (panel.points, panel.triangles, vertices):
            cloth.update(np.ascontiguousarray(some).tobytes())
    return f"{body.hexdigest()}/{cloth.hexdigest()}"


def start_of(old: tuple[str, Hung] | None, key: str, garb: Garb) -> Hung | None:
    """A kept rest from which a garment can go on after a correction: of the same panels, at rest on
    the same figure in the same pose; None where it is to be hung anew."""
    if old is None or old[0].split("/")[0] != key.split("/")[0]:
        return None
    rest = old[1].rest
    if rest.stopped or not rest.residual <= UNREST:
        return None
    now = {p.name for p in garb.shell(COARSE).panels}
    return old[1] if {p.name for p in old[1].shell.panels} == now else None


@lru_cache(maxsize=1)
def _code() -> str:
    """The drape's own code: what other code hung is hung anew."""
    found = sha256(__version__.encode())

    def add(folder: Traversable) -> None:
        for part in sorted(folder.iterdir(), key=lambda p: p.name):
            if part.is_dir():
                add(part)
            elif part.name.endswith(".py"):
                found.update(part.read_bytes())

    add(files("pinwright.drape"))
    return found.hexdigest()


def keep(path: Path, key: str, hung: Hung) -> None:
    """Write a rest, whole or not at all."""
    arrays: list[np.ndarray[Any, Any]] = []
    told = json.dumps({"key": key, "hung": _packed(hung, arrays)})
    buffer = io.BytesIO()
    named = {f"a{k}": a for k, a in enumerate(arrays)}
    np.savez_compressed(buffer, told=np.array(told), **named)  # type: ignore[arg-type]
    write_whole(path, buffer.getvalue())


def kept(path: Path) -> tuple[str, Hung] | None:
    """A rest with its key; None where there is none that can be read: it is only hung anew then."""
    try:
        with np.load(path, allow_pickle=False) as file:
            told = json.loads(str(file["told"]))
            hung = _unpacked(told["hung"], file)
    except (OSError, BadZipFile, ValueError, KeyError, TypeError):
        return None
    return (str(told["key"]), hung) if isinstance(hung, Hung) else None


def _packed(value: Any, arrays: list[np.ndarray[Any, Any]]) -> Any:
    """A value as plain data; its arrays are added to ``arrays`` and told by their number."""
    if isinstance(value, np.ndarray):
        arrays.append(value)
        return {"array": len(arrays) - 1}
    if is_dataclass(value):
        parts = {f.name: _packed(getattr(value, f.name), arrays) for f in fields(value)}
        return {"kind": type(value).__name__, "parts": parts}
    if isinstance(value, Mapping):
        return {"map": {str(k): _packed(v, arrays) for k, v in value.items()}}
    if isinstance(value, tuple):
        return [_packed(v, arrays) for v in value]
    return value.item() if isinstance(value, np.generic) else value


def _unpacked(value: Any, arrays: Any) -> Any:
    if isinstance(value, list):
        return tuple(_unpacked(v, arrays) for v in value)
    if not isinstance(value, dict):
        return value
    if "array" in value:
        return arrays[f"a{value['array']}"]
    if "map" in value:
        return {k: _unpacked(v, arrays) for k, v in value["map"].items()}
    parts = {k: _unpacked(v, arrays) for k, v in value["parts"].items()}
    return KINDS[value["kind"]](**parts)
