"""The order: a plain document, validated on load, written back whole or not at all."""

from __future__ import annotations

import datetime as dt
import json
import os
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

import tomlkit
from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    ValidationError,
    field_validator,
    model_validator,
)
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from pinwright.drape.cloth_of import handle_of
from pinwright.errors import FigureError, OrderError, meant
from pinwright.figure.photographs.marks import Photograph, checked
from pinwright.pattern.piece import Layer

FORMAT = 1
"""The order format this pinwright writes; older ones are migrated on load, newer ones refused."""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Client(_Part):
    """Who it is for, and in which unit lengths are written for people."""

    name: str = Field(min_length=1)
    units: Literal["cm", "in"] = "cm"
    remark: str = ""


class GarmentOrder(_Part):
    """A garment of the order: its style and the choices made; the rest is the style's default.

    ``cut`` says whether its cloth is cut; ``trimmed`` what was trimmed since ("back.side" = 1.0).
    """

    style: str
    choices: dict[str, str | float | bool] = Field(default_factory=dict)
    cut: bool = True
    trimmed: dict[str, float] = Field(default_factory=dict)


LEAST_REPEAT = 0.1
"""A finer repeat, cm, cannot be matched: it is half of what lines that meet may be off by."""


class RepeatOf(_Part):
    """The repeat of a stripe, check or print, cm; see :class:`pinwright.cutting.material.Repeat`.

    ``match`` names the rules of matching that are kept; without it, all that the pieces allow.
    """

    along: float = Field(default=0.0, ge=0, le=200)
    across: float = Field(default=0.0, ge=0, le=200)
    from_start: float = 0.0
    from_selvedge: float = 0.0
    turns: bool = False
    match: tuple[str, ...] | None = None

    @field_validator("along", "across")
    @classmethod
    def _not_too_fine(cls, cm: float) -> float:
        if 0.0 < cm < LEAST_REPEAT:
            raise ValueError(
                f"a repeat of {cm:g} cm is too fine to be matched; it may be {LEAST_REPEAT:g} cm "
                "or more, and a cloth without one has no repeat in the order"
            )
        return cm


class FlawOf(_Part):
    """A flaw of the cloth: from and to along it from its cut end, and across from its selvedge."""

    along: tuple[float, float]
    across: tuple[float, float]


class RemnantOf(_Part):
    """A remnant: its width and length, or its outline as corners (along, across), cm."""

    name: str = ""
    length: float = Field(default=0.0, ge=0, le=20000)
    width: float = Field(default=0.0, ge=0, le=400)
    outline: tuple[tuple[float, float], ...] = ()


class HandleOf(_Part):
    """How a cloth hangs: like a cloth of the table, by its constants, or by the workshop's tests.

    Constants as in :class:`pinwright.drape.cloth.Handle`, readings as in
    :class:`pinwright.drape.cloth_readings.Readings`: their lengths are read like the measures, in
    the client's unit or with one of their own ("4.5 mm", "1 1/8 in"), weights in g.
    """

    like: str | None = None
    mass: float | None = None
    stretch_along: float | None = None
    stretch_across: float | None = None
    poisson: float | None = None
    shear: float | None = None
    bend_along: float | None = None
    bend_across: float | None = None
    thickness: float | None = None
    friction: float | None = None
    square: float | str | None = None
    square_weight: float | None = None
    strip_width: float | str | None = None
    strip_length: float | str | None = None
    strip_weight: float | None = None
    strip_along: float | str | None = None
    strip_across: float | str | None = None
    strip_bias: float | str | None = None
    bias_weight: float | None = None
    overhang_along: float | str | None = None
    overhang_across: float | str | None = None

    @property
    def given(self) -> dict[str, float | str]:
        """What is written, by key."""
        return self.model_dump(exclude_none=True)


