"""Does a correction of the catalogue lessen the sign it is for, when the garment is hung?

Each case makes a figure with a feature of which the draft knows nothing: the demo's client, shaped
or stood otherwise, while her garments are drafted from her own record. The plain draft is hung on
that figure and the sign is read as a number; the correction is made through the ledger by the
middle of what the catalogue calls usual, hung from the same start, and the same number is read.
Beside it stand what the number is on the figure that the draft was made for, and what it becomes
when the correction is made the wrong way round.

Run it as ``python -m benchmarks.drape_corrections [CASE ...] [--edge 2.0] [--keep FOLDER]``: a
table, or one line of JSON for each case with ``--json``.
"""

from __future__ import annotations

import argparse
import json
import pickle
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from time import perf_counter

import numpy as np
from scipy.interpolate import LinearNDInterpolator

from pinwright.drape.cloth import handle
from pinwright.drape.data import Array, Hung, Panel, Whole
from pinwright.drape.draping import Garb, draped, redraped
from pinwright.drape.reading import read as read_all
from pinwright.drape.reading.gap import gaps
from pinwright.drape.reading.judge import judge
from pinwright.drape.reading.levels import Level, levels
from pinwright.drape.reading.places import places
from pinwright.drape.reading.pressure import pressure
from pinwright.drape.reading.regions import level_of, runs_of
from pinwright.drape.reading.strain import strain
from pinwright.figure.figure import Figure
from pinwright.figure.fitting import shape
from pinwright.figure.landmarks import landmarks, vertices
from pinwright.figure.posture import Posture, postured
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction, Form, Options
from pinwright.fitting.ledger import Fitted, fit
from pinwright.workshop.demo import demo_order
from pinwright.workshop.figure import order_figure
from pinwright.workshop.job import Job, run
from pinwright.workshop.order import parse

CLOTH = "wool suiting, middle weight"

CHOICES = (
    ('fit = "loose"', 'fit = "slim"'),
    ('ease = "loose"', 'ease = "slim"'),
    ('back = "yoke"', 'back = "shoulder_dart"'),
    ("back_hem_drop = 1.5", "back_hem_drop = 0.0"),
)
"""What is ordered otherwise than in the demo: garments near enough to the body to show a fault."""

ENOUGH = 0.2
"""The residual that counts as rest here."""

PART = 0.1
"""A sign counts as less when so much of what the feature made is gone."""

GRAM = 980.665
"""A gram's weight, dyn."""

Sign = Callable[[Hung], float]
Feature = Callable[[Figure], Array]


@dataclass(frozen=True, slots=True)
class Case:
    """One correction and the feature it is for.

    sign: what is read, the more the worse; unit: its unit. way: 1 or -1, to which side of the
    catalogue's usual range the amount goes. feature, told: the figure, and how it is said.
    """

    name: str
    garment: str
    told: str
    feature: Feature
    kind: str
    place: str
    way: int
    read: str
    unit: str
    sign: Sign
    component: str = "amount"
    options: Options = field(default_factory=dict)
    form: Form = "next"

    @property
    def amount(self) -> float:
        """The middle of the usual range, of the part of it that goes this way."""
        low, high = entry(self.kind).usual
        if low < 0.0 < high:
            low, high = (0.0, high) if self.way > 0 else (low, 0.0)
        return (low + high) / 2.0

    def correction(self, factor: float = 1.0) -> Correction:
        """The correction, by this many times its amount."""
        return Correction(
            self.kind,
            self.place,
            amounts={self.component: factor * self.amount},
            options=self.options,
            form=self.form,
        )


@dataclass(frozen=True, slots=True)
class Found:
    """What was read in a case, all in its unit.

    own: on the figure the draft was made for (None: not hung); hung: on the figure with the
    feature, as first hung; before: hung once more, as the corrected one is; after: corrected;
    wrong: corrected the wrong way round (None: not tried). residuals: of before and after. blamed:
    what the judge lays to this correction, before and after, see :func:`blamed`. seconds: for all.
    """

    case: str
    amount: float
    unit: str
    own: float | None
    hung: float
    before: float
    after: float
    wrong: float | None
    residuals: tuple[float, float]
    blamed: tuple[float, float]
    seconds: float

    @property
    def present(self) -> bool:
        """Whether the feature made the sign at all."""
        return self.own is None or self.before > self.own

    @property
    def lessened(self) -> bool:
        """Whether the sign is there and is less: by a tenth of what the feature made, and by more
        than it changes when nothing is corrected."""
        made = 0.0 if self.own is None else self.before - self.own
        least = max(abs(self.before - self.hung), PART * made)
        return self.present and self.before - self.after > least


