"""Writing a job's sheets, exports and the next order."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import shapely
import tomlkit

from pinwright.errors import OrderError
from pinwright.fitting.carry import inherited
from pinwright.sheets.drawn import Drawn, Heading, drawn
from pinwright.sheets.export import exported
from pinwright.sheets.pdf import large_sheet
from pinwright.sheets.picture import picture
from pinwright.sheets.recut import recut_sheet, recut_tiles
from pinwright.sheets.svg import write_svg as write_one_svg
from pinwright.sheets.tiles import tiled_sheet
from pinwright.sheets.words import FittingWords
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.order import FORMAT, write_atomically
from pinwright.workshop.report import moved_words


def heading(job: Job, g: GarmentJob) -> Heading:
    """What every sheet of a garment says at its head."""
    fittings = job.order.fittings
    last = fittings[-1].date if fittings else job.order.date or dt.date.today()
    said = f"after fitting {len(fittings)}, {last}" if fittings else "before the fitting"
    return Heading(
        client=job.order.client.name,
        order=job.order.number or "-",
        garment=g.style.title,
        fitting=said,
        date=str(last),
        unit=job.order.client.units,
    )


def drawings(job: Job, g: GarmentJob) -> tuple[Drawn, ...]:
    """Every piece of a garment as it is drawn on paper."""
    cloths: Mapping[tuple[str, str], shapely.Polygon] = {
        (piece, side): poly for (side, piece), poly in g.cloth.items()
    }
    return drawn(g.after, heading(job, g), g.style.derive, cloths, before=g.before)


def write_sheets(job: Job, folder: Path, paper: str = "large") -> list[Path]:
    """The 1:1 sheets of every garment: "large", "a4" or "letter".

    Raises:
        OrderError: the folder cannot be written.
    """
    folder = _folder(folder)
    found = []
    for g in job.garments:
        pieces, head = drawings(job, g), heading(job, g)
        path = folder / f"{g.style.name}-{paper}.pdf"
        if paper == "large":
            found.append(large_sheet(path, pieces, head))
        else:
            found.append(tiled_sheet(path, pieces, head, "letter" if paper == "letter" else "a4"))
    return found


def write_svg(job: Job, folder: Path) -> list[Path]:
    """One 1:1 SVG a piece.

    Raises:
        OrderError: the folder cannot be written.
    """
    folder = _folder(folder)
    found = []
    for g in job.garments:
        for d in drawings(job, g):
            side = "" if d.side == "both" else f"-{d.side}"
            path = folder / f"{g.style.name}-{d.piece.name}{side}.svg"
            found.append(write_one_svg(path, picture(d), f"{g.style.title}: {d.piece.title}"))
    return found


def write_recut(job: Job, folder: Path) -> list[Path]:
    """The recut sheet of every garment: the fitting in words, and the changed pieces 1:1.

    Raises:
        OrderError: the folder cannot be written.
    """
    folder = _folder(folder)
    found: list[Path] = []
    for g in job.garments:
        pieces, head = drawings(job, g), heading(job, g)
        paper = "letter" if job.order.client.units == "in" else "a4"
        found.append(
            recut_sheet(
                folder / f"{g.style.name}-recut.pdf",
                pieces,
                head,
                fitting_words(job, g),
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


def fitting_words(job: Job, g: GarmentJob) -> FittingWords:
    """The fitting of one garment in plain lines."""
    mine = [n for n in job.notes if n.garment in ("", g.style.name)]
    made = [n for n in mine if n.status == "made"]
    changed: dict[str, list[str]] = {}
    for n in made:
        for side, m in n.changes:
            words = moved_words(side, m, job.order.client.units)
            who, _, did = words.partition(", ")
            changed.setdefault(who, []).append(did)
    check_next = [
        f"{c.name}{'' if c.side == 'both' else f' ({c.side})'}: {c.value:.1f}, should be "
        f"{c.target:.1f}"
        for c in g.checks_after
        if c.verdict == "wrong" or (c.verdict == "look" and c.group != "curves")
    ]
    check_next += sorted({s for n in made for s in _companions(n.corrections)})
    not_done = [f"“{n.text}”: {n.says}" for n in mine if n.status in ("refused", "short", "asked")]
    not_done += [f"Option: {r.text}" for n in mine if n.status == "short" for r in n.remedies]
    not_done += [f"“{n.text}”: kept as text. {n.says}" for n in mine if n.status == "kept"]
    return FittingWords(
        pinned=tuple(f"{n.on}: {n.text}" for n in mine if n.status != "withdrawn"),
        changed=tuple((who, "; ".join(dict.fromkeys(lines))) for who, lines in changed.items()),
        check_next=tuple(check_next),
        not_done=tuple(not_done),
    )


def _companions(corrections: tuple[Any, ...]) -> list[str]:
    from pinwright.fitting.catalogue import entry

    return [
        f"{entry(c.kind).title}: look at {', '.join(entry(c.kind).companions)}"
        for c in corrections
        if entry(c.kind).companions
    ]


def export_data(job: Job) -> dict[str, Any]:
    """Every garment's pieces and seams after the fitting, JSON-ready (docs/export-format.md)."""
    return {
        "format": 1,
        "unit": "cm",
        "client": job.order.client.name,
        "order": job.order.number,
        "garments": [
            {"style": g.style.name, **exported(g.after, g.style.derive)} for g in job.garments
        ],
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
    carried = tomlkit.aot()
    for g in job.garments:
        for c in inherited(g.after.ledger):
            table = tomlkit.table()
            table["kind"], table["place"], table["garment"] = c.kind, c.place, g.style.name
            table["side"] = c.side
            amounts = tomlkit.table()
            for k, v in c.amounts.items():
                amounts[k] = round(v, 4)
            table["amounts"] = amounts
            if c.options:
                options = tomlkit.table()
                for name, option in c.options.items():
                    options[name] = option
                table["options"] = options
            used = {t.measure for t in g.draft.targets if t.measure}
            then = tomlkit.table()
            for m in sorted(used):
                then[m] = round(job.body[m], 2)
            table["measures"] = then
            carried.append(table)
    if carried:
        doc["carried"] = carried
    write_atomically(path, tomlkit.dumps(doc))
    return path


def _folder(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as err:
        raise OrderError(f"The folder {folder} cannot be made ({err.strerror}).") from err
    return folder


def plain_name(text: str) -> str:
    """A text as a file name."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "order"
