"""Outlines from an SVG file, in cm.

Read with the standard library's XML parser. Groups, transforms, nested drawings, the view box and
units with their sizes (1 in = 2.54 cm = 96 px = 72 pt = 6 pc) are followed after the published
recommendation (SVG 1.1 and CSS, from memory); style sheets, masks and text are left aside.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from math import cos, radians, sin, tan
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.bringin.outline import MEET, Chain
from pinwright.bringin.svg_path import arc, subpaths
from pinwright.errors import GeometryError, OrderError
from pinwright.geometry import cubic as cb

Array = NDArray[np.float64]

CM: dict[str, float] = {
    "cm": 1.0,
    "mm": 0.1,
    "m": 100.0,
    "in": 2.54,
    "px": 2.54 / 96.0,
    "pt": 2.54 / 72.0,
    "pc": 2.54 / 6.0,
    "Q": 0.025,
}
"""Units of length by name, cm."""

_LENGTH = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([A-Za-z%]*)\s*$")
_SKIP = {"defs", "clipPath", "mask", "marker", "pattern", "symbol", "text", "metadata", "style"}


def svg_chains(path: Path, unit: str | None = None) -> tuple[list[Chain], list[str]]:
    """Every line drawn in an SVG file, cm, y up, labelled by its class or layer; and remarks.

    ``unit`` is what one unit of the drawing is, where the file does not say or is not believed.

    Raises:
        OrderError: no such file, no SVG, or a size in a unit that is unknown.
        GeometryError: path data that cannot be read.
    """
    try:
        root = ET.fromstring(path.read_bytes())
    except FileNotFoundError as err:
        raise OrderError(f"There is no file {path}.") from err
    except OSError as err:
        raise OrderError(f"{path} cannot be read ({err.strerror}).") from err
    except ET.ParseError as err:
        raise OrderError(f"{path} is not a whole SVG file ({err}).") from err
    if _tag(root) != "svg":
        raise OrderError(f"{path} holds <{_tag(root)}>, not an SVG drawing.")
    found: list[Chain] = []
    by_id = {e.get("id"): e for e in root.iter() if e.get("id")}
    _walk(root, _page(root, unit, path), "", "", by_id, found, 0)
    told = overruled(unit, _stated(root, path), path) if unit is not None else []
    return found + _along_folds(found), told


def _along_folds(chains: list[Chain]) -> list[Chain]:
    """What closes our own cut and net lines, which are left open where they lie on the fold."""
    folds = [
        np.concatenate([c.ctrl[:, 0], c.ctrl[-1:, 3]]) for c in chains if c.label == "fold-edge"
    ]
    found = []
    for c in chains:
        ends = np.stack([c.ctrl[-1, 3], c.ctrl[0, 0]])
        if c.label in ("cut-line", "net-line") and any(
            float(shapely.distance(shapely.points(ends), shapely.LineString(f)).max()) <= MEET
            for f in folds
        ):
            found.append(replace(c, ctrl=cb.line(*ends)[None]))
    return found


def unit_size(unit: str) -> float:
    """A unit's size, cm.

    Raises:
        OrderError: it is unknown.
    """
    if unit not in CM:
        raise OrderError(f"The unit is {unit!r}; it may be {', '.join(CM)}.")
    return CM[unit]


def overruled(unit: str, stated: float | None, path: Path) -> list[str]:
    """What a unit that was given does to a file that states ``stated`` cm for one of its own."""
    times = unit_size(unit) / stated if stated else 1.0
    if abs(times - 1.0) < 1e-3:
        return []
    return [
        f"{path} states its own size; with --unit {unit} everything is {times:.4g} times as large. "
        "Leave --unit out unless the file is wrong."
    ]


def _stated(root: ET.Element, path: Path) -> float | None:
    """The cm that the file itself says one unit of its drawing is, if it says so."""
    if root.get("width") is None and root.get("height") is None:
        return None
    try:
        return float(_page(root, None, path)[0, 0])
    except OrderError:
        return None


def _tag(e: ET.Element) -> str:
    return str(e.tag).rpartition("}")[2]


def _length(text: str | None) -> tuple[float, str] | None:
    m = _LENGTH.match(text) if text else None
    return (float(m.group(1)), m.group(2)) if m else None


def _numbers(text: str | None) -> list[float]:
    return [float(x) for x in re.findall(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?", text or "")]


def _page(root: ET.Element, unit: str | None, path: Path) -> Array:
    """The matrix (2, 3) from the drawing's units to cm, y up from the page's lower left corner."""
    box = _numbers(root.get("viewBox"))
    if unit is not None:
        scale = unit_size(unit)
        x0, low = (box[0], box[1] + box[3]) if len(box) == 4 else (0.0, 0.0)
        return np.array([[scale, 0.0, -scale * x0], [0.0, -scale, scale * low]])
    sizes = []
    for name in ("width", "height"):
        read = _length(root.get(name))
        if root.get(name) is not None and (read is None or (read[1] and read[1] not in CM)):
            raise OrderError(
                f"{path}: its {name} is {root.get(name)!r}, which tells no size; give the unit of "
                f"the drawing with --unit, one of {', '.join(CM)}."
            )
        sizes.append(None if read is None else read[0] * CM[read[1] or "px"])
    if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
        px = CM["px"]
        return np.array([[px, 0.0, 0.0], [0.0, -px, sizes[1] or 0.0]])
    if sizes == [None, None]:
        raise OrderError(
            f"{path} has a view box but neither width nor height, so its size is not known; give "
            f"the unit of the drawing with --unit, one of {', '.join(CM)}."
        )
    across = sizes[0] / box[2] if sizes[0] is not None else None
    up = sizes[1] / box[3] if sizes[1] is not None else None
    kx, ky = across or up or 1.0, up or across or 1.0
    if (root.get("preserveAspectRatio") or "").strip() != "none":
        kx = ky = min(kx, ky)
    return np.array([[kx, 0.0, -kx * box[0]], [0.0, -ky, ky * (box[1] + box[3])]])


def _walk(
    e: ET.Element,
    matrix: Array,
    label: str,
    group: str,
    by_id: dict[str | None, ET.Element],
    found: list[Chain],
    depth: int,
) -> None:
    tag = _tag(e)
    if tag in _SKIP or depth > 60 or "display:none" in (e.get("style") or "").replace(" ", ""):
        return
    if e.get("display") == "none":
        return
    matrix = _times(matrix, _transform(e.get("transform")))
    if tag == "svg" and depth:
        matrix = _times(matrix, _nested(e))
    layer = next((v for k, v in e.attrib.items() if k.rpartition("}")[2] == "label"), None)
    label = e.get("class") or layer or label
    if tag in ("g", "svg", "a", "switch"):
        inner = e.get("id") or layer or group if depth else group
        for child in e:
            _walk(child, matrix, label, inner or group, by_id, found, depth + 1)
        return
    if tag == "use":
        name = next((v for k, v in e.attrib.items() if k.rpartition("}")[2] == "href"), "")
        target = by_id.get(name.removeprefix("#"))
        if target is not None:
            shift = np.array([[1.0, 0.0, _get(e, "x")], [0.0, 1.0, _get(e, "y")]])
            _walk(target, _times(matrix, shift), label, group, by_id, found, depth + 1)
        return
    for ctrl in _shape(e, tag):
        found.append(Chain(_applied(matrix, ctrl), label, group, e.get("id") or ""))


def _shape(e: ET.Element, tag: str) -> list[Array]:
    if tag == "path":
        return [c for c, _ in subpaths(e.get("d") or "")]
    if tag in ("polygon", "polyline"):
        n = _numbers(e.get("points"))
        pts = np.array(n[: len(n) // 2 * 2]).reshape(-1, 2)
        if len(pts) < 2:
            return []
        if tag == "polygon":
            pts = np.concatenate([pts, pts[:1]])
        return [np.stack([cb.line(a, b) for a, b in pairwise(pts)])]
    if tag == "line":
        a = np.array([_get(e, "x1"), _get(e, "y1")])
        return [cb.line(a, np.array([_get(e, "x2"), _get(e, "y2")]))[None]]
    if tag == "rect":
        return _rect(e)
    if tag in ("circle", "ellipse"):
        c = np.array([_get(e, "cx"), _get(e, "cy")])
        rx = _get(e, "r") if tag == "circle" else _get(e, "rx")
        ry = rx if tag == "circle" else _get(e, "ry")
        if rx <= 0 or ry <= 0:
            return []
        arm = np.array([rx, 0.0])
        a, b = c + arm, c - arm
        return [np.stack([*arc(a, rx, ry, 0, False, True, b), *arc(b, rx, ry, 0, False, True, a)])]
    return []


def _rect(e: ET.Element) -> list[Array]:
    x, y, w, h = (_get(e, k) for k in ("x", "y", "width", "height"))
    if w <= 0 or h <= 0:
        return []
    rx = _get(e, "rx", -1.0)
    ry = _get(e, "ry", rx)
    rx = min(ry if rx < 0 else rx, w / 2)
    ry = min(ry, h / 2)
    if rx <= 0 or ry <= 0:
        data = f"M{x},{y} h{w} v{h} h{-w} z"
    else:
        a = f"a{rx},{ry} 0 0 1"
        data = (
            f"M{x + rx},{y} h{w - 2 * rx} {a} {rx},{ry} v{h - 2 * ry} {a} {-rx},{ry} "
            f"h{2 * rx - w} {a} {-rx},{-ry} v{2 * ry - h} {a} {rx},{-ry} z"
        )
    return [c for c, _ in subpaths(data)]


def _get(e: ET.Element, name: str, default: float = 0.0) -> float:
    read = _length(e.get(name))
    if read is None:
        return default
    value, unit = read
    if unit in ("", "px"):
        return value
    if unit not in CM:
        raise OrderError(f"<{_tag(e)}> has {name} {e.get(name)!r}; its unit is not known.")
    return value * CM[unit] / CM["px"]


def _nested(e: ET.Element) -> Array:
    """A drawing within the drawing: its own place and view box."""
    x, y = _get(e, "x"), _get(e, "y")
    box = _numbers(e.get("viewBox"))
    if len(box) != 4 or not box[2] > 0 or not box[3] > 0:
        return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])
    k = min(_get(e, "width", box[2]) / box[2], _get(e, "height", box[3]) / box[3])
    return np.array([[k, 0.0, x - k * box[0]], [0.0, k, y - k * box[1]]])


def _transform(text: str | None) -> Array:
    """The matrix (2, 3) of a list of transforms."""
    m = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    for name, inside in re.findall(r"([A-Za-z]+)\s*\(([^)]*)\)", text or ""):
        m = _times(m, _one(name, _numbers(inside)))
    return m


def _one(name: str, n: list[float]) -> Array:
    if name == "matrix" and len(n) == 6:
        return np.array([[n[0], n[2], n[4]], [n[1], n[3], n[5]]])
    if name == "translate" and n:
        return np.array([[1.0, 0.0, n[0]], [0.0, 1.0, n[1] if len(n) > 1 else 0.0]])
    if name == "scale" and n:
        return np.array([[n[0], 0.0, 0.0], [0.0, n[-1] if len(n) > 1 else n[0], 0.0]])
    if name == "rotate" and n:
        c, s = cos(radians(n[0])), sin(radians(n[0]))
        x, y = (n[1], n[2]) if len(n) == 3 else (0.0, 0.0)
        return np.array([[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y]])
    if name == "skewX" and n:
        return np.array([[1.0, tan(radians(n[0])), 0.0], [0.0, 1.0, 0.0]])
    if name == "skewY" and n:
        return np.array([[1.0, 0.0, 0.0], [tan(radians(n[0])), 1.0, 0.0]])
    raise GeometryError(f"The drawing has a transform {name}({', '.join(map(str, n))}); unknown.")


def _times(a: Array, b: Array) -> Array:
    """a after b."""
    out = np.empty((2, 3))
    out[:, :2] = a[:, :2] @ b[:, :2]
    out[:, 2] = a[:, :2] @ b[:, 2] + a[:, 2]
    return out


def _applied(m: Array, ctrl: Array) -> Array:
    return np.asarray(ctrl @ m[:, :2].T + m[:, 2])
