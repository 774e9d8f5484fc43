"""A lay in words: which cloth, how it is laid, what to mind, and the pieces to be cut from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from pinwright.cutting.lay.measure import Measured, measured
from pinwright.cutting.lay.placing import Lay
from pinwright.cutting.material import Material
from pinwright.cutting.shrinking import on_table
from pinwright.cutting.shrinking import told as shrinking_told
from pinwright.measures.amounts import at_least, needed, size
from pinwright.measures.units import LengthUnit
from pinwright.sheets.lay_picture import HELD, LaidPiece, how
from pinwright.sheets.lay_signs import cloth_edges, from_words

SHEARS = (
    "Mind the blade: cut away from the hand that holds the cloth, lay the shears down closed, and "
    "with a cutting machine wear the mesh glove and clamp the layers."
)


@dataclass(frozen=True, slots=True, eq=False)
class LaidCloth:
    """A lay with its cloth as bought, as it goes on paper.

    ``title`` stands instead of layer and name of the cloth; ``remarks`` are sentences for the
    cutter that stand before the others.
    """

    lay: Lay
    material: Material
    title: str = ""
    remarks: tuple[str, ...] = ()

    @property
    def on_table(self) -> Material:
        """The cloth as the lay has it: shrunk where it is shrunk first."""
        return on_table(self.material)


@lru_cache(maxsize=32)
def _figures(lay: Lay) -> Measured:
    # by identity: a lay is drawn on the page, in files and in words without having changed
    return measured(lay, 2)


def cloth_title(cloth: LaidCloth, unit: LengthUnit) -> str:
    """Which cloth it is: layer, name, width; or which remnant."""
    m = cloth.on_table
    name = cloth.title or ", ".join(dict.fromkeys(part for part in (m.layer, m.name) if part))
    if cloth.lay.field.outline is not None:
        return f"{name}: remnant {cloth.lay.field.name}".rstrip()
    folded = ", folded" if cloth.lay.field.folded else ""
    return f"{name}, {size(m.width, unit)} wide{folded}"


def facts(cloth: LaidCloth, unit: LengthUnit) -> tuple[str, ...]:
    """Length used, how much of it the pieces take, and below what no lay of them can be."""
    found = _figures(cloth.lay)
    share = f"pieces take {100 * found.density:.1f} % of it"
    if cloth.lay.field.outline is not None:
        return (share,)
    bound = f"cannot be under {at_least(found.bound, unit)}"
    return (f"used: {needed(found.length, unit)}", share, bound)


def instructions(cloth: LaidCloth, unit: LengthUnit = "cm") -> tuple[str, ...]:
    """What the cutter does before and while cutting, one sentence or two each."""
    m, lay = cloth.material, cloth.lay
    said = [
        *cloth.remarks,
        *_before(cloth, unit),
        _spread(m, lay),
        *_way(m),
        *_repeat(m, lay, unit),
    ]
    f = lay.field
    if f.flaws:
        count = f"{len(f.flaws)} flaws are" if len(f.flaws) > 1 else "One flaw is"
        said.append(f"{count} cross-hatched: no piece lies there. Look the cloth over for more.")
    if f.taken:
        said.append("Hatched one way: already cut or pinned. Leave it.")
    if any(t.on_fold for t in lay.templates):
        said.append("What stands on the fold is cut in one: never cut along the fold.")
    if any(t.mirrored for t in lay.templates):
        said.append("“Face down”: the pattern lies with its writing to the cloth.")
    if any(90.0 < p.rotation % 360.0 < 270.0 for p in lay.placements):
        said.append("“Turned”: the top of the piece points to the cut end.")
    if any(p.rotation % 180.0 > 1e-6 for p in lay.placements):
        said.append("“Tilted”: so many degrees off the grain, as the order allows for this cloth.")
    after = [t for t in lay.templates if t.stage == "after"]
    if any(t.kept > 0.0 for t in after):
        said.append(
            "Dashed rims: cut along the dashed line for now, and the piece itself only after the "
            "fitting, to the shape it then has."
        )
    elif after:
        said.append("Thin outlines: these pieces are cut only after the fitting.")
    if f.gap > 0.0:
        said.append(f"Pieces lie at least {size(f.gap, unit)} apart: cut each one for itself.")
    said += _left(cloth, unit)
    return (*said, SHEARS)


def _left(cloth: LaidCloth, unit: LengthUnit) -> list[str]:
    """The largest empty rectangles, for linings of pockets and for the remnant box.

    As they are found with a tape on the cloth: from its edges, the selvedge measured along.
    """
    lay = cloth.lay
    edge = "the fold" if lay.field.folded else "the edge of the lower selvedge"
    low = cloth_edges(lay, cloth.on_table)[0]
    if lay.field.outline is not None:
        edge, low = "the lower edge", 0.0
    parts = [
        f"{at_least(x1 - x0, unit)} by {at_least(y1 - y0, unit)}, "
        f"{from_words(x0, 'the cut end', unit)}, {from_words(y0 - low, edge, unit)}"
        for x0, y0, x1, y1 in _figures(lay).rectangles
    ]
    return [f"Left over in one piece (along by across): {'; '.join(parts)}."] if parts else []


def _before(cloth: LaidCloth, unit: LengthUnit) -> list[str]:
    m, lay = cloth.material, cloth.lay
    said = []
    losses = [
        f"{amount:g} % {way}"
        for amount, way in ((m.shrink_along, "along"), (m.shrink_across, "across"))
        if amount
    ]
    shrunk = "shrunk " if losses and m.shrink == "first" else ""
    if set(shrinking_told(m, unit=unit)) & set(cloth.remarks):
        losses = []  # said there, with the cloth's name
    if losses and m.shrink == "first":
        said.append(f"Shrink the cloth first; it loses {' and '.join(losses)}.")
    elif losses and m.shrink == "scaled":
        said.append(
            f"Do not shrink the cloth first: every piece here is larger by {' and '.join(losses)} "
            "of shrinkage."
        )
    elif losses:
        said.append(
            f"The lay is for cloth that is shrunk already ({' and '.join(losses)} of what was "
            "bought)."
        )
    if lay.field.outline is not None:
        said.append("Measure the remnant: its outline here must be all good cloth.")
        return said
    wide, edge = size(cloth.on_table.width, unit), size(m.selvedge, unit)
    said.append(
        f"Measure the {shrunk}cloth before cutting: {needed(lay.length, unit)} long at least, "
        f"{wide} from edge to edge, of which {edge} at each selvedge is not used. Straighten its "
        "end to a thread."
    )
    return said


def _spread(m: Material, lay: Lay) -> str:
    if lay.field.folded:
        side = "out" if m.right_side == "up" else "in"
        return (
            f"Fold the cloth along its length, selvedge on selvedge, right side {side}; the fold "
            "is the lower edge of the drawing. Both layers are cut together, without tension."
        )
    return f"Lay the cloth single, right side {m.right_side}, flat and without tension."


def _way(m: Material) -> list[str]:
    if m.direction == "none":
        return []
    what = "nap" if m.direction == "nap" else "print"
    return [f"One way ({what}): every piece lies with its top towards the large arrow."]


def _repeat(m: Material, lay: Lay, unit: LengthUnit) -> list[str]:
    along, across = lay.field.repeat
    # where the lines lie once the cloth is shrunk, as the lay has them
    line = on_table(m).repeat
    parts = []
    if along > 0.0:
        first = size(line.from_start, unit)
        parts.append(f"a bar every {size(along, unit)} along, one {first} from the cut end")
    if across > 0.0:
        edge = "the fold" if lay.field.folded else "the lower edge"
        first = size(line.from_selvedge, unit)
        parts.append(f"a stripe every {size(across, unit)} across, one {first} from {edge}")
    if not parts:
        return []
    pins = " Pin both layers line on line." if lay.field.folded else ""
    return [f"Repeat: {'; '.join(parts)}. Measure it on the cloth before anything is cut.{pins}"]


def cut_list(pieces: tuple[LaidPiece, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The pieces by number under what they are cut for: (heading, rows)."""
    several = len({p.template.garment for p in pieces}) > 1
    rows: dict[str, list[str]] = {"fitting": [], "after": []}
    for p in pieces:
        said = [f for f in how(p.template, p.at) if f != HELD]
        garment = f" ({p.template.garment})" if several else ""
        tail = f": {', '.join(said)}" if said else ""
        rows[p.template.stage].append(f"{p.number}  {p.title}{garment}{tail}")
    heads = (("fitting", "Cut for the fitting"), ("after", "Cut after the fitting"))
    return tuple((head, tuple(rows[stage])) for stage, head in heads if rows[stage])
