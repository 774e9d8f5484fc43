"""Cloth need of an order, in words and as data: the estimate, what to buy, what would change it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from fractions import Fraction
from math import ceil
from typing import Any

from pinwright.cutting.alternatives import WIDTHS, Change, Solve, alternatives, variants
from pinwright.cutting.buying import STEP, Purchase, purchase, rounded_up
from pinwright.cutting.fields import checked, fields
from pinwright.cutting.habits import without_reserve
from pinwright.cutting.lay.placing import Field, Lay, Template
from pinwright.cutting.material import Material
from pinwright.cutting.need import Need, estimate_together
from pinwright.cutting.need_table import Table
from pinwright.cutting.repeat_cost import Unmeasured
from pinwright.cutting.sentences import capital
from pinwright.cutting.templates import templates
from pinwright.errors import PinwrightError
from pinwright.measures.amounts import size
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Layer
from pinwright.workshop.basting import cut_now
from pinwright.workshop.job import Job
from pinwright.workshop.laying import ClothLay
from pinwright.workshop.stock import Stock, pieces_of, stocks, wanted_of

YARD_EIGHTH = 91.44 / 8.0
"""Shops that measure in yards sell by the eighth, cm (common practice)."""


FEW = ("height", "bust_girth", "waist_girth", "hip_girth")
"""What is known of a client before she is measured."""


@dataclass(frozen=True, slots=True, eq=False)
class ClothNeed:
    """What one cloth of the order needs.

    ``estimate`` is from the client's few measures alone (none where it ``refused``), ``bought``
    from the finished lay, none before there is one.
    """

    stock: Stock
    estimate: Need | None
    refused: str = ""
    bought: Purchase | None = None
    changes: tuple[Change, ...] = ()

    @property
    def material(self) -> Material:
        """The cloth."""
        return self.stock.material


def step_of(unit: LengthUnit) -> float:
    """By what length shops sell, cm: ten centimetres, or an eighth of a yard."""
    return STEP if unit == "cm" else YARD_EIGHTH


def needs(
    job: Job,
    lays: Mapping[str, Sequence[Lay]] | None = None,
    changes: Mapping[str, Sequence[Change]] | None = None,
    step: float | None = None,
    table: Table | None = None,
) -> tuple[ClothNeed, ...]:
    """The need of every cloth of an order.

    ``lays`` and ``changes`` are by the key of the stock; ``step`` (cm) is what shops sell by.

    Raises:
        LayError: the step is not above 0, or a shrinkage that leaves nothing.
    """
    by = step_of(job.order.client.units) if step is None else step
    found = []
    for stock in stocks(job):
        estimate, refused = None, ""
        try:
            estimate = estimated(job, stock, table)
        except PinwrightError as error:
            refused = str(error)
        laid = (lays or {}).get(stock.key)
        found.append(
            ClothNeed(
                stock,
                estimate,
                refused,
                None if laid is None else purchase(laid, stock.material, by),
                tuple((changes or {}).get(stock.key, ())),
            )
        )
    return tuple(found)


def estimated(job: Job, stock: Stock, table: Table | None = None) -> Need:
    """The estimate for one cloth of an order, from height, bust, waist and hip alone.

    Raises:
        PinwrightError: see :func:`pinwright.cutting.need.estimate_together`.
    """
    m = stock.material
    names = list(dict.fromkeys(name for name, _ in stock.wanted))
    layers: tuple[Layer, ...] = tuple(dict.fromkeys(layer for _, layer in stock.wanted))
    patterned = m.repeat.along > 0.0 or m.repeat.across > 0.0
    matched = m.match is None or bool(m.match)
    need = estimate_together(
        [(g.style.name, g.choices) for g in job.garments if g.style.name in names],
        {t: v for t, v in job.body.given.items() if t in FEW},
        m.width,
        layers=layers,
        selvedge=m.selvedge,
        repeat=(m.repeat.along, m.repeat.across) if matched else (0.0, 0.0),
        # pieces are not turned on a repeat that looks different from the other end
        one_way=m.one_way or (patterned and not m.repeat.turns),
        folded=m.lay == "folded",
        # pieces that are scaled need as much more as a cloth that is shrunk first
        shrink=(0.0, 0.0) if m.shrink == "done" else (m.shrink_along, m.shrink_across),
        table=table,
    )
    says = list(need.says)
    if m.flaws or m.remnants:
        says.append("Flaws and remnants are not in the estimate.")
    if job.order.habits.reserve or job.order.habits.allowance:
        says.append("Reserve and allowances are the styles', not the workshop's own.")
    return replace(need, says=tuple(says))


LEAST_RUN = 1.0
"""The engine counts in whole seconds: no run of a comparison is shorter, s."""


def time_shares(lays: Sequence[ClothLay], seconds: float, runs: int = 2) -> dict[str, float]:
    """Seconds for each run of the comparison on each cloth, ``seconds`` in all.

    Cloth with more pieces is given more. A run takes at least a second, so that many cloths may
    take longer in all.
    """
    solves = {c.stock.key: runs * (1 + len(variants(c.material))) for c in lays}
    weight = {c.stock.key: max(1.0, len(c.first) ** 1.5) for c in lays}
    total = sum(solves[k] * weight[k] for k in solves) or 1.0
    return {k: max(LEAST_RUN, seconds * weight[k] / total) for k in solves}


def changes_of(job: Job, stock: Stock, solve: Solve, runs: int = 2) -> Iterator[Change]:
    """What would change the need of a cloth, each as soon as it is known.

    ``solve`` lays for the same short time whenever it is called; about a dozen calls are made.

    Raises:
        LayError: the pieces cannot be laid on the cloth as it is.
    """

    def build(material: Material, reserve: bool) -> tuple[tuple[Template, ...], Field]:
        found, field = _templates(job, stock, material, reserve), fields(material)[0]
        checked(found, field, stock.unit)  # refused in the order's unit, before any search
        return found, field

    return alternatives(build, stock.material, solve, runs)


def _templates(job: Job, stock: Stock, material: Material, reserve: bool) -> tuple[Template, ...]:
    """What is cut for the fitting from this cloth, as it would be from another."""
    if reserve:
        return wanted_of(job, replace(stock, material=material), "cut").templates
    found: list[Template] = []
    for g in job.garments:
        layers = {layer for name, layer in stock.wanted if name == g.style.name}
        right, left = (
            {p.name: p for p in without_reserve(half.values()) if p.layer in layers}
            for half in pieces_of(g, "cut")
        )
        if right:
            laid = templates(right, left, g.style.name, material, g.draft.seams, stock.unit)
            found += [
                replace(t, kept=0.0 if cut_now(right[t.piece]) else material.hold_back)
                for t in laid
            ]
    return tuple(found)


def words(need: ClothNeed, unit: LengthUnit = "cm") -> tuple[str, ...]:
    """Sentences for the cutter, most wanted first."""
    out: list[str] = []
    if need.bought is not None:
        out += _bought(need.bought, need.material, unit)
    if need.estimate is not None:
        out += _estimated(need.estimate, unit, need.bought is not None)
    elif need.refused:
        out.append(need.refused)
    out += [_changed(c, unit) for c in need.changes]
    if any(c.cost is not None for c in need.changes):
        out.append("Costs are compared at the same price a metre.")
    return tuple(out)


def _long(cm: float, unit: LengthUnit) -> str:
    return f"{cm / 100.0:.2f} m" if unit == "cm" else f"{cm / 91.44:.2f} yd"


def _sold(cm: float, unit: LengthUnit) -> str:
    """A length to buy as shops say it, never less than it is: "2.80 m", "5/8 yd", "3 1/4 yd"."""
    if unit == "cm":
        return _long(cm, unit)
    whole, rest = divmod(round(rounded_up(cm, YARD_EIGHTH) / YARD_EIGHTH), 8)
    return f"{whole} yd" if not rest else f"{f'{whole} ' if whole else ''}{Fraction(rest, 8)} yd"


def _whole(cm: float, unit: LengthUnit) -> float:
    """Never less than is used, as the drawing says it."""
    return float(ceil(cm - 0.05)) if unit == "cm" else cm


def _bought(b: Purchase, m: Material, unit: LengthUnit) -> list[str]:
    if b.used == 0.0:
        return ["Everything is cut from remnants: nothing is to be bought."]
    extra = [f"{size(b.end, unit)} for squaring the end"]
    if b.shrinks > 0.05:
        extra.append(f"{size(b.shrinks, unit)} for shrinkage")
    said = f"The lay takes {_long(_whole(b.used, unit), unit)}, with {' and '.join(extra)}"
    if m.length is not None:
        if b.short > 0.0:
            return [f"{said}: {size(b.short, unit)} more than there is."]
        return [f"{said}; {_long(b.left, unit)} of the cloth are left."]
    cost = "" if b.cost is None else f", {b.cost:.2f} at {m.price:g} a metre"
    return [f"{said}: buy {_sold(b.length, unit)}{cost}."]


def _beyond(b: Unmeasured, unit: LengthUnit) -> str:
    said = f"A repeat of {size(b.repeat, unit)} {b.way} is more than "
    if b.way == "across":
        # two pieces then lie beside each other only where both find a line with room for them
        said += f"the {size(b.most, unit)} up to which pieces are sure to find their lines beside "
        said += "each other"
    else:
        said += f"the {size(b.most, unit)} up to which lays were measured"
    return f"{said}: what it adds is not known, so lay the pieces before you buy."


def _estimated(n: Need, unit: LengthUnit, laid: bool) -> list[str]:
    if n.high is None:
        least = f"at least {_long(n.low, unit)}"
        if laid:
            return [f"Before drafting {least} was estimated, as for a cloth without repeat."]
        return [
            f"Estimated from height, bust, waist and hip alone: {least}, as for a cloth without "
            "repeat.",
            *(_beyond(b, unit) for b in n.beyond),
            *n.says,
        ]
    if laid:
        # what is laid is known; the estimate is only of interest beside it
        return [
            f"Before drafting {_long(n.length, unit)} was estimated (in 95 of 100 cases "
            f"{_long(n.low, unit)} to {_long(n.high, unit)})."
        ]
    whole = 1.0 if unit == "cm" else 0.0
    sources = ", ".join(
        f"{s.name} ± {size(max(round(s.cm), whole) if whole else s.cm, unit)}"
        for s in n.error_sources
    )
    return [
        f"Estimated from height, bust, waist and hip alone: {_long(n.length, unit)}, in 95 of 100 "
        f"cases {_long(n.low, unit)} to {_long(n.high, unit)} ({sources}).",
        *n.says,
    ]


def _what(c: Change, unit: LengthUnit) -> str:
    """What is changed; a width, which the data names in cm, in the unit of words."""
    widths = {f"{w:g} cm wide": w for w in WIDTHS}
    return f"{size(widths[c.what], unit)} wide" if c.what in widths else capital(c.what)


def _changed(c: Change, unit: LengthUnit) -> str:
    what = _what(c, unit)
    if c.length is None:
        return f"{what}: {c.refused}"
    if abs(c.difference) < 0.05 and c.uncertainty < 0.05:
        return f"{what}: no difference."
    amount = f"{size(abs(c.difference), unit)} {'less' if c.difference < 0 else 'more'}"
    sure = f"± {size(c.uncertainty, unit)}"
    if not c.certain:
        return f"{what}: no difference that short runs can tell ({amount}, {sure})."
    cost = ""
    if c.cost:
        cost = f", {abs(c.cost):.2f} {'less' if c.cost < 0 else 'more'}"
    return f"{what}: {amount} ({sure}){cost}."


def data(need: ClothNeed, unit: LengthUnit = "cm") -> dict[str, Any]:
    """The need as plain data for JSON; lengths in cm, areas in cm2, whatever the unit of words."""
    return {
        "cloth": need.stock.key,
        "layers": list(dict.fromkeys(layer for _, layer in need.stock.wanted)),
        "width": need.material.width,
        "estimate": None if need.estimate is None else asdict(need.estimate),
        "refused": need.refused,
        "bought": None if need.bought is None else asdict(need.bought),
        "changes": [{**asdict(c), "certain": c.certain} for c in need.changes],
        "words": list(words(need, unit)),
    }
