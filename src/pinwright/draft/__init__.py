"""Measures and style choices become garments."""

from __future__ import annotations

import importlib
import pkgutil
from functools import lru_cache

from pinwright.draft import brought, styles
from pinwright.draft.style import Style
from pinwright.errors import OrderError, meant


@lru_cache(maxsize=1)
def all_styles() -> dict[str, Style]:
    """Every style found in ``draft/styles``, by name: a style registers by being there."""
    found: dict[str, Style] = {}
    for module in pkgutil.iter_modules(styles.__path__):
        style = importlib.import_module(f"{styles.__name__}.{module.name}").STYLE
        found[style.name] = style
    return found


def style(name: str) -> Style:
    """The style called ``name``; also that of pieces brought in, which are never drafted.

    Raises:
        OrderError: there is none; the sentence names the nearest.
    """
    if name == brought.STYLE.name:
        return brought.STYLE
    known = all_styles()
    if name not in known:
        hint = meant(name, known)
        raise OrderError(
            f"There is no style {name!r}.{hint} The styles are {', '.join(sorted(known))}."
        )
    return known[name]
