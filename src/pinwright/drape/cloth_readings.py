"""A workshop's own tests of a cloth: a square on the scales, a hanging strip, an overhang.

With a ruler, a kitchen balance and a few weights they give all of a handle but its thickness and
friction; docs/drape/cloth.md says how to do them. Lengths in cm, weights in g.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import atan, degrees, isfinite, sqrt

from pinwright.drape.cloth import Handle, Source
from pinwright.drape.cloth_lab import GF_CM, GRAVITY, rigidity
from pinwright.errors import OrderError
from pinwright.measures.amounts import size
from pinwright.measures.units import CM_PER_INCH, LengthUnit

HALF = 0.5
"""Bending length / overhang at 41.5 degrees.

The elastica under its own weight has its end at 41.49 degrees when the overhang is twice the
bending length (computed); Peirce's own formula, (cos(a/2) / (8 tan a))^(1/3), says 0.509.
"""

BAND = 0.15
"""How far off a workshop's own tests may be, as a part of the value (common practice)."""

LENGTHS: dict[str, tuple[float, float]] = {
    "square": (2.0, 200.0),
    "strip_width": (1.0, 50.0),
    "strip_length": (5.0, 300.0),
    "strip_along": (0.01, 100.0),
    "strip_across": (0.01, 100.0),
    "strip_bias": (0.01, 150.0),
    "overhang_along": (0.5, 40.0),
    "overhang_across": (0.5, 40.0),
}
"""The readings that are lengths, and from where to where they may be, cm."""

