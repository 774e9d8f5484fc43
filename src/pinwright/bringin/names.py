"""What the user says of the outlines found: names, edges, cutting, seams. A small TOML file."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from pinwright.errors import OrderError, meant
from pinwright.pattern.piece import Cut, Layer, LineKind, MarkKind

FORMAT = 1
Point = tuple[float, float]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class DartNames(_Part):
    """A dart: its mouth from one point to another in the order of the edge, and its point.

    Points by name, or as [x, y] in cm of the picture.
    """

    name: str
    mouth: tuple[str | Point, str | Point]
    apex: str | Point
    place: str = ""


class LineNames(_Part):
    """A line drawn on the piece, through points in cm of the picture."""

    name: str
    kind: LineKind = "balance"
    points: tuple[Point, ...] = Field(min_length=2)


class MarkNames(_Part):
    """A point marked on the piece, in cm of the picture."""

    name: str
    kind: MarkKind = "mark"
    at: Point


class PieceNames(_Part):
    """One piece: which outline, and what its corners and edges are called.

    ``corners`` anticlockwise from corner ``first``; "" where an edge runs on through a corner.
    ``points`` adds corners where the outline runs smoothly. ``edges`` from each named corner to
    the next; "" between two stretches of one edge is a dart's mouth. ``line`` says whether the
    outline is the net line or the cut line, which lies out by allowance and reserve. ``stations``
    are points along an edge ("side.hip"). Lengths in cm, points in cm of the picture.
    """

    outline: int = Field(ge=1)
    name: str = Field(min_length=1, pattern=r"^[^.:]+$")
    title: str = ""
    corners: tuple[str, ...]
    first: int = Field(default=1, ge=1)
    points: dict[str, Point] = Field(default_factory=dict)
    edges: tuple[str, ...]
    stations: dict[str, Point] = Field(default_factory=dict)
    home: str = ""
    cut: Cut = "pair"
    fold: str = ""
    layer: Layer = "shell"
    count: int = Field(default=1, ge=1)
    mirrored: bool = False
    line: Literal["net", "cut"] = "net"
    allowance: float | dict[str, float] = 1.0
    reserve: dict[str, float] = Field(default_factory=dict)
    grain: tuple[Point, Point] | None = None
    upright: bool = True
    darts: tuple[DartNames, ...] = ()
    lines: tuple[LineNames, ...] = ()
    marks: tuple[MarkNames, ...] = ()


class SeamNames(_Part):
    """A seam: edges sewn to edges, "piece.edge", with a minus where the seam runs against one.

    ``stations`` are points both sides have; ``hold`` the one that stays when lengths change.
    Without ``b`` it is the seam between the right and the left half of ``a``.
    """

    name: str
    a: tuple[str, ...] | str
    b: tuple[str, ...] | str = ()
    stations: tuple[str, ...] = ()
    hold: str = ""
    title: str = ""


class Names(_Part):
    """The whole file."""

    format: int = FORMAT
    garment: str = "brought-in pattern"
    pieces: tuple[PieceNames, ...] = Field(min_length=1)
    places: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    seams: tuple[SeamNames, ...] = ()


def read_names(path: Path) -> Names:
    """The names in a TOML file.

    Raises:
        OrderError: no such file, not TOML, or an unknown key or bad value, in one sentence.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as err:
        raise OrderError(f"There is no file of names at {path}.") from err
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as err:
        raise OrderError(f"{path} cannot be read as names ({err}).") from err
    if data.get("format", FORMAT) != FORMAT:
        raise OrderError(
            f"{path}: format is {data['format']!r}; this pinwright reads format {FORMAT}."
        )
    try:
        return Names.model_validate(data)
    except ValidationError as err:
        raise OrderError(f"{path}: {_fault(err)}") from err


_PLAINLY = {
    "string_pattern_mismatch": "a name without full stops or colons",
    "too_short": "at least one entry",
    "string_too_short": "at least one letter",
    "greater_than_equal": "1 or more",
}

_MODELS: dict[str, type[BaseModel]] = {
    "pieces": PieceNames,
    "seams": SeamNames,
    "darts": DartNames,
    "lines": LineNames,
    "marks": MarkNames,
}


def _fault(err: ValidationError) -> str:
    faults = err.errors(include_url=False)
    # a misspelt key says more than the one that is missing for it
    fault = next((f for f in faults if f["type"] == "extra_forbidden"), faults[0])
    steps = [s for s in fault["loc"] if isinstance(s, str | int)]
    where = ".".join(f"{s + 1}" if isinstance(s, int) else s for s in steps)
    if fault["type"] == "extra_forbidden":
        owners = [s for s in steps[:-1] if isinstance(s, str)]
        known = sorted(_MODELS.get(owners[-1] if owners else "", Names).model_fields)
        return f"{where} is not known.{meant(str(steps[-1]), known)} It may be {', '.join(known)}."
    if fault["type"] == "missing":
        return f"{where} is missing."
    said = _PLAINLY.get(str(fault["type"])) or str(fault["msg"]).removeprefix(
        "Value error, "
    ).removeprefix("Input should be ")
    value = fault.get("input")
    shown = f" ({value!r})" if isinstance(value, str | int | float | bool) else ""
    return f"{where}{shown}: must be {said}."
