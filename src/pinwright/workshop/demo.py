"""The demo: an invented client's order taken through the whole job, and a page to look at.

Run it as ``python -m pinwright.workshop.demo --out demo-out``.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

from rich.console import Console, Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from pinwright.check.result import Check
from pinwright.cutting.lay.solve import Progress
from pinwright.cutting.sentences import capital
from pinwright.errors import PinwrightError
from pinwright.sheets.moved import Move, sentence
from pinwright.web.checksheet import tally
from pinwright.web.notebook import STATUS
from pinwright.web.page import page
from pinwright.workshop.drape_extra import LACKING, drape_there
from pinwright.workshop.figure import OrderFigure, order_figure, write_figure
from pinwright.workshop.headings import order_heading
from pinwright.workshop.job import Job, run
from pinwright.workshop.lay_files import write_lays
from pinwright.workshop.lay_report import lay_words
from pinwright.workshop.laying import ClothLay
from pinwright.workshop.lays import kept_rows, lays_of
from pinwright.workshop.notes import NoteResult
from pinwright.workshop.order import edited, parse, write_atomically
from pinwright.workshop.told import answer_words, check_words, moves, states
from pinwright.workshop.writing import export_data, write_recut, write_sheets

if TYPE_CHECKING:
    from pinwright.workshop.drape import Hanging

LAY_SECONDS = 20.0
"""Time for laying all cloths of the demo, s."""

SHOWN = 3
"""So many movements of a note are told on the page a cutter reads in the terminal."""

COLOURS = {"made": "green", "short": "red", "asked": "yellow", "refused": "red"}


@dataclass(frozen=True, slots=True)
class Written:
    """What the demo wrote: the job, the files, and how long each step took in s.

    hang_words: how the garments hang, in sentences; hung: what was drawn of them.
    """

    job: Job
    index: Path
    sheets: tuple[Path, ...]
    recut: tuple[Path, ...]
    laid: tuple[Path, ...]
    drawn: tuple[Path, ...]
    hung: tuple[Path, ...]
    hang_words: tuple[str, ...]
    lays: tuple[ClothLay, ...]
    steps: tuple[tuple[str, float], ...]


def demo_order() -> str:
    """The text of the demo's order, found in a checkout and in an installed package alike."""
    return (files("pinwright.workshop") / "demo_order.toml").read_text(encoding="utf-8")


def make(out: Path, say: Callable[[str], None] = lambda _: None) -> Written:
    """Take the demo's order through the whole job into a folder; ``say`` is told each step.

    Raises:
        PinwrightError: the folder cannot be written.
    """
    steps: list[tuple[str, float]] = []
    began = perf_counter()

    def done(what: str) -> None:
        nonlocal began
        now = perf_counter()
        steps.append((what, now - began))
        began = now

    text = demo_order()
    order = out / "order.toml"
    write_atomically(order, text)
    say("Drafting, correcting, truing and checking ...")
    job = run(parse(text, order))
    done("draft, fitting, checks")
    say("Drawing the sheets 1:1 ...")
    sheets = [*write_sheets(job, out / "sheets", "large"), *write_sheets(job, out / "sheets", "a4")]
    done("sheets")
    say("Drawing the recut sheets ...")
    recut = write_recut(job, out / "recut")
    done("recut sheets")
    lays = lays_of(job, LAY_SECONDS, tell=lambda cloth, p: say(_laying(cloth, p)))
    kept = edited(text, order, {"lays": kept_rows(lays)})
    write_atomically(order, kept)
    laid = write_lays(job, lays, out / "lays")
    done("lays")
    say("Making the client's figure ...")
    figure = order_figure(job)
    drawn = [] if figure is None else write_figure(figure, order_heading(job), out / "figure")
    done("figure")
    hangings, hung, hang_words = _drape(job, figure, out / "drape", say)
    done("drape")
    say("Writing the pieces as JSON and the page ...")
    exported = json.dumps(export_data(job), indent=1, ensure_ascii=False) + "\n"
    write_atomically(out / "pieces.json", exported)
    index = out / "index.html"
    every = (*recut, *sheets, *laid, *drawn, *_told_of(hung))
    papers = [(paper_title(p), p.relative_to(out).as_posix()) for p in every]
    papers += [("The pieces (JSON)", "pieces.json"), ("The order (TOML)", "order.toml")]
    write_atomically(index, page(job, papers, lays, figure, [h.looked for h in hangings]))
    done("export and page")
    return Written(
        job,
        index,
        tuple(sheets),
        tuple(recut),
        tuple(laid),
        tuple(drawn),
        tuple(hung),
        tuple(hang_words),
        lays,
        tuple(steps),
    )