# figures


def shaped(**amounts: float) -> Feature:
    """The client with some of the open body's own changes beside what she has."""

    def made(figure: Figure) -> Array:
        start = shape.start()
        more = start.copy()
        for name, amount in amounts.items():
            more[shape.PARAMETERS.index(name)] += amount
        return _on_the_floor(figure.points + shape.surface(more) - shape.surface(start))

    return made


def stood(**amounts: float) -> Feature:
    """The client standing otherwise: a posture laid over hers."""
    return lambda figure: _on_the_floor(postured(figure.points, Posture(**amounts)))


def low_underarm(by: float, about: float = 6.0) -> Feature:
    """The client with her armpits lower by so many cm, running out over ``about`` cm."""

    def made(figure: Figure) -> Array:
        found = figure.points.copy()
        for side in ("left", "right"):
            pit = figure.points[vertices()[f"armpit_{side}"]]
            apart = np.linalg.norm(figure.points - pit, axis=1)
            found[:, 2] -= by * np.exp(-((apart / about) ** 2))
        return found

    return made


def _on_the_floor(points: Array) -> Array:
    points[:, 2] -= points[:, 2].min()
    return points


def figure_with(figure: Figure, feature: Feature) -> Figure:
    """A figure with the feature, its landmarks found anew."""
    points = feature(figure)
    return replace(figure, points=points, marks=landmarks(points))


# signs


def _panels(hung: Hung, home: str) -> Iterator[tuple[Panel, Whole]]:
    for panel, numbers in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        if panel.home == home:
            yield panel, numbers


def cross_folds(
    level: str, above: float, below: float, middle: str, out: tuple[float, ...]
) -> Sign:
    """Length that lies in cross folds down the back, cm.

    Lines along the grain, so far out from the ``middle`` (an edge or a line of the panel), from
    ``above`` to ``below`` a level: how much longer each is, as seen from the side, than one that is
    drawn taut over it from behind. What lies in the hollow and what stands out in folds counts.
    """

    def read(hung: Hung) -> float:
        found = []
        for panel, numbers in _panels(hung, "back"):
            at = level_of(panel, level)
            assert at is not None
            y = np.arange(at - below, at + above + 1e-9, 0.5)
            where = LinearNDInterpolator(panel.points, hung.points[numbers])
            run = panel.lines[middle] if middle in panel.lines else runs_of(panel, middle)
            run = run[np.argsort(panel.points[run, 1], kind="stable")]
            x = np.interp(y, panel.points[run, 1], panel.points[run, 0])
            side = panel.points[runs_of(panel, "side"), 0].mean()
            way = np.sign(side - x.mean())
            for off in out:
                line = where(np.stack([x + way * off, y], axis=1))
                line = line[np.isfinite(line).all(axis=1)]
                found.append(slack(line[:, 1:]))
        return float(np.mean(found))

    return read


def slack(line: Array) -> float:
    """How much longer a line (k, 2), cm, is than its hull on the side of greater first values."""
    order = [0]
    while order[-1] < len(line) - 1:
        here = line[order[-1]]
        ahead = line[order[-1] + 1 :] - here
        # going up: the next corner of the taut line is the one seen farthest to the back
        order.append(order[-1] + 1 + int(np.argmax(np.arctan2(ahead[:, 0], ahead[:, 1]))))
    taut = np.linalg.norm(np.diff(line[order], axis=0), axis=1).sum()
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum() - taut)


def _level(hung: Hung, name: str) -> list[Level]:
    found = levels(hung, strain(hung))
    return [x for x in (*found.hems, *found.lines) if x.name == name]


def lifted(name: str, here: str, there: tuple[str, ...], way: float = 1.0) -> Sign:
    """How much higher a line lies at one place than at others, against the floor, cm."""

    def read(hung: Hung) -> float:
        found = [
            x.heights[here] - np.mean([x.heights[k] for k in there])  # type: ignore[index]
            for x in _level(hung, name)
        ]
        return way * float(np.mean(found))

    return read


def strained(*names: str) -> Sign:
    """Mean strain across of some places, %."""

    def read(hung: Hung) -> float:
        some = [
            p
            for p in places(hung, strain(hung), gaps(hung).distance, pressure(hung))
            if p.name in names
        ]
        if not some:
            raise KeyError(names)
        area = [p.area for p in some]
        return 100.0 * float(np.average([p.strain_across for p in some], weights=area))

    return read


