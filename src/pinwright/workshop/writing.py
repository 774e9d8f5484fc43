"""Writing a job's sheets, exports and the next order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import shapely
import tomlkit
from tomlkit.items import Table

from pinwright.cutting.marking import marking_habit
from pinwright.errors import OrderError
from pinwright.sheets.drawn import Drawn, Heading, as_cut, drawn
from pinwright.sheets.dxf import write_dxf
from pinwright.sheets.export import exported
from pinwright.sheets.pdf import large_sheet
from pinwright.sheets.picture import picture
from pinwright.sheets.recut import recut_pieces, recut_sheet, recut_tiles
from pinwright.sheets.svg import svg_sheet
from pinwright.sheets.svg import write_svg as write_one_svg
from pinwright.sheets.tiles import tiled_sheet
from pinwright.sheets.tiling import Paper
from pinwright.workshop.carried import carried_rows
from pinwright.workshop.fitting_words import fitting_words
from pinwright.workshop.freezing import fray_of
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.order import FORMAT, write_atomically
from pinwright.workshop.references import with_references
from pinwright.workshop.taken import as_passed

TILED: dict[str, Paper] = {"a4": "a4", "a3": "a3", "letter": "letter"}
PAPERS = ("large", *TILED)
"""The papers that sheets can be written on."""


def heading(job: Job, g: GarmentJob) -> Heading:
    """What every sheet of a garment says at its head."""
    fittings = job.order.fittings
    last = fittings[-1].date if fittings else job.order.date or dt.date.today()
    said = f"after fitting {len(fittings)}" if fittings else "before the fitting"
    return Heading(
        client=job.order.client.name,
        order=job.order.number or "without number",
        garment=g.draft.title,
        fitting=said,
        date=str(last),
        unit=job.order.client.units,
        estimated=tuple(m.replace("_", " ") for m in g.draft.estimated),
    )


def drawings(job: Job, g: GarmentJob) -> tuple[Drawn, ...]:
    """Every piece of a garment as it is drawn on paper."""
    cloths: Mapping[tuple[str, str], shapely.Polygon] = {
        (piece, side): poly for (side, piece), poly in g.cloth.items()
    }
    marked = marking_habit(job.order.habits, fray_of(job.order, g.spec))
    made = drawn(g.after, heading(job, g), g.derive, cloths, before=g.before)
    return tuple(replace(d, marking=marked) for d in made)


ALREADY_CUT = "What is marked “already cut” is drawn to the edge of its cloth as it is now."


def pattern(job: Job, g: GarmentJob) -> tuple[tuple[Drawn, ...], Heading]:
    """Every piece as a pattern sheet shows it, what is cut already marked so; and the heading."""
    pieces = drawings(job, g)
    recut = {(d.piece.name, d.side) for d in recut_pieces(as_passed(pieces, job, g))}
    found = tuple(as_cut(d, (d.piece.name, d.side) in recut) for d in pieces)
    said = ALREADY_CUT if any(d.already for d in found) else ""
    return found, replace(heading(job, g), remark=said)


def write_sheets(job: Job, folder: Path, paper: str = "large") -> list[Path]:
    """The 1:1 sheets of every garment on one of :data:`PAPERS`.

    Raises:
        OrderError: the folder cannot be written.
    """
    folder = folder_for(folder)
    found = []
    for g in job.garments:
        pieces, head = pattern(job, g)
        path = folder / f"{g.style.name}-{paper}.pdf"
        tiles = TILED.get(paper)
        if tiles is None:
            found.append(large_sheet(path, pieces, head))
        else:
            found.append(tiled_sheet(path, pieces, head, tiles))
    return found


def write_sheets_as(job: Job, folder: Path, form: str, paper: str = "large") -> list[Path]:
    """The pieces of every garment at full size as "pdf", "svg" or "dxf".

    Raises:
        OrderError: the folder cannot be written.
        LayError: as DXF, a rule of matching the cloth's repeat that is unknown or contradicts
            another that was asked for.
    """
    if form == "pdf":
        return write_sheets(job, folder, paper)
    folder = folder_for(folder)
    found = []
    for g in job.garments:
        path = folder / f"{g.style.name}.{form}"
        if form == "svg":
            found.append(svg_sheet(path, *pattern(job, g)))
        else:
            drill = job.order.habits.points == "drill"
            shown, lines = with_references(job, g, drawings(job, g))
            found.append(
                write_dxf(
                    path,
                    shown,
                    heading(job, g),
                    points="drill" if drill else "thread",
                    references=lines,
                )
            )
    return found


def write_svg(job: Job, folder: Path) -> list[Path]:
    """One 1:1 SVG a piece.

    Raises:
        OrderError: the folder cannot be written.
    """
    folder = folder_for(folder)
    found = []
    for g in job.garments:
        for d in pattern(job, g)[0]:
            side = "" if d.side == "both" else f"-{d.side}"
            path = folder / f"{g.style.name}-{d.piece.name}{side}.svg"
            found.append(write_one_svg(path, picture(d), f"{g.draft.title}: {d.piece.title}"))
    return found


def write_recut(job: Job, folder: Path) -> list[Path]:
    """The recut sheet of every garment: the fitting in words, and the changed pieces 1:1.

    Raises:
        OrderError: the folder cannot be written.
    """
    folder = folder_for(folder)
    found: list[Path] = []
    for g in job.garments:
        pieces, head = as_passed(drawings(job, g), job, g), heading(job, g)
        paper = "letter" if job.order.client.units == "in" else "a4"
        found.append(
            recut_sheet(
                folder / f"{g.style.name}-recut.pdf",
                pieces,
                head,
                fitting_words(job, g, pieces),
                "letter" if paper == "letter" else "a4",
            )
        )
        tiles = recut_tiles(
            folder / f"{g.style.name}-recut-{paper}.pdf",
            pieces,
            head,
            "letter" if paper == "letter" else "a4",
        )
        if tiles is not None:
            found.append(tiles)
    return found


def export_data(job: Job) -> dict[str, Any]:
    """Every garment's pieces and seams after the fitting, JSON-ready (docs/export-format.md)."""
    return {
        "format": 1,
        "unit": "cm",
        "client": job.order.client.name,
        "order": job.order.number,
        "garments": [{"style": g.style.name, **exported(g.after, g.derive)} for g in job.garments],
    }


