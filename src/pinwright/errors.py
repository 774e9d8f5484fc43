"""What pinwright says when it cannot go on: one sentence a cutter can act on."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches


class PinwrightError(Exception):
    """A refusal in one sentence: what, where, the value, what is allowed."""


class GeometryError(PinwrightError):
    """A curve or outline that cannot be made from what was given."""


class MeasureError(PinwrightError):
    """A body measurement that is missing, misspelt or impossible."""


class DraftError(PinwrightError):
    """A garment that cannot be drafted from these measures and choices."""


class CorrectionError(PinwrightError):
    """A correction that is unknown, contradictory, or more than the pieces can take."""


class LayError(PinwrightError):
    """Pieces that cannot be laid on the cloth that is there."""


class OrderError(PinwrightError):
    """An order document that cannot be read or does not hold together."""


class FigureError(PinwrightError):
    """The client's figure cannot be made as asked."""


class DrapeError(PinwrightError):
    """A garment that cannot be hung on the figure."""


def meant(name: str, known: Iterable[str]) -> str:
    """A hint for a misspelt name: " Did you mean ...?" with the nearest known one, or nothing."""
    near = get_close_matches(name, list(known), n=1)
    return f" Did you mean {near[0]}?" if near else ""