def _drape(
    job: Job, figure: OrderFigure | None, folder: Path, say: Callable[[str], None]
) -> tuple[Sequence[Hanging], Sequence[Path], Sequence[str]]:
    """The garments on the figure, where she is shown and the extra for it is installed."""
    if figure is None:
        return (), (), ()
    if not drape_there():
        return (), (), (LACKING,)
    from pinwright.workshop.drape import hang, write_drape
    from pinwright.workshop.drape_words import in_short

    say("Making ready to hang the garments on the figure ...")

    def tell(garment: str, what: str, left: float) -> bool:
        much = f"{left:.1%}" if left < 1.0 else f"{left:.0f} times"
        say(f"On the figure, {garment}: {what}; force left over {much} of a point's weight ...")
        return True

    found = hang(job, figure.figure, tell=tell, rests=folder)
    say("Drawing how it hangs ...")
    written = write_drape(found, order_heading(job), folder)
    return found, written, [in_short(h) for h in found]


def _told_of(hung: Sequence[Path]) -> list[Path]:
    """Of what was drawn of hung garments the sheet and the models; pictures lie beside them."""
    return [p for p in hung if p.suffix in (".pdf", ".glb")]


def _laying(cloth: str, p: Progress) -> str:
    return f"Laying {cloth}: {p.length:.0f} cm after {p.seconds:.0f} s ..."


_PAPER_TITLES = (
    (r"sheets (.+) large", r"\1, pattern on large paper"),
    (r"sheets (.+) a4", r"\1, pattern on A4"),
    (r"recut (.+) recut a4", r"\1, recut on A4"),
    (r"recut (.+) recut", r"\1, recut"),
    (r"lays lay a4", "lays on A4"),
    (r"lays lay (.+) 1to1", r"lay at full size: \1"),
    (r"figure figure (front|back|left|right)", r"figure, \1"),
    (r"drape drape sheet", "how it hangs, sheet"),
    (r"drape (.+)", r"\1 on the figure"),
    (r"\w+ (.+)", r"\1"),
)
"""What a file is called, by its folder and its name; the first that fits."""


def paper_title(path: Path) -> str:
    """What a file beside the page is called on it: "Trousers, recut on A4 (PDF)"."""
    name = f"{path.parent.name} {path.stem.replace('-', ' ')}"
    title = next(re.sub(p, t, name) for p, t in _PAPER_TITLES if re.fullmatch(p, name))
    return f"{capital(title)} ({path.suffix[1:].upper()})"


def told(written: Written) -> Group:
    """What was done, as one page to read in the terminal."""
    job = written.job
    o = job.order
    head = Text()
    head.append(o.client.name, style="bold")
    head.append(f"  order {o.number}" if o.number else "")
    if o.fittings:
        head.append(f"  fitted {o.fittings[-1].date:%-d %B %Y}")
    garments = "; ".join(_garment_words(job, i) for i in range(len(job.garments)))
    taped = len(job.body.given)
    lines: list[object] = [
        head,
        Text(
            f"{garments}. {taped} measures taped, {len(job.body.estimated)} estimated "
            f"(of them in the drafts: {_used(job)})."
        ),
    ]
    lines += [Text(f"Look again: {w.message}", style="yellow") for w in job.warnings]
    lines += [Text(), Text("What was pinned, and what it changed", style="bold"), _notes(job)]
    waiting = [n for n in job.notes if n.status == "short"]
    for n in waiting:
        lines += [Text(), _short(n, job.notes.index(n) + 1)]
    lines += [Text(), Text("Will it sew together", style="bold")]
    lines += [
        Text(
            f"{g.style.name}: before {tally(g.checks_before)}; after {tally(g.checks_after)}"
            f"{_worst(g.checks_after)}"
        )
        for g in job.garments
    ]
    lines += [Text(), Text("On the cloth", style="bold")]
    lines += [Text(lay_words(c, o.client.units)[0]) for c in written.lays]
    if written.hang_words:
        lines += [Text(), Text("How it hangs", style="bold"), *map(Text, written.hang_words)]
    lines += [Text(), _places(written)]
    return Group(*(Padding(x, (0, 0, 0, 1)) for x in lines))  # type: ignore[arg-type]


