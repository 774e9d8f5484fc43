"""What a catalogue entry says of itself, and one correction of an order."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Literal

from pinwright.errors import CorrectionError
from pinwright.fitting.response import Response
from pinwright.pattern.garment import Garment

Form = Literal["cut", "next"]
Sides = Literal["both", "right", "left"]
Belongs = Literal["figure", "style", "cloth", "record"]
Options = Mapping[str, object]

Respond = Callable[[Garment, str, str, Options], Response]
"""(garment, place, component, options) -> the response to one unit of that component."""


@dataclass(frozen=True, slots=True)
class Option:
    """An option of a correction: allowed words, or a number in a range (cm)."""

    name: str
    help: str
    allowed: tuple[str, ...] = ()
    default: str | float | None = None
    low: float = 0.0
    high: float = 0.0


@dataclass(frozen=True, slots=True)
class Entry:
    """A catalogue entry.

    ``plus`` says what a positive amount does; ``usual`` and ``limit`` are (from, to) in ``unit``;
    ``meanings`` are the ways an amount may be meant, each with the factor that turns it into the
    entry's own amount, ``ask`` whether it must be said; ``components`` the amounts it takes;
    ``one_sided`` whether it may differ right and left. ``cut`` acts on cloth already cut,
    ``next_draft`` on a draft not yet cut (None: the same). ``edges`` says how many edges
    share a change of girth at (garment, place, side, options) (None: those of the place),
    ``measured`` turns a measured value into the entry's own amount on a garment as drafted.
    """

    kind: str
    title: str
    plus: str
    signs: tuple[str, ...]
    places: tuple[str, ...]
    usual: tuple[float, float]
    limit: tuple[float, float]
    sources: tuple[str, ...]
    cut: Respond
    next_draft: Respond | None = None
    unit: str = "cm"
    meanings: tuple[str, ...] = ("level",)
    ask: bool = False
    components: tuple[str, ...] = ("amount",)
    options: tuple[Option, ...] = ()
    one_sided: bool = True
    belongs_to: Belongs = "figure"
    companions: tuple[str, ...] = ()
    effects: str = ""
    order: int = 50
    edges: Callable[[Garment, str, str, Options], int] | None = None
    measured: Callable[[Garment, float], float] | None = None

    def respond(
        self, garment: Garment, place: str, component: str, options: Options, form: Form
    ) -> Response:
        """The response to one unit, in the form asked for."""
        act = self.next_draft if form == "next" and self.next_draft is not None else self.cut
        return act(garment, place, component, options)


@dataclass(frozen=True, slots=True)
class Correction:
    """One correction of an order, in the entry's own unit and sign.

    ``amounts`` by component. ``meant_as`` records how the amount was said, ``said`` the note it
    comes from, ``belongs_to`` whether the next garment inherits it.
    """

    kind: str
    place: str
    side: Sides = "both"
    amounts: Mapping[str, float] = field(default_factory=dict)
    options: Options = field(default_factory=dict)
    form: Form = "cut"
    meant_as: str = ""
    said: str = ""
    belongs_to: Belongs = "figure"
    id: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "amounts", MappingProxyType(dict(self.amounts)))
        object.__setattr__(self, "options", MappingProxyType(dict(self.options)))

    def scaled(self, factor: float) -> Correction:
        """The same correction with all amounts times ``factor`` (-1 undoes it)."""
        return replace(self, amounts={k: v * factor for k, v in self.amounts.items()})

    @property
    def amount(self) -> float:
        """The amount of a correction that has one component."""
        return self.amounts.get("amount", 0.0)


def one_leg(e: Entry, place: str, options: Options) -> bool:
    """Whether a correction gives room to a leg at its fork, where right and left are one seam."""
    return any(o.name == "fork" for o in e.options) and (
        place == "inseam" or (place == "thigh" and options.get("via") != "side_seam")
    )


def per_edge(entry: Entry, meant_as: str, amount: float, edges: int) -> float:
    """An amount said in one of the ways of the trade, as movement of each edge (cm).

    ``edges`` is the number of edges the change of girth is shared by. A fold of depth p pinned on
    a seam takes p from each of its two edges, so 2p from the seam (worked example of sources 3.3:
    a pinned fold of depth p removes 2p).

    Raises:
        CorrectionError: the entry does not take amounts meant so.
    """
    factors = {"edge": 1.0, "fold": 1.0, "removed": 0.5, "girth": 1.0 / max(edges, 1)}
    if meant_as not in entry.meanings or meant_as not in factors:
        raise CorrectionError(
            f"{entry.title}: an amount cannot be meant as {meant_as!r}; it may be "
            f"{', '.join(entry.meanings)}."
        )
    return amount * factors[meant_as]
