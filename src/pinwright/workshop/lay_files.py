"""Writing the lays of an order: to scale, at full size, and as SVG."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pinwright.cutting.cuts import cuts
from pinwright.cutting.marking import marking_habit
from pinwright.sheets.ink import Drawing
from pinwright.sheets.lay_inner import inner_drawings
from pinwright.sheets.lay_sheet import lay_sheet
from pinwright.sheets.lay_strip import lay_strip
from pinwright.sheets.lay_svg import write_lay_svg
from pinwright.sheets.lay_words import LaidCloth
from pinwright.sheets.notches import notches
from pinwright.sheets.svg import slug
from pinwright.sheets.tiling import Paper
from pinwright.workshop.basting import cut_now
from pinwright.workshop.headings import order_heading
from pinwright.workshop.job import Job
from pinwright.workshop.laying import ClothLay
from pinwright.workshop.stock import Stock, pieces_of
from pinwright.workshop.writing import folder_for


def laid_cloths(lays: Sequence[ClothLay]) -> list[LaidCloth]:
    """The lays as they go on paper."""
    return [
        LaidCloth(lay, c.material, c.stock.key, c.remarks if i == 0 else ())
        for c in lays
        for i, lay in enumerate(c.lays)
        if lay.placements
    ]


def write_lays(
    job: Job,
    lays: Sequence[ClothLay],
    folder: Path,
    paper: Paper = "a4",
    forms: Sequence[str] = ("scale", "strip"),
) -> list[Path]:
    """The lays in a folder: all of them to scale in one file, each at full size in its own.

    Raises:
        OrderError: the folder cannot be written.
    """
    folder = folder_for(folder)
    head, cloths = order_heading(job), laid_cloths(lays)
    if not cloths:
        return []
    found = []
    if "scale" in forms:
        found.append(lay_sheet(folder / f"lay-{paper}.pdf", cloths, head, paper))
    names = _file_names(cloths)
    inner = {c.stock.key: insides(job, c.stock) for c in lays}
    for i, c in enumerate(cloths):
        drawn = inner[c.title]
        if "strip" in forms:
            path = folder / f"lay-{names[i]}-1to1.pdf"
            found.append(lay_strip(path, c.lay, c.on_table, head, drawn))
        if "svg" in forms:
            path = folder / f"lay-{names[i]}.svg"
            found.append(write_lay_svg(path, c.lay, c.on_table, head.unit, c.title, drawn))
    return found


def insides(job: Job, stock: Stock) -> dict[str, Drawing]:
    """Net lines, darts and notches of what a cloth is cut into, by key of its template.

    What is cut for the fitting is drawn as it was then, what is cut after it as it is now.
    """
    found: dict[str, Drawing] = {}
    for g in job.garments:
        layers = {layer for name, layer in stock.wanted if name == g.style.name}
        habit = marking_habit(job.order.habits, stock.material.fray)
        for when, fitted in (("now", g.after), ("cut", g.before if g.spec.cut else g.after)):
            right, left = pieces_of(g, "cut" if when == "cut" else "now")
            kept = {
                n: p
                for n, p in right.items()
                if p.layer in layers and (when == "now" or cut_now(p))
            }
            made = cuts(kept, {n: left[n] for n in kept}, g.style.name, stock.material)
            marks = {
                side: notches(half, every.values())
                for side, half, every in (
                    ("right", fitted.right, right),
                    ("left", fitted.left, left),
                )
            }
            found |= inner_drawings(made, marks, habit)
    return found


def _file_names(cloths: Sequence[LaidCloth]) -> list[str]:
    """A name for each file; names that come out alike, or empty, are numbered."""
    plain = [_file_name(c) for c in cloths]
    return [n if plain.count(n) == 1 else f"{n}-{i + 1}" for i, n in enumerate(plain)]


def _file_name(c: LaidCloth) -> str:
    rest = c.lay.field.name if c.lay.field.outline is not None else ""
    return slug(c.material.layer, *([c.title] if c.title else []), *([rest] if rest else []))