def _garment_words(job: Job, i: int) -> str:
    g = job.garments[i]
    chosen = ", ".join(
        str(v).replace("_", " ") for k, v in g.spec.choices.items() if isinstance(v, str)
    )
    pieces = len(g.draft.pieces) + len(next(iter(g.made_up.values()), ()))
    name = g.style.name.capitalize() if i == 0 else g.style.name
    return f"{name} ({pieces} pieces; {chosen})"


def _used(job: Job) -> str:
    names = dict.fromkeys(m for g in job.garments for m in g.draft.estimated)
    return ", ".join(n.replace("_", " ") for n in names) or "none"


def _notes(job: Job) -> Table:
    made = states(job)
    table = Table(box=None, show_header=False, padding=(0, 1, 0, 0))
    table.add_column(justify="right", style="dim")
    table.add_column(min_width=24)
    table.add_column(no_wrap=True)
    table.add_column()
    for i, n in enumerate(job.notes):
        moved = moves(n, made.get(i), job) if n.status == "made" else ()
        status = Text(STATUS[n.status].lower(), style=COLOURS.get(n.status, "dim"))
        table.add_row(str(i + 1), f"“{n.text}”", status, _did(n, moved))
    return table


def _did(n: NoteResult, moved: Sequence[Move]) -> str:
    if n.status != "made":
        return "" if n.status == "seen" else answer_words(n)
    pieces = dict.fromkeys(m.title for m in moved)
    first = [sentence(m) for m in moved[:SHOWN]]
    seen = {m.title for m in moved[:SHOWN]}
    rest = [p for p in pieces if p not in seen]
    also = f"; also {', '.join(rest)}" if rest else ""
    return "; ".join(first) + also or n.says


def _short(n: NoteResult, number: int) -> Group:
    lines = [Text(f"{number}: the cloth cannot give “{n.text}”. What it can:", style="bold")]
    for k, r in enumerate(n.remedies, 1):
        short = "" if r.feasible else " (not enough)"
        lines.append(Text(f"  {k}. {r.text}{short}", style="" if r.feasible else "dim"))
    return Group(*lines)


def _worst(checks: Sequence[Check]) -> str:
    found = [c for c in checks if c.verdict != "good"]
    if not found:
        return ""
    return ": " + "; ".join(dict.fromkeys(check_words(c) for c in found))


def _places(written: Written) -> Table:
    root = written.index.parent
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
    table.add_row("recut sheets", ", ".join(str(p) for p in written.recut))
    table.add_row("sheets 1:1", ", ".join(str(p) for p in written.sheets))
    table.add_row("lays", ", ".join(str(p) for p in written.laid))
    table.add_row("figure", ", ".join(str(p) for p in written.drawn))
    if written.hung:
        sheets = [str(p) for p in _told_of(written.hung)]
        table.add_row("how it hangs", f"{', '.join(sheets)}; pictures beside them")
    table.add_row("order, pieces", f"{root / 'order.toml'}, {root / 'pieces.json'}")
    table.add_row(
        Text("look at it", style="bold"),
        Text(
            f"open {written.index} in a browser ({written.index.resolve().as_uri()})", style="bold"
        ),
    )
    took = ", ".join(f"{what} {s:.1f} s" for what, s in written.steps)
    table.add_row(Text("took", style="dim"), Text(took, style="dim"))
    return table


def main(argv: Sequence[str] | None = None) -> int:
    """Run the demo; the exit code is 0, or 2 with one sentence when it cannot."""
    parser = argparse.ArgumentParser(prog="python -m pinwright.workshop.demo", description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("demo-out"), help="folder to write into")
    chosen = parser.parse_args(argv)
    out, err = Console(highlight=False), Console(stderr=True, highlight=False)
    try:
        with err.status("Reading the order ...", spinner="line") as status:
            written = make(chosen.out, status.update)
    except PinwrightError as error:
        err.print(f"pinwright: {error}", markup=False)
        return 2
    out.print(told(written))
    return 0


if __name__ == "__main__":
    sys.exit(main())
