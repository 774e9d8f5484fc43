"""The garments of an order hung on the client's figure: hung, read, told as JSON, written out.

It needs the extra ``pinwright[drape]``; see :mod:`pinwright.workshop.drape_extra`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from pinwright.cutting.sentences import capital
from pinwright.drape.cloth import CONSTANTS, Handle
from pinwright.drape.cloth_of import handle_of
from pinwright.drape.data import Hung, Pose
from pinwright.drape.draping import FINE, Garb, Settle, draped, redraped
from pinwright.drape.pictures.gltf import glb
from pinwright.drape.pictures.of_reading import shown_of
from pinwright.drape.pictures.paint import png, svg
from pinwright.drape.pictures.picture import LookedAt, look_at, picture
from pinwright.drape.pictures.scale import QUANTITIES
from pinwright.drape.pictures.shown import COMMON, Shown
from pinwright.drape.reading import Reading, read
from pinwright.drape.reading.judge import Has, judge
from pinwright.drape.reading.sign import Sign
from pinwright.drape.reading.told import opposites
from pinwright.drape.skin import coarse_body
from pinwright.errors import DrapeError
from pinwright.figure.figure import Figure
from pinwright.figure.landmarks import vertices
from pinwright.figure.poses import posed
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction, Form
from pinwright.fitting.ledger import takes
from pinwright.sheets.drape_sheet import drape_sheet
from pinwright.sheets.drawn import Heading
from pinwright.sheets.tiling import Paper
from pinwright.sheets.writing import write_whole
from pinwright.workshop.drape_rests import keep, kept, key_of, start_of
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.order import Cloth
from pinwright.workshop.writing import folder_for

When = Literal["cut", "fitted"]
"""As it was cut for the fitting, or as the fitting left it."""

A_LITTLE = 0.1
"""So much of a correction, cm, is asked of the ledger to see whether the garment can have it."""

Tell = Callable[[str, str, float], bool]
"""Hears which garment, what is being done, and the force left over on a point of the mesh as a part
of its weight; False stops the work and keeps what there is."""


@dataclass(frozen=True, slots=True, eq=False)
class Hanging:
    """A garment of the order that hangs, and what was read of it.

    style: its name in the order; when: see :data:`When`. cloth: what its cloth is called; assumed:
    what was assumed of how that cloth hangs, in a sentence. looked: from all sides, once. reopened:
    it hangs as it was kept.
    """

    style: str
    when: When
    cloth: str
    handle: Handle
    assumed: str | None
    reading: Reading
    signs: tuple[Sign, ...]
    looked: LookedAt
    reopened: bool = False

    @property
    def shown(self) -> Shown:
        """It with all that is shown of it."""
        return self.looked.shown

    @property
    def hung(self) -> Hung:
        """Its shell at rest."""
        return self.looked.shown.hung


def garb_of(job: Job, g: GarmentJob, when: When) -> tuple[Garb, str, str | None]:
    """A garment as it is hung, what its cloth is called, and what was assumed of that.

    Raises:
        DrapeError: its pieces have no places on a figure.
    """
    fitted = g.before if when == "cut" else g.after
    if not fitted.garment.places:
        raise DrapeError(
            f"{capital(g.style.title)}: nothing tells where its pieces go on the figure, so it "
            "cannot be hung; garments that pinwright drafts can."
        )
    number = job.order.cloth_for(g.style.name, "shell")
    cloth = Cloth() if number is None else job.order.cloth[number]
    handle, assumed = handle_of(cloth, job.order.client.units)
    return Garb.of(fitted, handle), cloth.name, assumed


def has(g: GarmentJob, when: When) -> Has:
    """Which corrections a garment can still have: those that its ledger would take a little of."""
    form: Form = "cut" if g.spec.cut else "next"
    ledger = (g.before if when == "cut" else g.after).ledger

    def can(kind: str, places: Sequence[str], way: int) -> bool:
        return any(
            takes(g.draft, ledger, Correction(kind, place, amounts={c: A_LITTLE * way}, form=form))
            for place in places
            for c in entry(kind).components
        )

    return can


def stem(style: str, pose: Pose, when: When) -> str:
    """What the files of a garment are called: poses and the cut lie beside each other."""
    parts = [style, *(["as-cut"] if when == "cut" else []), *([pose] if pose != "standing" else [])]
    return "-".join(parts)


def hang(
    job: Job,
    figure: Figure,
    pose: Pose = "standing",
    styles: Sequence[str] = (),
    when: When = "fitted",
    tell: Tell | None = None,
    rests: Path | None = None,
    again: bool = False,
    edge: float = FINE,
    settle: Settle | None = None,
) -> tuple[Hanging, ...]:
    """The garments of an order on the figure, or those of ``styles``.

    rests: the folder where rests are kept. A garment that hangs there already as it would now is
    reopened, and one that was corrected since goes on from there, if not ``again``. When tell stops
    the work the garment in hand is read as it hangs, and those after it are left out. edge: sides
    of triangles, cm. settle: what brings cloth to rest, see
    :func:`pinwright.workshop.drape_extra.settle_on`.

    Raises:
        DrapeError: a garment that cannot be hung.
        OrderError: the folder cannot be made.
    """
    skin = posed(figure, pose).points
    at = {name: skin[v] for name, v in vertices().items()}
    marks = figure.marks if pose == "standing" else None
    body = coarse_body(figure, skin)
    unit = job.order.client.units
    stopped = False

    def hear(style: str) -> Callable[[str, float], bool]:
        def heard(what: str, left: float) -> bool:
            nonlocal stopped
            stopped = stopped or (tell is not None and not tell(style, what, left))
            return not stopped

        return heard

    found: list[Hanging] = []
    for g in job.garments:
        name = g.style.name
        if (styles and name not in styles) or stopped:
            continue
        garb, cloth, assumed = garb_of(job, g, when)
        path = None if rests is None else folder_for(rests) / f"rest-{stem(name, pose, when)}.npz"
        key = key_of(garb, figure, pose, edge)
        old = None if path is None or again else kept(path)
        reopened = old is not None and old[0] == key and not old[1].rest.stopped
        if reopened and old is not None:
            hung = old[1]
        else:
            before = start_of(old, key, garb)
            if before is not None:
                hung = redraped(garb, before, figure, hear(name), settle=settle)
            else:
                hung = draped(garb, figure, pose, hear(name), edge, settle=settle)
            if not np.isfinite(hung.points).all():
                raise DrapeError(f"{capital(g.style.title)}: the cloth tore apart in hanging.")
            if path is not None:
                keep(path, key, hung)
        if assumed is not None:
            hung = replace(hung, remarks=(*hung.remarks, assumed))
        reading = read(hung, at, unit)
        signs = judge(reading, has=has(g, when))
        shown = shown_of(name, hung, reading, marks, unit, body, signs)
        looked = look_at(shown)
        found.append(
            Hanging(name, when, cloth, garb.handle, assumed, reading, signs, looked, reopened)
        )
    return tuple(found)


def drape_data(hangings: Sequence[Hanging], pose: Pose, files: Sequence[Path] = ()) -> Any:
    """Hung garments as JSON: cm, kPa, degrees; strain as fractions, the force left over on a point
    of the mesh as a part of its weight. Sentences are in the client's unit."""
    return {
        "pose": pose,
        "garments": [_data(h) for h in hangings],
        "caution": " ".join(COMMON),
        "files": [str(f) for f in files],
    }


