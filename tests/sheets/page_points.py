"""Reads back what a PDF page draws: points in cm on the page, colours, curves. Tests only."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from pypdf import PageObject
from pypdf.generic import ContentStream

CM = 72 / 2.54


@dataclass
class Page:
    """Subpaths as lists of points in cm, how many curves, and the colour operators used."""

    paths: list[np.ndarray] = field(default_factory=list)
    curves: int = 0
    colours: set[str] = field(default_factory=set)
    dashes: set[str] = field(default_factory=set)


def read(page: PageObject) -> Page:
    """Interpret the path operators of a content stream (ISO 32000-1 §8.5)."""
    out = Page()
    matrix, stack = np.eye(3), []
    current: list[np.ndarray] = []

    def put(x: object, y: object) -> None:
        current.append((np.array([float(x), float(y), 1.0]) @ matrix)[:2] / CM)  # type: ignore[arg-type]

    def end() -> None:
        nonlocal current
        if len(current) > 1:
            out.paths.append(np.array(current))
        current = []

    content = page.get_contents()
    assert content is not None
    for operands, operator in ContentStream(content, page.pdf).operations:
        op = operator.decode()
        if op == "cm":
            a, b, c, d, e, f = (float(v) for v in operands)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1.0]]) @ matrix
        elif op == "q":
            stack.append(matrix)
        elif op == "Q":
            matrix = stack.pop()
        elif op == "m":
            end()
            put(*operands)
        elif op == "l":
            put(*operands)
        elif op == "c":
            out.curves += 1
            put(*operands[4:])
        elif op == "re":
            end()
            x, y, w, h = (float(v) for v in operands)
            for p in ((x, y), (x + w, y), (x + w, y + h), (x, y + h)):
                put(*p)
        elif op in ("S", "s", "f", "f*", "B", "b", "n", "B*", "b*"):
            end()
        elif op in ("rg", "RG", "k", "K", "sc", "SC", "scn", "SCN"):
            out.colours.add(op)
        elif op == "d":
            out.dashes.add(str(operands[0]))
    return out
