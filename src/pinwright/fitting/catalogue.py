"""The catalogue of corrections: every entry declared in ``fitting/corrections``, by kind."""

from __future__ import annotations

import importlib
import pkgutil
from functools import lru_cache

from pinwright.errors import CorrectionError, meant
from pinwright.fitting import corrections
from pinwright.fitting.correction import Entry


@lru_cache(maxsize=1)
def all_entries() -> dict[str, Entry]:
    """Every entry by kind, in order of treatment: an entry registers by being there."""
    found: list[Entry] = []
    for module in pkgutil.iter_modules(corrections.__path__):
        found += importlib.import_module(f"{corrections.__name__}.{module.name}").ENTRIES
    return {e.kind: e for e in sorted(found, key=lambda e: (e.order, e.kind))}


def entry(kind: str) -> Entry:
    """The entry of a kind.

    Raises:
        CorrectionError: there is none; the sentence names the nearest.
    """
    known = all_entries()
    if kind not in known:
        hint = meant(kind, known)
        raise CorrectionError(
            f"There is no correction {kind!r}.{hint} `pinwright corrections` lists them."
        )
    return known[kind]
