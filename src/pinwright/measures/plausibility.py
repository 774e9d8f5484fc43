"""Implausible and inconsistent measures, each with the reason why it is doubted.

The bounds are common practice from memory, wide enough for unusual figures, unless a source stands
beside them. A warning never changes a value.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from pinwright.measures import coefficients
from pinwright.measures.population import mahalanobis, regression
from pinwright.measures.relations import BUST_SCATTER, bust_from_upper_chest
from pinwright.measures.terms import TERMS

Values = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class MeasureWarning:
    """A doubt: the terms it concerns, and one sentence with the reason."""

    terms: tuple[str, ...]
    message: str


def _key_term(key: str) -> str:
    return key if key in TERMS else key.removesuffix("_left").removesuffix("_right")


def unusual(taped: Values) -> Iterator[MeasureWarning]:
    """Values possible but outside the usual range of their term."""
    for key, value in taped.items():
        term = TERMS[_key_term(key)]
        if not term.usual_low <= value <= term.usual_high:
            where = "below" if value < term.usual_low else "above"
            yield MeasureWarning(
                (term.name,),
                f"{key}: {value:.1f} {term.unit} is {where} the usual {term.usual_low:g} to "
                f"{term.usual_high:g} {term.unit}; check the tape and the unit.",
            )


_SIDE_LIMITS = {"shoulder_slope": 6.0, "arm_length": 3.0, "back_neck_to_wrist": 3.0,
                "outside_leg": 3.0, "inside_leg": 3.0, "thigh_girth": 4.0}  # fmt: skip


def uneven(sides: Mapping[str, Values]) -> Iterator[MeasureWarning]:
    """Left and right further apart than most bodies are."""
    for name, apart in sides.items():
        limit, unit = _SIDE_LIMITS.get(name, 2.5), TERMS[name].unit
        gap = abs(apart["left"] - apart["right"])
        if gap > limit:
            yield MeasureWarning(
                (name,),
                f"{name}: left {apart['left']:.1f} and right {apart['right']:.1f} {unit} differ by "
                f"{gap:.1f}; more than {limit:g} is rare, tape both again.",
            )


@dataclass(frozen=True, slots=True)
class _Agreement:
    """low <= sum of slopes x measures <= high, or the reason for a doubt."""

    slopes: Mapping[str, float]
    low: float
    high: float
    reason: str


def _agree(low: float, high: float, reason: str, /, **slopes: float) -> _Agreement:
    return _Agreement(slopes, low, high, reason)


_SUM = "the parts must make up the whole within 1 cm"
_INF = math.inf

AGREEMENTS: tuple[_Agreement, ...] = (
    _agree(-3, 3, "outside leg is inside leg and body rise together, within 3 cm",
           outside_leg=1, inside_leg=-1, body_rise=-1),
    _agree(4, 32, "the bust is usually 4 to 32 cm fuller than the ribs below it",
           bust_girth=1, under_bust_girth=-1),
    _agree(-4, 22, "bust and upper chest usually lie within -4 and 22 cm of each other",
           bust_girth=1, upper_chest_girth=-1),
    _agree(-1, 1, _SUM, bust_front_arc=1, bust_back_arc=1, bust_girth=-1),
    _agree(-1, 1, _SUM, waist_front_arc=1, waist_back_arc=1, waist_girth=-1),
    _agree(-1, 1, _SUM, hip_front_arc=1, hip_back_arc=1, hip_girth=-1),
    _agree(-1, 1, _SUM, front_crotch_length=1, back_crotch_length=1, total_crotch_length=-1),
    _agree(-_INF, 2, "the front of the fork is rarely longer than the back",
           front_crotch_length=1, back_crotch_length=-1),
    _agree(-_INF, 0, "a waist larger than the hip is rare", waist_girth=1, hip_girth=-1),
    _agree(-1, _INF, "the top hip is rarely smaller than the waist",
           top_hip_girth=1, waist_girth=-1),
    _agree(-_INF, 4, "the hip is by its definition about the fullest place below the waist",
           top_hip_girth=1, hip_girth=-1),
    _agree(-2, _INF, "below the waist the body is rarely smaller than at it",
           worn_waist_girth=1, waist_girth=-1),
    _agree(-_INF, 0, "the root of the neck is wider than the neck",
           neck_girth=1, neck_base_girth=-1),
    _agree(-_INF, 1, "the thigh narrows downwards", mid_thigh_girth=1, thigh_girth=-1),
    _agree(-_INF, 0, "the thigh narrows to the knee", knee_girth=1, mid_thigh_girth=-1),
    _agree(-_INF, 0, "the calf narrows to the ankle", ankle_girth=1, calf_girth=-1),
    _agree(-_INF, 4, "the elbow is rarely larger than the upper arm",
           elbow_girth=1, upper_arm_girth=-1),
    _agree(-_INF, 0, "the arm narrows to the wrist", wrist_girth=1, elbow_girth=-1),
    _agree(-2, 13, "the front over the bust is usually up to 13 cm longer than the back",
           front_waist_length=1, back_waist_length=-1),
    _agree(8, 30, "bust point to waist is usually 8 to 30 cm",
           front_waist_length=1, side_neck_to_bust_point=-1),
    _agree(1, _INF, "from the side neck over the bust is longer than down the centre front",
           front_waist_length=1, front_neck_to_waist=-1),
    _agree(11, 30, "underarm to waist is usually 11 to 30 cm",
           back_waist_length=1, scye_depth=-1),
    _agree(-3, 3, "neck to wrist is half the shoulder width and the arm together, within 3 cm",
           back_neck_to_wrist=1, across_back_shoulder_width=-0.5, arm_length=-1),
    _agree(8, 22, "between the shoulders the neck usually takes 8 to 22 cm",
           across_back_shoulder_width=1, shoulder_length=-2),
    _agree(-1, 14, "the back between the arms is usually up to 14 cm narrower than the shoulders",
           across_back_shoulder_width=1, across_back_width=-1),
    _agree(-6, 8, "across back and across front usually lie within 8 cm of each other",
           across_back_width=1, across_front_width=-1),
    _agree(2, 14, "the fork usually lies 2 to 14 cm below the hip level",
           body_rise=1, waist_to_hip=-1),
    _agree(4, 30, "the tape through the fork is usually 4 to 30 cm longer than two body rises",
           total_crotch_length=1, body_rise=-2),
    _agree(30, 58, "the knee usually lies 30 to 58 cm above the floor",
           outside_leg=1, waist_to_knee=-1),
    _agree(-7, 3, "neck height is outside leg and back waist length together, less about 2 cm",
           cervical_height=1, outside_leg=-1, back_waist_length=-1),
)  # fmt: skip
"""Measures that must agree with each other: low <= sum <= high, in cm."""

SHARES: tuple[tuple[str, str, float, float], ...] = (
    ("back_waist_length", "height", 0.21, 0.29),
    ("inside_leg", "height", 0.40, 0.53),
    ("outside_leg", "height", 0.56, 0.71),
    ("arm_length", "height", 0.29, 0.41),
    ("cervical_height", "height", 0.80, 0.90),
    ("thigh_girth", "hip_girth", 0.48, 0.72),  # bdims women: 0.54 to 0.68
    ("body_rise", "height", 0.13, 0.21),
    ("knee_girth", "thigh_girth", 0.48, 0.78),  # bdims women: 0.51 to 0.69
    ("bust_point_width", "bust_girth", 0.15, 0.28),
    ("neck_base_girth", "bust_girth", 0.30, 0.55),
)
"""(part, whole, lowest share, highest share)."""


def _sum_text(values: Values, slopes: Mapping[str, float]) -> str:
    parts: list[str] = []
    for name, slope in slopes.items():
        size = "" if abs(slope) == 1 else f"{abs(slope):g} x "
        sign = "-" if slope < 0 else ("+" if parts else "")
        parts.append(f"{sign} {size}{name} {values[name]:.1f}".strip())
    return " ".join(parts)


def inconsistent(given: Values) -> Iterator[MeasureWarning]:
    """Measures that do not agree with each other."""
    for rule in AGREEMENTS:
        if not all(name in given for name in rule.slopes):
            continue
        total = sum(slope * given[name] for name, slope in rule.slopes.items())
        if not rule.low - 1e-9 <= total <= rule.high + 1e-9:
            yield MeasureWarning(
                tuple(rule.slopes),
                f"{_sum_text(given, rule.slopes)} = {total + 0.0:.1f} cm, but {rule.reason}.",
            )
    for part, whole, low, high in SHARES:
        if part in given and whole in given:
            share = given[part] / given[whole]
            if not low <= share <= high:
                yield MeasureWarning(
                    (part, whole),
                    f"{part} {given[part]:.1f} is {share:.0%} of {whole} {given[whole]:.1f} cm, "
                    f"but usually it is {low:.0%} to {high:.0%}.",
                )


UNLIKELY = 4.0
"""Standard errors from its prediction at which a girth is doubted."""


def unlikely(given: Values) -> Iterator[MeasureWarning]:
    """Girths further than 4 standard errors from what the other given measures predict.

    Each is left out in turn and predicted by the bdims regression; the standard error is that of
    a new observation, see * sqrt(1 + 1/n + d^2/(n-1)), d the Mahalanobis distance of the predictors
    (Draper & Smith, Applied Regression Analysis, from memory). The bust girth, which bdims lacks,
    goes by the upper chest girth and the scatter of cups.
    """
    known = tuple(n for n in coefficients.VARIABLES if n in given)
    for name in known:
        yield from _doubt(given, name, tuple(n for n in known if n != name))
    if "bust_girth" in given and "upper_chest_girth" not in given:
        yield from _doubt(given, "bust_girth", known)


def _doubt(given: Values, name: str, others: tuple[str, ...]) -> Iterator[MeasureWarning]:
    if len(others) < 2:
        return
    fit = regression(others, ("upper_chest_girth" if name == "bust_girth" else name,))
    (predicted,) = fit.predict(given).values()
    spread = mahalanobis(others, np.array([given[other] for other in others])) ** 2
    n = coefficients.N
    error = float(fit.see[0]) * math.sqrt(1 + 1 / n + spread / (n - 1))
    if name == "bust_girth":
        predicted, error = bust_from_upper_chest(predicted), math.hypot(error, BUST_SCATTER)
    off = given[name] - predicted
    if abs(off) > UNLIKELY * error:
        unit, more = TERMS[name].unit, "more" if off > 0 else "less"
        yield MeasureWarning(
            (name,),
            f"{name} {given[name]:.1f} {unit} is {abs(off):.1f} {more} than "
            f"{', '.join(others)} lead to expect ({predicted:.1f} ± {error:.1f} {unit}); "
            "check it, or one of them.",
        )
