"""A record completed to a body: every term filled, what was estimated marked as such."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pinwright.errors import MeasureError
from pinwright.measures import coefficients
from pinwright.measures.models import COMMON, MODELS, Linear
from pinwright.measures.population import regression
from pinwright.measures.record import Record, Side
from pinwright.measures.relations import (
    BUST_SCATTER,
    bust_from_upper_chest,
    girth_below_waist,
    part_below_waist,
    upper_chest_from_bust,
)
from pinwright.measures.terms import TERMS

TOP_HIP_SCATTER = 4.0
"""Standard error, cm, of the girth half way between waist and hip: by judgement, since the navel
girth of the bdims women, higher up, scatters 5.2 about its mean share of the way."""

ALWAYS_NEEDED = ("height", "waist_girth", "hip_girth")
"""Without these no body is estimated at all."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value that was not taped.

    value and standard_error in the term's unit; model: the formula used; source: where from.
    """

    value: float
    standard_error: float
    model: str
    source: str


@dataclass(frozen=True, slots=True)
class Body:
    """Every term of TERMS with a value: what drafting consumes.

    values: term -> cm (kg, deg). given: the terms that were taped. estimated: the others, each
    with its standard error, model and source. sides: term -> {"left", "right"} where taped apart.
    """

    values: Mapping[str, float]
    given: Mapping[str, float]
    estimated: Mapping[str, Estimate]
    sides: Mapping[str, Mapping[str, float]]

    def __hash__(self) -> int:
        return hash(tuple(self.values.items()))

    def __reduce__(self) -> tuple[object, ...]:
        sides = {term: dict(apart) for term, apart in self.sides.items()}
        return _body, (dict(self.values), dict(self.given), dict(self.estimated), sides)

    def __getitem__(self, term: str) -> float:
        try:
            return self.values[term]
        except KeyError:
            if term in TERMS:
                raise MeasureError(f"{term}: the order's measures do not have it.") from None
            raise MeasureError(f'"{term}" is not a measure; see `pinwright measures`.') from None

    def side(self, term: str, side: Side) -> float:
        """The term on one side; its plain value where the sides were not taped apart."""
        apart = self.sides.get(term)
        return self[term] if apart is None else apart[side]

    def is_estimated(self, term: str) -> bool:
        """Whether the value was estimated rather than taped."""
        return term in self.estimated

    def standard_error(self, term: str) -> float:
        """Standard error of an estimate; 0 for what was taped."""
        estimate = self.estimated.get(term)
        return 0.0 if estimate is None else estimate.standard_error


def missing(record: Record, garments: Iterable[str]) -> tuple[str, ...]:
    """Terms that must be taped before these garments can be drafted and were not given."""
    wanted = set(garments)
    return tuple(
        name
        for name, term in TERMS.items()
        if name not in record.given
        and (name in ALWAYS_NEEDED or wanted.intersection(term.required))
    )


def complete(record: Record, garments: Iterable[str] = ()) -> Body:
    """Fill every term of a record by the stated models.

    garments: those to be drafted ("trousers", "jacket"), whose required measures must be given;
    height, waist and hip girth always must. Raises MeasureError when one is missing, or when the
    given measures lead to an impossible estimate.
    """
    lacking = missing(record, garments)
    if lacking:
        names = ", ".join(lacking)
        raise MeasureError(f"{names}: must be taped, never estimated, before anything is drafted.")
    filling = _Filling(record)
    filling.girths()
    for target, lines in MODELS:
        if target not in filling.values:
            filling.lines(target, lines)
    filling.levels()
    values = {name: filling.values[name] for name in TERMS}
    return Body(
        MappingProxyType(values),
        record.given,
        MappingProxyType(filling.estimated),
        record.sides,
    )


def _body(
    values: dict[str, float],
    given: dict[str, float],
    estimated: dict[str, Estimate],
    sides: dict[str, dict[str, float]],
) -> Body:
    return Body(
        MappingProxyType(values),
        MappingProxyType(given),
        MappingProxyType(estimated),
        MappingProxyType({term: MappingProxyType(apart) for term, apart in sides.items()}),
    )


class _Filling:
    """The working table of complete(): values by name, and of what each one's error is made.

    errors: name -> {source of error: its share in cm}. Shares of one source add up, separate
    sources are taken as independent: so the back arc is no less sure than the front arc.
    """

    __slots__ = ("errors", "estimated", "given", "values")

    def __init__(self, record: Record) -> None:
        self.given = record.given
        self.values: dict[str, float] = dict(record.given)
        self.errors: dict[str, dict[str, float]] = {}
        self.estimated: dict[str, Estimate] = {}

    def put(self, term: str, fit: _Fit, model: str, source: str) -> None:
        limits = TERMS[term]
        if not limits.low <= fit.value <= limits.high:
            raise MeasureError(
                f"{term}: the estimate {fit.value:.1f} {limits.unit} ({model}) is outside the "
                f"possible {limits.low:g} to {limits.high:g}; check the given measures or tape it."
            )
        self.values[term] = fit.value
        self.errors[term] = fit.errors
        self.estimated[term] = Estimate(fit.value, fit.standard_error, model, source)

    def girths(self) -> None:
        """Girths by regression on everything given that bdims holds; bust by ASTM."""
        known = {n: self.given[n] for n in coefficients.VARIABLES if n in self.given}
        noise = 0.0
        if "upper_chest_girth" not in known and "bust_girth" in self.given:
            noise = BUST_SCATTER
            known["upper_chest_girth"] = upper_chest_from_bust(self.given["bust_girth"])
        predictors = tuple(n for n in coefficients.VARIABLES if n in known)
        targets = tuple(n for n in coefficients.VARIABLES if n not in self.given)
        regressed = regression(predictors, targets, noise)
        predicted = regressed.predict(known)
        named = ", ".join(n if n in self.given else "bust_girth" for n in predictors)
        for name, see in zip(targets, regressed.see.tolist(), strict=True):
            fit = _Fit(predicted[name], {name: see})
            if name in TERMS:
                self.put(name, fit, f"regression on {named}", coefficients.SOURCE)
            else:
                self.values[name], self.errors[name] = fit.value, fit.errors
        if "bust_girth" not in self.given:
            self.bust()

    def bust(self) -> None:
        chest = self.errors.get("upper_chest_girth", {})
        fit = _Fit(
            bust_from_upper_chest(self.values["upper_chest_girth"]),
            {**chest, "bust_girth": BUST_SCATTER},
        )
        model = "upper_chest_girth and an average cup"
        if "under_bust_girth" in self.given:
            ribs = _Fit(self.given["under_bust_girth"] + 15.9, {"under_bust_girth": BUST_SCATTER})
            fit = _mean([fit, ribs])
            model += ", and under_bust_girth + 15.9, mean by standard error"
        self.put("bust_girth", fit, model, "ASTM D5585-11e1 Table 1, sizes 8, 10, 12")

    def line(self, line: Linear) -> _Fit:
        value = line.constant
        errors = {f"{line.target}: {line.text}": line.standard_error} if line.standard_error else {}
        for name, slope in line.slopes:
            value += slope * self.values[name]
            for source, share in self.errors.get(name, {}).items():
                errors[source] = errors.get(source, 0.0) + slope * share
        return _Fit(value, errors)

    def lines(self, target: str, lines: tuple[Linear, ...]) -> None:
        usable = [m for m in lines if all(name in self.given for name in m.needs)]
        exact = [m for m in usable if m.exact]
        if exact:
            usable = exact[:1]
        if len(usable) == 1:
            model = usable[0].text
            self.put(target, self.line(usable[0]), model, usable[0].source)
            return
        model = "mean by standard error of: " + "; ".join(m.text for m in usable)
        source = "; ".join(dict.fromkeys(m.source for m in usable))
        self.put(target, _mean([self.line(m) for m in usable]), model, source)

    def levels(self) -> None:
        """Top hip, and the worn waist from its drop or the drop from the worn waist."""
        waist, hip = self.values["waist_girth"], self.values["hip_girth"]
        depth = self.values["waist_to_hip"]
        source = f"{COMMON}; the navel girth of bdims scatters 5 cm about its mean share"
        if "top_hip_girth" not in self.given:
            fit = _Fit(girth_below_waist(waist, hip, 0.5), {"top_hip_girth": TOP_HIP_SCATTER})
            self.put("top_hip_girth", fit, "parabola from waist to hip girth, half way", source)
        if "worn_waist_girth" in self.given:
            if "worn_waist_drop" not in self.given:
                part = part_below_waist(waist, hip, self.given["worn_waist_girth"])
                drop = min(part * depth, TERMS["worn_waist_drop"].high)
                model = "where the parabola from waist to hip has the worn waist girth"
                self.put("worn_waist_drop", _Fit(drop, {"worn_waist_drop": 2.5}), model, source)
            return
        part = self.values["worn_waist_drop"] / depth
        top = self.values["top_hip_girth"]
        value = (
            waist * (1 - part) * (1 - 2 * part)
            + 4 * top * part * (1 - part)
            + hip * part * (2 * part - 1)
        )
        # nothing is unsure at the waist itself, as much as at the top hip from there down
        error = TOP_HIP_SCATTER * min(1.0, 2.0 * part)
        model = "parabola through waist, top hip and hip girth at the worn waist drop"
        self.put("worn_waist_girth", _Fit(value, {"worn_waist_girth": error}), model, source)


@dataclass(frozen=True, slots=True)
class _Fit:
    """A value and the shares of its error by source."""

    value: float
    errors: dict[str, float]

    @property
    def standard_error(self) -> float:
        return math.sqrt(sum(share**2 for share in self.errors.values()))


def _mean(fits: list[_Fit]) -> _Fit:
    """Mean weighted by the inverse squares of the standard errors."""
    weights = [fit.standard_error**-2 for fit in fits]
    total = sum(weights)
    errors: dict[str, float] = {}
    for fit, weight in zip(fits, weights, strict=True):
        for source, share in fit.errors.items():
            errors[source] = errors.get(source, 0.0) + weight / total * share
    value = sum(w * f.value for w, f in zip(weights, fits, strict=True)) / total
    return _Fit(value, errors)