def shoulder_gap(low: float, high: float) -> Sign:
    """Mean gap at a part of the shoulder seam, its way from the neck taken as 0 to 1, cm."""

    def read(hung: Hung) -> float:
        gap = gaps(hung).distance
        found = []
        for panel, numbers in _panels(hung, "back"):
            run = runs_of(panel, "shoulder")
            x = panel.points[run, 0]
            neck = panel.points[runs_of(panel, "neck"), 0]
            near = neck[np.argmin(np.abs(neck - x.mean()))]
            far = x[np.argmax(np.abs(x - near))]
            part = (x - near) / (far - near)
            some = (part >= low) & (part <= high)
            found += gap[numbers[run[some]]].tolist()
        return float(np.mean(found))

    return read


def pressed(corner: tuple[str, str], within: float) -> Sign:
    """How hard the body presses on the cloth about a corner of pieces, g weight in all.

    corner: two edges of a piece that meet there; about it: all of the shell within so many cm of
    it as it hangs.
    """

    def read(hung: Hung) -> float:
        total = 0.0
        done: set[int] = set()
        for panel, numbers in zip(hung.shell.panels, hung.shell.vertices, strict=True):
            if any(k not in panel.edges for k in corner):
                continue
            both = np.intersect1d(runs_of(panel, corner[0]), runs_of(panel, corner[1]))
            for v in numbers[both]:
                if int(v) in done:
                    continue
                done.add(int(v))
                near = np.linalg.norm(hung.points - hung.points[v], axis=1) < within
                total += float(np.abs(hung.touch[near]).sum()) / GRAM
        return total / max(len(done), 1)

    return read


def neck_above_nape(hung: Hung) -> float:
    """How much higher the centre of the back neck lies than the nape, cm."""
    nape = hung.body.points[vertices()["back_neck_point"], 2]
    found = [
        hung.points[numbers[np.intersect1d(runs_of(panel, "neck"), runs_of(panel, "centre"))], 2]
        for panel, numbers in _panels(hung, "back")
    ]
    return float(np.mean(np.concatenate(found)) - nape)


def gapes(*names: str) -> Sign:
    """Mean gap of some places, cm."""

    def read(hung: Hung) -> float:
        near = gaps(hung).distance
        some = [p for p in places(hung, strain(hung), near, pressure(hung)) if p.name in names]
        return float(np.mean([p.gap for p in some]))

    return read


def blamed(hung: Hung, kind: str) -> float:
    """What the judge lays to a correction: its signs that name it, each over its tolerance."""
    marks = {name: hung.body.points[v] for name, v in vertices().items()}
    signs = judge(read_all(hung, marks))
    return sum(s.amount / s.tolerance for s in signs if any(c.kind == kind for c in s.causes))


SIDES = ("right", "left")