class Cloth(_Part):
    """A cloth of the order; lengths in cm, shrinkage in per cent, price for a metre.

    ``garments`` are the styles it is for (all that need its layer when empty). ``length`` is how
    much of it there is; none when it is yet to be bought. ``handle`` is for the drape alone.
    """

    layer: Literal["shell", "facing", "lining", "interfacing", "pocketing"] = "shell"
    garments: tuple[str, ...] = ()
    name: str = ""
    width: float = Field(default=150.0, gt=0, le=400)
    selvedge: float = Field(default=1.0, ge=0, le=10)
    length: float | None = Field(default=None, gt=0, le=20000)
    directional: bool = False
    direction: Literal["none", "nap", "print"] = "none"
    right_side: Literal["up", "down"] = "up"
    lay: Literal["open", "folded"] = "open"
    gap: float = Field(default=0.3, ge=0, le=5)
    tilt: float = Field(default=0.0, ge=0, le=45)
    hold_back: float = Field(default=1.0, ge=0, le=10)
    repeat: RepeatOf = RepeatOf()
    flaws: tuple[FlawOf, ...] = ()
    remnants: tuple[RemnantOf, ...] = ()
    shrink_along: float = Field(default=0.0, ge=-5, le=20)
    shrink_across: float = Field(default=0.0, ge=-5, le=20)
    shrink: Literal["first", "scaled", "done"] = "first"
    fray: Literal["firm", "loose"] = "firm"
    price: float | None = Field(default=None, ge=0)
    handle: HandleOf | None = None

    @model_validator(mode="after")
    def _repeat_is_given(self) -> Cloth:
        r = self.repeat
        none = {"along", "across"} <= r.model_fields_set  # 0 for both says that there is none
        if "repeat" in self.model_fields_set and r.along == r.across == 0.0 and not none:
            raise ValueError(
                "its repeat has no length; give it along or across in cm, or leave the repeat out"
            )
        return self


class Habits(_Part):
    """The workshop's habits in this order: reserve and allowance by place or seam, and marking.

    ``reserve`` and ``allowance`` are cm by place (see docs/cutting/allowances.md).
    """

    reserve: dict[str, float] = Field(default_factory=dict)
    allowance: dict[str, float] = Field(default_factory=dict)
    notch: Literal["slit", "triangle"] = "slit"
    points: Literal["thread", "chalk", "drill"] = "thread"


class PhotographOrder(_Part):
    """The marks put by hand over a photograph of the client; the photograph itself is never here.

    A photograph is body data: it is kept with her consent, on this machine, and erased with her.
    ``view`` is the side of her that the lens sees, ``size`` the picture's width and height, px;
    ``distance``, ``lens`` and ``height`` are cm; ``marks`` (by the names of
    pinwright.figure.photographs.places) and ``outline`` are px from the picture's top left.
    """

    view: Literal["front", "back", "left", "right"]
    size: tuple[int, int]
    distance: float = 350.0
    lens: float = 100.0
    height: float | None = None
    marks: dict[str, tuple[float, float]]
    outline: tuple[tuple[float, float], ...] = ()


class FigureOrder(_Part):
    """How the client's figure stands, as far as it was settled by eye, and whether it is shown.

    Degrees and cm as in pinwright.figure.posture.Posture; what is left out is found from the
    measures and from ``photographs``. ``shown`` false keeps the figure out of every page and sheet.
    """

    shown: bool = True
    round_back: float | None = None
    hollow_back: float | None = None
    head_forward: float | None = None
    shoulder_left: float | None = None
    shoulder_right: float | None = None
    shoulders_forward: float | None = None
    hip_left: float | None = None
    hip_right: float | None = None
    knee_left: float | None = None
    knee_right: float | None = None
    arms_out: float | None = None
    photographs: tuple[PhotographOrder, ...] = ()

    @property
    def posture(self) -> dict[str, float]:
        """What was settled, by name."""
        given = self.model_dump(exclude={"shown", "photographs"}, exclude_none=True)
        return {name: float(value) for name, value in given.items()}

    def marked(self) -> tuple[Photograph, ...]:
        """The photographs, numbered from 1.

        Raises:
            FigureError: marks that do not hold together; never for an order that was loaded.
        """
        found = tuple(
            Photograph(p.view, p.size, p.marks, p.outline, p.distance, p.lens, p.height, number)
            for number, p in enumerate(self.photographs, 1)
        )
        checked(found)
        return found

    @model_validator(mode="after")
    def _photographs_hold(self) -> FigureOrder:
        try:
            self.marked()
        except FigureError as err:
            raise ValueError(str(err).removesuffix(".")) from err
        return self


