"""Layers of a PDF sheet that can be switched off: which marks belong to which, and how it is said.

A layer is an optional content group (ISO 32000-1, 8.11): marks are painted between ``BDC`` and
``EMC``, and the reader's layer list switches the group. Everything is on when a sheet is opened.
What has no layer (the test square, the map, joining marks) always shows.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO
from itertools import groupby
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from pinwright.sheets.ink import Mark


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer: its ``key`` in the file, its ``title`` in the reader's list, the roles it holds."""

    key: str
    title: str
    roles: tuple[str, ...]


LAYERS = (
    Layer("frame", "Paper frame", ("paper frame",)),
    Layer("cut", "Cut line and fold", ("cut line", "fold edge", "fold", "cloth")),
    Layer("net", "Net line", ("net line",)),
    Layer(
        "inside",
        "Inside: balance lines, darts, grain",
        ("balance", "crease", "plumb", "stitch", "opening", "dart", "grain", "line name"),
    ),
    Layer(
        "marks",
        "Marks: notches, drill, thread",
        ("notch", "mark", "drill", "thread", "slit", "chalk", "point"),
    ),
    Layer("fitting", "Fitting: trim, let out, missing", ("trim", "use", "lack")),
    Layer("words", "Words on the pieces", ("label", "words")),
    Layer("allowances", "Words on allowance and reserve", ("allowance", "reserve")),
    Layer("lay-cloth", "Cloth: edges, selvedges, ruler", ("lay cloth", "lay selvedge", "lay ruler",
                                                          "lay waste")),
    Layer("lay-repeat", "Repeat of the cloth", ("lay repeat",)),
    Layer("lay-flaw", "Flaws and what is taken", ("lay flaw", "lay taken")),
    Layer("lay-piece", "Pieces as they are cut", ("lay piece", "lay grain")),
    Layer("lay-kept", "Cloth held back", ("lay kept",)),
    Layer("lay-words", "Words on the lay", ("lay words",)),
)  # fmt: skip
"""All layers, in the order in which a reader lists them."""

_BY_ROLE = {role: layer for layer in LAYERS for role in layer.roles}


def layer_of(mark: Mark) -> Layer | None:
    """The layer a mark belongs to by its role; None for what always shows."""
    return _BY_ROLE.get(mark.role)


def in_layers(marks: Iterable[Mark]) -> list[tuple[Layer | None, tuple[Mark, ...]]]:
    """The marks in the order they are painted, in stretches of one layer."""
    return [(layer, tuple(group)) for layer, group in groupby(marks, key=layer_of)]


def opened(c: Any, layer: Layer) -> None:
    """Begin marks of a layer on a reportlab canvas."""
    seen: dict[str, Layer] = c.__dict__.setdefault("layers_seen", {})
    seen[layer.key] = layer
    c._code.append(f"/OC /{layer.key} BDC")


def closed(c: Any) -> None:
    """End what :func:`opened` began."""
    c._code.append("EMC")


def seen_on(c: Any) -> tuple[Layer, ...]:
    """The layers painted on a canvas so far, in their order."""
    seen: dict[str, Layer] = c.__dict__.get("layers_seen", {})
    return tuple(layer for layer in LAYERS if layer.key in seen)


def finished(data: bytes, layers: tuple[Layer, ...]) -> bytes:
    """A PDF with its layers listed, all on, that asks the printer for 100 % on paper of its size.

    Viewer preferences: ISO 32000-1, 12.2, table 150 (``PrintScaling`` from PDF 1.6,
    ``PickTrayByPDFSize`` from 1.7). A reader may ignore them, so the sheet says it in words too.
    """
    with pikepdf.open(BytesIO(data)) as pdf:
        pdf.Root.ViewerPreferences = Dictionary(
            PrintScaling=Name("/None"),
            PickTrayByPDFSize=True,
        )
        if layers:
            _list_layers(pdf, layers)
        out = BytesIO()
        pdf.save(out, min_version="1.7", deterministic_id=True)
    return out.getvalue()


def _list_layers(pdf: Any, layers: tuple[Layer, ...]) -> None:
    groups = {
        layer.key: pdf.make_indirect(Dictionary(Type=Name.OCG, Name=String(layer.title)))
        for layer in layers
    }
    every = Array(list(groups.values()))
    pdf.Root.OCProperties = Dictionary(
        OCGs=every,
        D=Dictionary(
            Name=String("Layers"), BaseState=Name.ON, ON=every, Order=every, ListMode=Name.AllPages
        ),
    )
    names = Dictionary({f"/{key}": group for key, group in groups.items()})
    for page in pdf.pages:
        page.obj.Resources.Properties = names
    # a reader that knows layers opens with their list beside the page
    pdf.Root.PageMode = Name.UseOC