def _data(h: Hanging) -> dict[str, Any]:
    return {
        "garment": h.style,
        "as": h.when,
        **h.reading.as_json(),
        "signs": [_sign(s) for s in h.signs],
        "opposites": list(opposites(h.signs)),
        "left_out": list(h.hung.shell.left_out),
        "cloth": {
            "name": h.cloth,
            "like": h.handle.name,
            **{c: getattr(h.handle, c) for c in CONSTANTS},
        },
        "assumed": h.assumed,
        "remarks": list(h.hung.remarks),
        "reopened": h.reopened,
    }


def _sign(s: Sign) -> dict[str, Any]:
    causes = [{"correction": c.kind, "title": c.title, "sign": c.sign} for c in s.causes]
    return {**asdict(s), "says": s.says, "title": s.title, "causes": causes}


def write_drape(
    hangings: Sequence[Hanging], heading: Heading, folder: Path, paper: Paper = "a4"
) -> list[Path]:
    """Pictures, glTF and the sheet, each whole or not at all; the paths written.

    Raises:
        OrderError: the folder cannot be made.
    """
    if not hangings:
        return []
    folder, unit = folder_for(folder), heading.unit
    first = hangings[0]
    if first.when == "cut":
        heading = replace(heading, fitting="as cut for the fitting")
    sheet = stem("drape-sheet", first.hung.pose, first.when)
    files: dict[str, bytes] = {
        f"{sheet}.pdf": drape_sheet([h.looked for h in hangings], heading, paper)
    }
    for h in hangings:
        name = stem(h.style, h.hung.pose, h.when)
        for quantity in QUANTITIES:
            drawn = picture(h.looked, quantity, unit)
            called = f"{name}-{quantity.replace(' ', '-')}"
            files[f"{called}.png"] = png(drawn)
            files[f"{called}.svg"] = svg(drawn, name=called).encode()
        files[f"{name}.glb"] = glb(h.shown, "strain across", unit)
    return [write_whole(folder / name, data) for name, data in files.items()]