class KeptPlace(_Part):
    """Where a piece lies in a kept lay: turned by degrees, then moved to (x, y), cm.

    ``field`` 0 is the cloth itself, 1 its first remnant. ``shape`` is the area (cm2) and the
    length (cm) of the outline as it was laid, by which a changed piece is noticed.
    """

    piece: str
    x: float
    y: float
    rotation: float = 0.0
    field: int = 0
    shape: tuple[float, float] = (0.0, 0.0)


class KeptLay(_Part):
    """A lay kept in the order: for which cloth, when, how long, and every placement.

    ``cloth_is`` says what the cloth was like when it was laid. ``second`` are places found anew,
    after the fitting, for pieces that are cut only then.
    """

    cloth: str
    on: dt.date
    length: float
    cloth_is: str = ""
    placed: tuple[KeptPlace, ...] = ()
    second: tuple[KeptPlace, ...] = ()


class CorrectionText(_Part):
    """A correction written out: kind, place, amounts (cm) and how they are meant."""

    kind: str
    place: str
    garment: str = ""
    side: Literal["both", "right", "left"] = "both"
    amount: float | None = None
    amounts: dict[str, float] = Field(default_factory=dict)
    options: dict[str, str | float] = Field(default_factory=dict)
    meant_as: str = ""
    said: str = ""
    belongs_to: Literal["figure", "style", "cloth", "record", ""] = ""
    measures: dict[str, float] = Field(default_factory=dict)


class Frozen(_Part):
    """A draft as it was cut from: the packed draft and the corrections it was cut with.

    So a better drafting rule, a re-taped measure or a changed carried correction never changes a
    garment that is cut.
    """

    on: dt.date
    draft: str
    corrections: tuple[CorrectionText, ...] = ()


class Note(_Part):
    """A line of the fitting's notebook; ``meant`` answers how its amount is meant.

    ``remedy`` names the option taken where the reserve did not reach; ``withdrawn`` keeps the
    line but leaves it out.
    """

    text: str = Field(min_length=1, max_length=500)
    garment: str = ""
    meant: str = ""
    remedy: str = ""
    withdrawn: bool = False


class Fitting(_Part):
    """A fitting: its date, what was worn, and the notes in the order they were made."""

    date: dt.date
    heel: float | None = None
    remark: str = ""
    notes: tuple[Note, ...] = ()
    corrections: tuple[CorrectionText, ...] = ()


