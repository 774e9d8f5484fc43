"""The order of a garment that was brought in, and the command that brings it in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit

from pinwright.bringin.bringing import BroughtIn, bring_in
from pinwright.bringin.template import described, inner, numbered_picture, template
from pinwright.check import all_checks
from pinwright.draft.brought import NAME
from pinwright.errors import OrderError
from pinwright.fitting.ledger import fit
from pinwright.geometry.outline import signed_area
from pinwright.pattern.codec import pack
from pinwright.pattern.piece import Piece
from pinwright.workshop.order import FORMAT, validate, write_atomically


def order_text(
    brought: BroughtIn,
    client: str,
    measures: Mapping[str, float] | None = None,
    number: str = "",
    units: str = "cm",
    cut: bool = False,
) -> str:
    """A new order, TOML, whose one garment is the brought-in one, frozen as it is.

    Raises:
        OrderError: nothing is named yet, or no client.
    """
    if brought.garment is None:
        raise OrderError("The outlines are not named yet; fill in the file of names first.")
    doc = tomlkit.document()
    doc["format"] = FORMAT
    if number:
        doc["number"] = number
    doc["date"] = dt.date.today()
    doc["client"] = {"name": client, **({"units": units} if units != "cm" else {})}
    doc["measures"] = dict(measures or {})
    garments = tomlkit.aot()
    garments.append(tomlkit.item({"style": NAME, "cut": cut}))
    doc["garments"] = garments
    doc["frozen"] = {NAME: {"on": dt.date.today(), "draft": pack(brought.garment)}}
    text = tomlkit.dumps(doc)
    validate(doc.unwrap(), Path("the new order"))
    return text


def order_with(
    path: Path | str,
    brought: BroughtIn,
    client: str,
    measures: Mapping[str, float] | None = None,
    number: str = "",
    units: str = "cm",
    cut: bool = False,
) -> Path:
    """Write the order of :func:`order_text`, whole or not at all.

    Raises:
        OrderError: the file is there already, or cannot be written.
    """
    path = Path(path)
    if path.exists():
        raise OrderError(f"{path} exists already; name another file for the new order.")
    write_atomically(path, order_text(brought, client, measures, number, units, cut))
    return path


def bring_in_command(
    file: Path,
    names: Path | None = None,
    out: Path | None = None,
    square: float | None = None,
    unit: str | None = None,
    corners: Sequence[tuple[float, float]] | None = None,
    client: str = "brought in",
    tolerance: float | None = None,
    corner: float | None = None,
) -> tuple[list[str], dict[str, Any]]:
    """Bring in a file: (sentences to print, the same as JSON-ready data).

    Without ``names`` it writes a file of names to fill in and a picture with the numbers beside
    ``file`` (or into the folder ``out``); with it, the order (``out``, or beside ``file``).

    Raises:
        PinwrightError: see :func:`pinwright.bringin.bringing.bring_in`; also a file already there.
    """
    options: dict[str, Any] = {"unit": unit, "square_cm": square, "corners": corners}
    if tolerance is not None:
        options["tolerance"] = tolerance
    if corner is not None:
        options["corner"] = corner
    brought = bring_in(file, names, **options)
    data: dict[str, Any] = {
        "outlines": [_outline_data(i, brought) for i in range(1, len(brought.outlines) + 1)],
        "calibration": _calibration_data(brought),
        "remarks": list(brought.remarks),
        "pieces": [_piece_data(p) for p in brought.pieces],
        "files": [],
    }
    lines = list(brought.remarks)
    if brought.garment is None:
        folder = out or file.parent
        kept, drawing = folder / f"{file.stem}.names.toml", folder / f"{file.stem}.outlines.svg"
        if kept.exists():
            raise OrderError(
                f"{kept} exists already; give it as the file of names, or take it away to start "
                "anew."
            )
        write_atomically(kept, template(brought.outlines))
        write_atomically(drawing, numbered_picture(brought.outlines, str(file.name)))
        data["files"] = [str(kept), str(drawing)]
        lines += [
            *(described(i, o).capitalize() for i, o in enumerate(brought.outlines, start=1)),
            f"written: {kept}",
            f"written: {drawing}",
            "Fill in the names by the numbers in the picture, then bring the file in again with "
            "them.",
        ]
        return lines, data
    path = order_with(out or file.parent / f"{file.stem}.order.toml", brought, client)
    data["files"] = [str(path)]
    fitted = fit(brought.garment, ())
    data["checks"] = [
        {"name": c.name, "value": round(c.value, 3), "unit": c.unit, "says": c.says}
        for c in all_checks(fitted)
        if c.verdict != "good"
    ]
    lines += [
        f"Look at the old pattern: {c['name']}: {c['value']:g} {c['unit']}".rstrip()
        + f" ({c['says']})."
        for c in data["checks"]
    ]
    lines += [
        f"{p['title']}: {p['area']:.1f} cm², "
        + ", ".join(f"{k} {v:.1f}" for k, v in p["edges"].items())
        for p in data["pieces"]
    ]
    places = ", ".join(sorted(p.replace("_", " ") for p in fitted.garment.places))
    lines.append(f"Can be corrected at: {places}." if places else "No place is named.")
    lines.append(f"written: {path}")
    return lines, data


def _outline_data(i: int, brought: BroughtIn) -> dict[str, Any]:
    o = brought.outlines[i - 1]
    return {
        "outline": i,
        "group": o.group,
        "layer": o.label,
        "inside": inner(brought.outlines).get(i),
        "length": round(o.length, 3),
        "area": round(o.area, 3),
        "fit": round(o.fit, 4),
        "corners": [[round(float(x), 3) for x in c] for c in o.corners],
    }


def _piece_data(piece: Piece) -> dict[str, Any]:
    return {
        "piece": piece.name,
        "title": piece.title,
        "cut": piece.cut,
        "area": round(signed_area(piece.outline()), 3),
        "edges": {e.name: round(e.length, 3) for e in piece.edges},
    }


def _calibration_data(brought: BroughtIn) -> dict[str, Any] | None:
    c = brought.calibration
    if c is None:
        return None
    return {
        "square": c.side,
        "found": c.found,
        "corners": [[round(float(x), 2) for x in p] for p in c.corners],
        "pixels_per_cm": round(c.per_cm, 2),
        "opposite_sides": [round(x, 4) for x in c.opposite],
        "residual": round(c.residual, 4),
        "corner_error": round(c.corner_error, 3),
    }