CASES: tuple[Case, ...] = (
    Case(
        "hollow back", "jacket", "loin hollowed 8° more", stood(hollow_back=8.0),
        "hollow_back", "back_waist", 1, "length in cross folds at the back waist", "cm",
        cross_folds("waist", 14.0, 12.0, "centre", (1.0, 3.0, 5.0, 7.0)),
    ),
    Case(
        "erect back", "jacket", "loin hollowed 8° more, upper back 8° flatter",
        stood(hollow_back=8.0, round_back=-8.0),
        "hollow_back", "back_waist", 1, "back neck above the nape", "cm", neck_above_nape,
    ),
    Case(
        "round back", "jacket", "upper back rounded 8° more", stood(round_back=8.0),
        "round_back", "upper_back", 1, "hem lifted behind, against the front", "cm",
        lifted("hem", "back", ("front",)),
    ),
    Case(
        "round back, neck", "jacket", "upper back rounded 8° more", stood(round_back=8.0),
        "round_back", "upper_back", 1, "back neck sunk under the nape", "cm",
        lambda hung: -neck_above_nape(hung),
    ),
    Case(
        "square shoulder", "jacket", "shoulder points 2 cm higher",
        stood(shoulder_left=-2.0, shoulder_right=-2.0),
        "shoulder_slope", "shoulder", -1, "gap at the shoulder seam, half next the neck", "cm",
        shoulder_gap(0.0, 0.5),
    ),
    Case(
        "sloping shoulder", "jacket", "shoulder points 2 cm lower",
        stood(shoulder_left=2.0, shoulder_right=2.0),
        "shoulder_slope", "shoulder", 1, "gap at the shoulder seam, outer half", "cm",
        shoulder_gap(0.5, 1.0),
    ),
    Case(
        "sloping shoulder, neck", "jacket", "shoulder points 2 cm lower",
        stood(shoulder_left=2.0, shoulder_right=2.0),
        "shoulder_slope", "shoulder", 1, "back neck sunk under the nape", "cm",
        lambda hung: -neck_above_nape(hung),
    ),
    Case(
        "bust dart", "jacket", "bust fuller, front arc 3.6 cm longer", shaped(cup=0.2),
        "bust_dart_intake", "bust_dart", 1, "hem lifted in front, against the back", "cm",
        lifted("hem", "front", ("back",)),
    ),
    Case(
        "bust dart, cut cloth", "jacket", "bust fuller, front arc 3.6 cm longer", shaped(cup=0.2),
        "bust_dart_intake", "bust_dart", 1, "hem lifted in front, against the sides", "cm",
        lifted("hem", "front", SIDES), form="cut",
    ),
    Case(
        "bust dart, armhole", "jacket", "bust fuller, front arc 3.6 cm longer", shaped(cup=0.2),
        "bust_dart_intake", "bust_dart", 1, "gap at the front armhole", "cm",
        gapes("armhole, front"),
    ),
    Case(
        "hem level", "jacket", "bust fuller, front arc 3.6 cm longer", shaped(cup=0.2),
        "hem_level", "jacket_hem", 1, "hem lifted in front, against the sides", "cm",
        lifted("hem", "front", SIDES), component="front",
    ),
    Case(
        "jacket side let out", "jacket", "hip girth 11 cm more", shaped(hips_girth=0.6),
        "let_out", "side_seam", 1, "strain across at the hip", "%",
        strained("hip level, front", "hip level, back"),
        options={"from": "hip", "to": "hem"},
    ),
    Case(
        "armhole depth", "jacket", "armpits 2 cm lower", low_underarm(2.0),
        "armhole_depth", "armhole", 1, "pressed within 4 cm of the underarm", "g",
        pressed(("armhole", "side"), 4.0),
    ),
    Case(
        "full seat", "trousers", "seat fuller, back crotch 1.8 cm longer",
        shaped(buttocks_volume=0.8),
        "seat_wedge", "seat", 1, "waist pulled down behind, against the sides", "cm",
        lifted("waist edge", "back", SIDES, -1.0),
    ),
    Case(
        "flat seat", "trousers", "seat flatter, back hip arc 2.8 cm less",
        shaped(buttocks_volume=-0.8),
        "seat_wedge", "seat", -1, "length in cross folds under the seat", "cm",
        cross_folds("crotch", 6.0, 16.0, "crease", (-5.0, -3.0, -1.0, 1.0, 3.0)),
    ),
    Case(
        "back fork", "trousers", "hips deeper, back crotch 1.7 cm longer", shaped(hip_depth=0.4),
        "fork_extension", "back_fork", 1, "strain across at the crotch level, back", "%",
        strained("crotch level, back"),
    ),
    Case(
        "front fork", "trousers", "thigh girth 5.7 cm more", shaped(thigh_girth=1.2),
        "fork_extension", "front_fork", 1, "strain across at the crotch level, front", "%",
        strained("crotch level, front"),
    ),
    Case(
        "trousers side let out", "trousers", "hip girth 7 cm more", shaped(hips_girth=0.4),
        "let_out", "side_seam", 1, "strain across at the hip", "%",
        strained("hip level, front", "hip level, back"),
        options={"from": "hip"},
    ),
    Case(
        "crotch depth", "trousers", "waist 1.5 cm higher over the fork", shaped(hip_stretch=0.3),
        "crotch_depth", "crotch", 1, "pressed within 6 cm of the fork", "g",
        pressed(("centre", "inseam"), 6.0),
    ),
    Case(
        "waistband", "trousers", "worn waist 5 cm more", shaped(waist_girth=0.5),
        "waistband_length", "waistband", 1, "strain across at the waist edge", "%",
        strained("waist edge, front", "waist edge, back"),
    ),
    Case(
        "front rise", "trousers", "stomach 3 cm fuller", shaped(stomach_pregnant=0.3),
        "front_rise", "front_waist", 1, "waist pulled down in front, against the sides", "cm",
        lifted("waist edge", "front", SIDES, -1.0),
    ),
)  # fmt: skip


# hanging


@lru_cache(maxsize=1)
def order() -> Job:
    """The demo's order with our choices, taken through the job."""
    text = demo_order()
    for old, new in CHOICES:
        assert old in text
        text = text.replace(old, new)
    return run(parse(text, Path("order.toml")))


@lru_cache(maxsize=1)
def client() -> Figure:
    """The figure of the demo's client."""
    made = order_figure(order())
    assert made is not None
    return made.figure


