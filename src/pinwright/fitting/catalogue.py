"""The catalogue of corrections: every entry declared in ``fitting/corrections``, by kind."""

from __future__ import annotations

import importlib
import pkgutil
from functools import lru_cache

from pinwright.errors import CorrectionError, GeometryError, meant
from pinwright.fitting import corrections
from pinwright.fitting.correction import Entry, Form, Options
from pinwright.pattern.garment import Garment


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


def reasons_against(garment: Garment, form: Form) -> dict[tuple[str, str], str]:
    """Why a garment cannot have a correction made: a sentence for each (kind, place) it cannot."""
    found = {}
    for e in all_entries().values():
        for place in e.places:
            reason = _reason_against(garment, form, e, place)
            if reason is not None:
                found[e.kind, place] = reason
    return found


def _reason_against(garment: Garment, form: Form, e: Entry, place: str) -> str | None:
    """Why no option makes a correction possible at a place, rather what the garment lacks for it.

    None where one makes it possible.
    """
    reasons: list[str] = []
    tried: tuple[Options, ...] = ({}, *({o.name: word} for o in e.options for word in o.allowed))
    for options in tried:
        try:
            e.respond(garment, place, e.components[0], options, form)
        except CorrectionError as error:
            reasons.append(str(error))
        except (GeometryError, ArithmeticError, LookupError, ValueError):
            reasons.append(f"{e.title} cannot be done on the {garment.title}.")
        else:
            return None
    lacking = (r for r in reasons if r.startswith(f"The {garment.owns} no "))
    return next(lacking, reasons[0])