def write_next(job: Job, path: Path, garment: str = "") -> Path:
    """Write the next order: the same client, and what this order taught about the figure.

    Raises:
        OrderError: the file exists already, or cannot be written.
    """
    if path.exists():
        raise OrderError(f"{path} exists already; name another file for the next order.")
    styles = {g.style.name: g for g in job.garments}
    if garment and garment not in styles:
        from pinwright.draft import style as find_style

        find_style(garment)
    doc = tomlkit.document()
    doc["format"] = FORMAT
    client = tomlkit.table()
    client["name"] = job.order.client.name
    if job.order.client.units != "cm":
        client["units"] = job.order.client.units
    if job.order.client.remark:
        client["remark"] = job.order.client.remark
    doc["client"] = client
    measures = tomlkit.table()
    for name, value in job.order.measures.items():
        measures[name] = value
    doc["measures"] = measures
    garments = tomlkit.aot()
    for name in [garment] if garment else list(styles):
        table = tomlkit.table()
        table["style"] = name
        if name in styles and styles[name].spec.choices:
            chosen = tomlkit.table()
            for k, v in styles[name].spec.choices.items():
                chosen[k] = v
            table["choices"] = chosen
        table["cut"] = False
        garments.append(table)
    doc["garments"] = garments
    habits = job.order.habits.model_dump(exclude_defaults=True)
    if habits:
        # how the workshop cuts does not change with the order; the cloth does
        doc["habits"] = _table(habits)
    figure = job.order.figure.model_dump(exclude_defaults=True, mode="json")
    if figure:
        # how she stands is hers, and so are the marks over her photographs
        doc["figure"] = _figure(figure)
    carried = tomlkit.aot()
    for row in carried_rows(job):
        carried.append(_table(row))
    if carried:
        doc["carried"] = carried
    write_atomically(path, tomlkit.dumps(doc))
    return path


def _table(row: Mapping[str, Any]) -> Table:
    """A row as a TOML table, its own mappings after its plain values."""
    table = tomlkit.table()
    for k, v in sorted(row.items(), key=lambda item: isinstance(item[1], Mapping)):
        table[k] = _table(v) if isinstance(v, Mapping) else v
    return table


def _figure(found: Mapping[str, Any]) -> Table:
    table = _table({k: v for k, v in found.items() if k != "photographs"})
    photographs = tomlkit.aot()
    for row in found.get("photographs", ()):
        photographs.append(_table(row))
    if photographs:
        table["photographs"] = photographs
    return table


def folder_for(folder: Path) -> Path:
    """The folder, made where it is not there; OrderError when it cannot be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as err:
        raise OrderError(f"The folder {folder} cannot be made ({err.strerror}).") from err
    return folder