class Order(_Part):
    """The whole order."""

    format: int
    number: str = ""
    date: dt.date | None = None
    client: Client
    measures: dict[str, Any]
    garments: tuple[GarmentOrder, ...] = Field(min_length=1)
    cloth: tuple[Cloth, ...] = ()
    carried: tuple[CorrectionText, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    frozen: dict[str, Frozen] = Field(default_factory=dict)
    habits: Habits = Habits()
    figure: FigureOrder = FigureOrder()
    lays: tuple[KeptLay, ...] = ()

    @property
    def today(self) -> dt.date:
        """The day on which something is done for it: today, but not before it was taken."""
        today = dt.date.today()
        return today if self.date is None else max(today, self.date)

    def cloth_for(self, garment: str, layer: Layer) -> int | None:
        """The place in ``cloth`` of the one a garment's layer is cut from; None without one.

        A cloth that names the garment goes before one that names none; facings are cut from the
        shell where no cloth is for facings.
        """
        for want in (layer, "shell") if layer == "facing" else (layer,):
            for named in (True, False):
                for i, c in enumerate(self.cloth):
                    if c.layer == want and (garment in c.garments if named else not c.garments):
                        return i
        return None

    @model_validator(mode="after")
    def _one_of_each(self) -> Order:
        names = [g.style for g in self.garments]
        twice = next((n for n in names if names.count(n) > 1), None)
        if twice is not None:
            raise ValueError(
                f"two garments of the style {twice!r}; write one order for each of them"
            )
        return self

    @model_validator(mode="after")
    def _handles_hold(self) -> Order:
        for i, c in enumerate(self.cloth, 1):
            if c.handle is not None:
                try:
                    handle_of(c, self.client.units)
                except OrderError as err:
                    raise ValueError(f"cloth.{i}.handle: {str(err).removesuffix('.')}") from err
        return self


def load(path: Path) -> Order:
    """Read an order from a TOML or JSON file.

    Raises:
        OrderError: no such file, not a whole document, an unknown key (with the nearest known
            one), a bad value, or a newer format.
    """
    return parse(read_text(path), path)


def read_text(path: Path) -> str:
    """The order's text.

    Raises:
        OrderError: there is no such file or it cannot be read as text.
    """
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError as err:
        raise OrderError(f"There is no order at {path}.") from err
    except IsADirectoryError as err:
        raise OrderError(f"{path} is a folder, not an order; name the file in it.") from err
    except UnicodeDecodeError as err:
        raise OrderError(f"{path} cannot be read as an order: it is not text in UTF-8.") from err
    except OSError as err:
        raise OrderError(f"{path} cannot be read as an order ({err.strerror}).") from err


def parse(text: str, path: Path) -> Order:
    """An order from its text; ``path`` tells TOML from JSON and names it in errors.

    Raises:
        OrderError: see :func:`load`.
    """
    try:
        data = json.loads(text) if path.suffix == ".json" else tomllib.loads(text)
    except (json.JSONDecodeError, tomllib.TOMLDecodeError) as err:
        raise OrderError(
            f"{path} is not a whole order: {err}. Nothing was changed; restore it from a copy."
        ) from err
    return validate(data, path)


def validate(data: object, path: Path) -> Order:
    """An order from plain data.

    Raises:
        OrderError: see :func:`load`.
    """
    if not isinstance(data, dict):
        raise OrderError(f"{path} holds {type(data).__name__}, not an order.")
    version = data.get("format")
    if version is None:
        raise OrderError(f"{path}: format is missing; an order begins with format = {FORMAT}.")
    if not isinstance(version, int) or isinstance(version, bool):
        raise OrderError(f"{path}: format is {version!r}; it must be a whole number, now {FORMAT}.")
    if version > FORMAT:
        raise OrderError(
            f"{path} was written by a newer pinwright (format {version}); this one reads up to "
            f"format {FORMAT}. Nothing was changed."
        )
    if version < 1:
        raise OrderError(f"{path}: format is {version}; it may be from 1 to {FORMAT}.")
    try:
        return Order.model_validate(data)
    except ValidationError as err:
        raise OrderError(f"{path}: {_first_fault(err, data)}") from err


_KNOWN: dict[str, type[BaseModel]] = {
    "client": Client,
    "garments": GarmentOrder,
    "cloth": Cloth,
    "handle": HandleOf,
    "repeat": RepeatOf,
    "flaws": FlawOf,
    "remnants": RemnantOf,
    "habits": Habits,
    "figure": FigureOrder,
    "photographs": PhotographOrder,
    "lays": KeptLay,
    "placed": KeptPlace,
    "carried": CorrectionText,
    "fittings": Fitting,
    "notes": Note,
    "frozen": Frozen,
    "corrections": CorrectionText,
}


def _first_fault(err: ValidationError, data: object) -> str:
    fault = err.errors(include_url=False)[0]
    steps = [s for s in fault["loc"] if isinstance(s, str | int)]
    where = ".".join(f"{s + 1}" if isinstance(s, int) else s for s in steps)
    if fault["type"] == "extra_forbidden":
        key = str(steps[-1])
        owners = [s for s in steps[:-1] if isinstance(s, str)]
        model = _KNOWN.get(owners[-1], Order) if owners else Order
        known = sorted(model.model_fields)
        hint = meant(key, known)
        return f"{where} is not known.{hint} It may be {', '.join(known)}."
    if fault["type"] == "missing":
        return f"{where} is missing."
    value = fault.get("input")
    shown = f" ({value!r})" if isinstance(value, str | int | float | bool) else ""
    said = str(fault["msg"]).removeprefix("Value error, ").removeprefix("Input should be ")
    if fault["type"] == "value_error" and where:
        return f"{where}: {said}."
    return (
        f"{where}{shown}: must be {_PLAINLY.get(str(fault['type']), said)}."
        if where
        else (f"{said}.")
    )


_PLAINLY = {
    "date_from_datetime_parsing": "a date such as 2027-03-04",
    "date_parsing": "a date such as 2027-03-04",
    "date_type": "a date such as 2027-03-04",
    "string_too_short": "at least one letter",
    "too_short": "at least one entry",
    "string_type": "text in quotes",
    "float_parsing": "a number",
    "float_type": "a number",
    "bool_parsing": "true or false",
    "bool_type": "true or false",
}
"""Validation faults in the words of the workshop."""


def write_atomically(path: Path, text: str) -> None:
    """Write a file whole: a temporary file beside it takes its place only when complete.

    Raises:
        OrderError: the folder cannot be written; what was there is untouched.
    """
    path = Path(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as out:
                out.write(text)
                out.flush()
                os.fsync(out.fileno())
            mask = os.umask(0)
            os.umask(mask)
            os.chmod(name, path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~mask)
            os.replace(name, path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as err:
        raise OrderError(f"{path} cannot be written ({err.strerror}); it is unchanged.") from err


def edited(text: str, path: Path, change: Mapping[str, Any]) -> str:
    """The order's text with a change made and everything else (comments too) kept.

    ``change`` may hold "note" (a mapping of a note to add, with "date"; a line already written on
    that day is amended), "frozen" (style -> the fields of a :class:`Frozen`) and "lays" (the rows
    of :class:`KeptLay` that take the place of all that were kept).

    Raises:
        OrderError: the text is not TOML or JSON.
    """
    is_json = path.suffix == ".json"
    try:
        doc: Any = json.loads(text) if is_json else tomlkit.parse(text)
    except (json.JSONDecodeError, TOMLKitError) as err:
        raise OrderError(f"{path} is not a whole order: {err}.") from err
    if change.get("frozen"):
        if "frozen" not in doc:
            doc["frozen"] = {} if is_json else tomlkit.table(is_super_table=True)
        for name, frozen in change["frozen"].items():
            doc["frozen"][name] = _plain(frozen) if is_json else tomlkit.item(frozen)
    if "lays" in change:
        doc.pop("lays", None)
        if change["lays"]:
            doc["lays"] = [_plain(x) for x in change["lays"]] if is_json else _lays(change["lays"])
    note = change.get("note")
    if note is not None:
        _add_note(doc, note, is_json)
    return json.dumps(doc, indent=2, default=str) + "\n" if is_json else tomlkit.dumps(doc)


def _tables(rows: Any) -> AoT:
    """An array written in one line as tables of its own, so that rows can be added."""
    out = tomlkit.aot()
    for row in rows:
        table = tomlkit.table()
        for k, v in row.items():
            table[k] = v
        out.append(table)
    return out


def _lays(rows: Any) -> AoT:
    """Kept lays, every placement on a line of its own."""
    out = tomlkit.aot()
    for row in rows:
        table = tomlkit.table()
        for k, v in row.items():
            if not isinstance(v, list | tuple):
                table[k] = v
                continue
            lines = tomlkit.array()
            for place in v:
                line = tomlkit.inline_table()
                line.update(place)
                lines.append(line)
            table[k] = lines.multiline(True)
        out.append(table)
    return out


def _plain(frozen: Mapping[str, Any]) -> dict[str, Any]:
    return {k: str(v) if isinstance(v, dt.date) else v for k, v in frozen.items()}


def _add_note(doc: Any, note: Mapping[str, Any], is_json: bool) -> None:
    on = note["date"]
    body = {k: v for k, v in note.items() if k == "text" or (k != "date" and v not in ("", False))}
    if "fittings" not in doc:
        doc["fittings"] = [] if is_json else tomlkit.aot()
    elif not is_json and not isinstance(doc["fittings"], AoT):
        doc["fittings"] = _tables(doc["fittings"])
    fittings = doc["fittings"]
    for fitting in fittings:
        if str(fitting["date"]) == str(on):
            break
    else:
        fitting = {"date": str(on), "notes": []} if is_json else tomlkit.table()
        if not is_json:
            fitting["date"] = on
        fittings.append(fitting)
        fitting = fittings[-1]
    if "notes" not in fitting:
        fitting["notes"] = [] if is_json else tomlkit.aot()
    elif not is_json and not isinstance(fitting["notes"], AoT):
        fitting["notes"] = _tables(fitting["notes"])
    for old in fitting["notes"]:
        if old["text"] == body["text"] and not old.get("withdrawn", False):
            old.update(body)
            return
    fitting["notes"].append(body if is_json else tomlkit.item(body))