WEIGHTS: dict[str, tuple[float, float]] = {
    "square_weight": (0.02, 10_000.0),
    "strip_weight": (1.0, 10_000.0),
    "bias_weight": (1.0, 10_000.0),
}
"""The readings that are weights, and from where to where they may be, g."""


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read; None where it was not.

    square: side of a square; square_weight: what it weighs. strip_width, strip_length (between the
    marks), strip_weight (hung on it); strip_along, strip_across, strip_bias: how much longer it
    became between the marks when cut that way; bias_weight: hung on the bias strip, where it was
    another. overhang_along, overhang_across: of a strip cut that way, when its end is seen 41.5
    degrees below the edge.
    """

    square: float | None = None
    square_weight: float | None = None
    strip_width: float | None = None
    strip_length: float | None = None
    strip_weight: float | None = None
    strip_along: float | None = None
    strip_across: float | None = None
    strip_bias: float | None = None
    bias_weight: float | None = None
    overhang_along: float | None = None
    overhang_across: float | None = None


READINGS = tuple(f.name for f in fields(Readings))
"""The names of the readings."""


@dataclass(frozen=True, slots=True)
class Worked:
    """A constant worked out of readings, and the sentence that shows how."""

    constant: str
    value: float
    says: str


def from_tests(
    name: str, readings: Readings, rest: Handle, unit: LengthUnit = "cm", source: str = "as tested"
) -> Handle:
    """The handle of a cloth from its tests; what was not tested is that of ``rest``.

    ``unit`` is that of the sentences when something is refused.

    Raises:
        OrderError: a reading that cannot be, one that lacks the others it needs, or a constant no
            woven cloth has.
    """
    found = {w.constant: w.value for w in worked(name, readings, rest, unit)}
    return rest.having(name, found, Source(tuple(found), "read", BAND, source)) if found else rest


def worked(
    name: str, readings: Readings, rest: Handle, unit: LengthUnit = "cm"
) -> tuple[Worked, ...]:
    """Every constant that the readings give, in the order it is worked out.

    Raises:
        OrderError: see :func:`from_tests`.
    """
    _checked(name, readings, unit)
    r = readings
    out: list[Worked] = []
    mass = rest.mass
    if r.square is not None and r.square_weight is not None:
        mass = 1e4 * r.square_weight / r.square**2
        out.append(
            Worked(
                "mass",
                mass,
                f"A square of {size(r.square, unit)} weighs {r.square_weight:g} g: "
                f"{r.square_weight:g} / {(r.square / 100) ** 2:.4g} m² = {mass:.0f} g/m².",
            )
        )
    stretch = {"along": rest.stretch_along, "across": rest.stretch_across}
    for way in stretch:
        longer = getattr(r, f"strip_{way}")
        if longer is not None:
            step = _stretched(way, longer, r, unit)
            stretch[way] = step.value
            out.append(step)
    if r.strip_bias is not None:
        out.append(_sheared(name, r, stretch["along"], stretch["across"], rest.poisson, unit))
    for way in stretch:
        over = getattr(r, f"overhang_{way}")
        if over is not None:
            bend = rigidity(mass, HALF * over)
            out.append(
                Worked(
                    f"bend_{way}",
                    bend,
                    f"Bending {way}: half of an overhang of {_fine(over, unit)} is a bending "
                    f"length of {_fine(HALF * over, unit)}; {mass / 1000:.3f} kg/m² × {GRAVITY:g} "
                    f"× ({HALF * over / 100:.4f} m)³ = {bend:.2f} µN·m.",
                )
            )
    return tuple(out)


def _stretched(way: str, longer: float, r: Readings, unit: LengthUnit) -> Worked:
    width, length, weight = _strip(r)
    pull = pulled(weight, width)
    strain = longer / length
    value = pull / strain
    return Worked(
        f"stretch_{way}",
        value,
        f"Stretch {way}: {weight:g} g on a strip {size(width, unit)} wide pull {pull:.2f} N/m; "
        f"{_fine(longer, unit)} longer on {size(length, unit)} is {100 * strain:.2f} %; "
        f"{pull:.2f} / {strain:.4f} = {value:.0f} N/m.",
    )


def _sheared(
    name: str, r: Readings, along: float, across: float, poisson: float, unit: LengthUnit
) -> Worked:
    width, length, weight = _strip(r)
    if r.bias_weight is not None:
        weight = r.bias_weight
    assert r.strip_bias is not None
    pull = pulled(weight, width)
    strain = r.strip_bias / length
    plain = shear_of_bias(pull, strain)
    whole = shear_of_bias(pull, strain, along, across, poisson)
    if not isfinite(whole):
        raise OrderError(
            f"Cloth {name}: strip_bias is {_fine(r.strip_bias, unit)} on {size(length, unit)}, no "
            "more than the threads alone give; it must be more than along and across. Cut that "
            "strip again at 45 degrees."
        )
    return Worked(
        "shear",
        whole,
        f"Shear: {weight:g} g on a bias strip {size(width, unit)} wide pull {pull:.2f} N/m; "
        f"{_fine(r.strip_bias, unit)} longer on {size(length, unit)} is {100 * strain:.2f} %. Were "
        f"the threads not to stretch: {pull:.2f} / (4 × {strain:.4f}) = {plain:.1f} N/m. With "
        f"their stretch taken out: 1 / (4 × {strain:.4f} / {pull:.2f} - 1/{along:.0f} - "
        f"1/{across:.0f} + 2 × {poisson:g}/{sqrt(along * across):.0f}) = {whole:.1f} N/m, which is "
        "used.",
    )


def pulled(weight: float, width: float) -> float:
    """The pull on a strip, N/m: weight (g) hung on a width (cm)."""
    return weight / width * GF_CM


def shear_of_bias(
    pull: float,
    strain: float,
    along: float = float("inf"),
    across: float = float("inf"),
    poisson: float = 0.0,
) -> float:
    """Shear stiffness, N/m, from a strip on the bias.

    An orthotropic sheet pulled at 45 degrees gives 1/E = (1/E1 + 1/E2 - 2 v/sqrt(E1 E2) + 1/G) / 4
    (transformation of compliances, any text on composites). Threads that do not stretch leave
    G = E/4 = pull / (4 strain): at 5 gf/cm and strain in per cent that is FAST's 123 / EB5. pull,
    along, across: N/m. inf where the threads alone would give as much.
    """
    one = 4.0 * strain / pull - 1.0 / along - 1.0 / across
    one += 2.0 * poisson / sqrt(along) / sqrt(across)
    return 1.0 / one if one > 0.0 else float("inf")


def cautions(readings: Readings, unit: LengthUnit = "cm") -> tuple[str, ...]:
    """What makes the readings less sure than they look, one sentence each."""
    r = readings
    said: list[str] = []
    for what in ("strip_weight", "bias_weight"):
        weight = getattr(r, what)
        if weight is not None and r.strip_width is not None:
            said += _load_caution(what, weight / r.strip_width, r.strip_width, unit)
    for what in ("strip_along", "strip_across", "strip_bias"):
        longer = getattr(r, what)
        if longer is not None and longer < 0.3:
            said.append(
                f"{what} is only {_fine(longer, unit)}: half a millimetre of misreading is "
                f"{100 * 0.05 / longer:.0f} % of it. Take a longer strip."
            )
    if r.strip_bias is not None and r.strip_length is not None and r.strip_width is not None:
        strain = r.strip_bias / r.strip_length
        if strain > 0.08:
            # threads at 45 degrees in a strip that grows by e and narrows as much
            turn = degrees(2.0 * atan((1.0 + strain) / (1.0 - strain)) - 2.0 * atan(1.0))
            said.append(
                f"strip_bias is {100 * strain:.0f} %: the threads have turned about {turn:.0f} "
                "degrees, where cloth locks. Hang less on the bias strip (bias_weight)."
            )
        if r.strip_length < 4.0 * r.strip_width:
            said.append(
                f"The bias strip is {size(r.strip_length, unit)} by {size(r.strip_width, unit)}: "
                "the clips hold it and shear seems stiffer. Make it 6 times as long as wide."
            )
    for what in ("overhang_along", "overhang_across"):
        over = getattr(r, what)
        if over is not None and over < 3.0:
            said.append(
                f"{what} is {_fine(over, unit)}: 1 mm of misreading is {100 * 0.3 / over:.0f} % of "
                "the rigidity. Take the mean of four readings, each side and each end."
            )
    return tuple(said)


def _load_caution(what: str, load: float, width: float, unit: LengthUnit) -> list[str]:
    most = 30.0 if what == "bias_weight" else 100.0
    low, high = (width * x for x in ((4.0, 6.0) if what == "bias_weight" else (15.0, 25.0)))
    if 3.0 <= load <= most:
        return []
    than = "more" if load > most else "less"
    return [
        f"{what} pulls the strip {than} than wearing does: on {size(width, unit)} hang "
        f"{low:.0f} to {high:.0f} g."
    ]


def _strip(r: Readings) -> tuple[float, float, float]:
    """Width, length and weight of the strip; they were checked."""
    assert r.strip_width is not None
    assert r.strip_length is not None
    weight = r.strip_weight if r.strip_weight is not None else r.bias_weight
    assert weight is not None
    return r.strip_width, r.strip_length, weight


def _checked(name: str, r: Readings, unit: LengthUnit) -> None:
    for what, (least, most) in LENGTHS.items():
        value = getattr(r, what)
        if value is not None and not least <= value <= most:
            raise OrderError(
                f"Cloth {name}: {what} is {_fine(value, unit)}; it may be from "
                f"{_fine(least, unit)} to {_fine(most, unit)}."
            )
    for what, (least, most) in WEIGHTS.items():
        value = getattr(r, what)
        if value is not None and not least <= value <= most:
            raise OrderError(
                f"Cloth {name}: {what} is {value:g} g; it may be from {least:g} to {most:g} g."
            )
    for what, needed in _needs(r):
        if getattr(r, what) is not None:
            lacking = [n for n in needed if getattr(r, n) is None]
            if lacking:
                raise OrderError(f"Cloth {name}: {what} needs {' and '.join(lacking)} with it.")
    if (r.strip_along, r.strip_across, r.strip_bias) == (None, None, None):
        for what in ("strip_width", "strip_length", "strip_weight"):
            if getattr(r, what) is not None:
                raise OrderError(
                    f"Cloth {name}: {what} needs strip_along, strip_across or strip_bias with it: "
                    "how much longer the strip became."
                )
    for what in ("strip_along", "strip_across", "strip_bias"):
        longer = getattr(r, what)
        if longer is not None and r.strip_length is not None and longer > 0.5 * r.strip_length:
            raise OrderError(
                f"Cloth {name}: {what} is {_fine(longer, unit)} on {size(r.strip_length, unit)}; "
                "write how much longer the strip became, at most half its length."
            )


def _needs(r: Readings) -> tuple[tuple[str, tuple[str, ...]], ...]:
    strip = ("strip_width", "strip_length", "strip_weight")
    own = r.bias_weight is not None
    return (
        ("square", ("square_weight",)),
        ("square_weight", ("square",)),
        ("strip_along", strip),
        ("strip_across", strip),
        ("strip_bias", strip[:2] if own else strip),
        ("bias_weight", ("strip_bias",)),
    )


def _fine(cm: float, unit: LengthUnit) -> str:
    """A short length: to 0.1 mm, told in cm, or to 0.01 in; the very small to three figures."""
    shown = cm if unit == "cm" else cm / CM_PER_INCH
    return f"{shown:.2f} {unit}" if shown >= 0.1 else f"{shown:.3g} {unit}"