def garb(garment: str, more: tuple[Correction, ...] = ()) -> Garb:
    """A garment as drafted, with corrections made through the ledger.

    Raises ValueError where the ledger refuses one.
    """
    g = next(g for g in order().garments if g.style.name == garment)
    fitted: Fitted = fit(g.draft, [*g.before.ledger, *more])
    if fitted.refused:
        raise ValueError(fitted.refused[0].reason)
    return Garb.of(fitted, handle(CLOTH))


def kept(keep: Path | None, name: str, make: Callable[[], object]) -> object:
    """What was made under a name before, or is made now and kept."""
    path = None if keep is None else keep / f"{re.sub(r'[^A-Za-z0-9.+-]+', '_', name)}.pkl"
    if path is not None and path.exists():
        return pickle.loads(path.read_bytes())
    found = make()
    if path is not None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(pickle.dumps(found))
    return found


def tried(
    case: Case, edge: float, keep: Path | None = None, wrong: bool = True, own: bool = True
) -> Found:
    """A case, hung and read.

    edge: sides of triangles, cm. keep: where rests are kept. wrong, own: whether it is hung with
    the correction the wrong way round, and on the figure that the draft was made for.
    """
    began = perf_counter()
    her = kept(keep, "client", client)
    assert isinstance(her, Figure)
    figure = figure_with(her, case.feature)
    plain = garb(case.garment)

    def hang(name: str, make: Callable[[], Hung]) -> Hung:
        found = kept(keep, f"{name} {edge:g}", make)
        assert isinstance(found, Hung)
        return found

    def again(factor: float) -> Hung:
        name = f"{case.garment} {case.told} plain"
        which = plain
        if factor:
            c = case.correction(factor)
            name = f"{case.garment} {case.told} {c.kind} {c.place} {c.form} {dict(c.amounts)}"
            which = garb(case.garment, (c,))
        return hang(name, lambda: redraped(which, start, figure, enough=ENOUGH))

    on_own = (
        hang(f"own {case.garment}", lambda: draped(plain, her, edge=edge, enough=ENOUGH))
        if own
        else None
    )
    start = hang(
        f"{case.garment} {case.told}", lambda: draped(plain, figure, edge=edge, enough=ENOUGH)
    )
    before = again(0.0)
    after = again(1.0)
    other = again(-1.0) if wrong else None
    return Found(
        case.name,
        case.amount,
        case.unit,
        None if on_own is None else case.sign(on_own),
        case.sign(start),
        case.sign(before),
        case.sign(after),
        None if other is None else case.sign(other),
        (before.rest.residual, after.rest.residual),
        (blamed(before, case.kind), blamed(after, case.kind)),
        perf_counter() - began,
    )


def main() -> None:
    """See the module's docstring."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("cases", nargs="*", help="which; else all")
    ask.add_argument("--edge", type=float, default=2.0, help="sides of triangles, cm")
    ask.add_argument("--keep", type=Path, help="folder where rests are kept and found again")
    ask.add_argument("--no-wrong", action="store_true", help="not the wrong way round as well")
    ask.add_argument("--json", action="store_true", help="one line of JSON for each case")
    asked = ask.parse_args()
    known: Mapping[str, Case] = {c.name: c for c in CASES}
    unknown = [name for name in asked.cases if name not in known]
    if unknown:
        sys.exit(f"no case {unknown[0]!r}; there are: {', '.join(known)}")
    if not asked.json:
        heads = ("by", "own", "hung", "before", "after", "wrong")
        print(f"{'case':22}" + "".join(f"{h:>8}" for h in heads) + "  less?")
    for case in [known[name] for name in asked.cases] or CASES:
        try:
            found = tried(case, asked.edge, asked.keep, not asked.no_wrong)
        except ValueError as refused:
            print(json.dumps({"case": case.name, "refused": str(refused)}), flush=True)
            continue
        row = {**asdict(found), "lessened": found.lessened, "read": case.read}
        print(json.dumps(row) if asked.json else _line(case, found), flush=True)


def _line(case: Case, found: Found) -> str:
    """A case as a line of the table."""
    values = (found.own, found.hung, found.before, found.after, found.wrong)
    return (
        f"{found.case:22}{found.amount:+8.2f}"
        + "".join("       -" if v is None else f"{v:8.2f}" for v in values)
        + f"  {'yes' if found.lessened else 'NO':3} judge {found.blamed[0]:.1f} > "
        + f"{found.blamed[1]:.1f}; {case.read}, {case.unit}; {found.seconds:.0f} s"
    )


if __name__ == "__main__":
    main()
