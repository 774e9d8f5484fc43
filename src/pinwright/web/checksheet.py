"""The checks as HTML: every number before and after the fitting, by group."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from pinwright.check.result import Check
from pinwright.cutting.sentences import capital
from pinwright.workshop.job import GarmentJob
from pinwright.workshop.told import check_name

TITLES = {
    "seams": "Seams agree, stretch by stretch",
    "darts": "Dart legs agree",
    "run-through": "Lines run through across seams",
    "balance": "Balance lines stayed",
    "outline": "Outlines are whole",
    "curves": "Curves are clean",
    "girths": "Goes round the client",
    "halves": "Right and left agree",
    "lining": "The lining goes in",
    "cloth": "Cloth as cut",
}

VERDICTS = ("good", "look", "wrong")


@dataclass(frozen=True, slots=True)
class Row:
    """A check before and after; one of them is None when it exists only then."""

    side: str
    before: Check | None
    after: Check | None

    @property
    def now(self) -> Check:
        """The later of the two."""
        found = self.after or self.before
        assert found is not None
        return found


def rows(job: GarmentJob) -> tuple[Row, ...]:
    """Checks after the fitting, each with the same check before it; then what is gone."""
    old = {(c.name, c.group, c.where, c.side): c for c in job.checks_before}
    used = set()
    found = []
    for c in job.checks_after:
        key = (c.name, c.group, c.where, c.side)
        both = (c.name, c.group, c.where, "both")
        used |= {key, both}
        found.append(Row(c.side, old.get(key) or old.get(both), c))
    gone = [c for k, c in old.items() if k not in used]
    return tuple(found + [Row(c.side, c, None) for c in gone])


def check_section(job: GarmentJob) -> str:
    """The checks of one garment, a folded table for each group."""
    groups: dict[str, list[Row]] = {}
    for r in rows(job):
        groups.setdefault(r.now.group, []).append(r)
    out = [
        f'<section class="checks" data-garment="{escape(job.style.name)}">'
        f"<h3>{escape(capital(job.draft.title))}</h3>"
    ]
    for name, members in groups.items():
        before = _count([r.before for r in members])
        after = _count([r.after for r in members])
        bad = any(r.after is not None and r.after.verdict != "good" for r in members)
        title = TITLES.get(name, capital(name.replace("_", " ")))
        members = sorted(members, key=lambda r: -VERDICTS.index(r.now.verdict))
        body = "".join(_row(r) for r in members)
        out.append(
            f'<details class="group" data-group="{escape(name)}"{" open" if bad else ""}>'
            f'<summary><span class="title">{escape(title)}</span> '
            f'<span class="tally">{before}</span> <span class="tally now">{after}</span></summary>'
            '<div class="scroll" tabindex="0" role="region" '
            f'aria-label="{escape(title)}, {escape(job.draft.title)}"><table>'
            '<thead><tr><th scope="col">check</th><th scope="col">side</th>'
            '<th scope="col" class="num">before</th><th scope="col" class="num">after</th>'
            '<th scope="col" class="num">should be</th>'
            '<th scope="col">how near</th><th scope="col">verdict</th></tr></thead>'
            f"<tbody>{body}</tbody></table></div></details>"
        )
    return "".join(out) + "</section>"


def tally(checks: Sequence[Check]) -> str:
    """A count in words: "96 good" or "94 good, 1 look, 1 wrong"."""
    found = []
    for v in VERDICTS:
        n = sum(c.verdict == v for c in checks)
        if n or v == "good":
            found.append(f"{n} {v}")
    return ", ".join(found)


def _count(checks: Sequence[Check | None]) -> str:
    # one before the fitting may stand beside the right one and the left one after it
    there = list({id(c): c for c in checks if c is not None}.values())
    return tally(there) if there else "–"


def _row(r: Row) -> str:
    c = r.now
    unit = {"cm": "cm", "deg": "°"}.get(c.unit, c.unit)
    places = 2 if c.unit in ("cm", "deg") else 0
    target = {
        "near": f"{_told(c.target, places)} ± {c.tolerance:g} {unit}",
        "least": f"at least {_told(c.target, places)} {unit}",
        "most": f"{_told(c.target, places)} or fewer",
    }[c.bound].strip()
    text = f"{check_name(c)} {c.name} {c.side} {c.group} {c.says}".lower()
    changed = (
        r.before is None or r.after is None or abs(r.before.value - r.after.value) > 5 * 10**-places
    )
    side = "" if c.side == "both" else c.side

    def value(x: Check | None) -> str:
        return "–" if x is None else _told(x.value, places)

    tip = f' title="{escape(c.says)}"' if c.says else ""
    return (
        f'<tr data-v="{c.verdict}" data-t="{escape(text)}"{" data-c" if changed else ""}>'
        f'<th scope="row"{tip}>{escape(capital(check_name(c)))}</th><td>{side}</td>'
        f'<td class="num">{value(r.before)}</td><td class="num">{value(r.after)}</td>'
        f'<td class="num">{escape(target)}</td>'
        f"<td>{_gauge(r) if c.bound == 'near' else ''}</td>"
        f'<td class="{c.verdict}">{c.verdict}</td></tr>'
    )


def _told(value: float, places: int) -> str:
    """A number so fine; nothing less than nothing, however slight."""
    return f"{round(value, places) + 0.0:.{places}f}"


def _gauge(r: Row) -> str:
    """Where before (ring) and after (dot) stand within the tolerance, the band from −1 to 1."""
    out = []
    for kind, c in (("b", r.before), ("a", r.after)):
        if c is None:
            continue
        share = c.off / c.tolerance if c.tolerance > 0 else (0.0 if c.off == 0 else 2.0)
        place = 50.0 + 33.0 * max(-1.4, min(1.4, share))
        out.append(f'<i class="{kind}" style="left:{place:.0f}%"></i>')
    return f'<span class="gauge" aria-hidden="true">{"".join(out)}</span>'
