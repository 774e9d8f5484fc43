"""The command line: draft, note, recut, check, lay, sheets, export, and the catalogues."""

from __future__ import annotations

import json
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from pinwright import __version__
from pinwright.errors import PinwrightError
from pinwright.measures.units import format_length
from pinwright.usage import UsageError, usage_words

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Made-to-measure cutting that follows the pins.",
)
out = Console(highlight=False)
err = Console(stderr=True, highlight=False)

OrderPath = Annotated[Path, typer.Argument(metavar="ORDER", help="the order (TOML or JSON)")]
AsJson = Annotated[bool, typer.Option("--json", help="print JSON for other programs")]
OutDir = Annotated[Path, typer.Option("--out", help="folder to write into")]


def _say_json(data: Any) -> None:
    sys.stdout.write(json.dumps(data, indent=2, ensure_ascii=False, default=str) + "\n")


def _load(path: Path) -> Any:
    """Run an order."""
    from pinwright.workshop.job import run
    from pinwright.workshop.order import load

    order = load(path)
    with err.status("Drafting, correcting, truing and checking ...", spinner="line"):
        job = run(order)
    for sentence in job.remarks:
        err.print(sentence)
    return job


def _tell_idle(job: Any) -> None:
    """Say which cloths of an order nothing is cut from."""
    from pinwright.workshop.stock import idle_words

    for sentence in idle_words(job):
        err.print(sentence, markup=False)


def _freeze(path: Path, job: Any) -> None:
    """Keep the drafts of a job in its order, for from now on it may be cut.

    Called last, so that a command that fails leaves the order as it was; what was frozen meanwhile
    stays.
    """
    from pinwright.workshop.freezing import frozen_text
    from pinwright.workshop.order import parse, read_text, write_atomically

    text = read_text(path)
    order = job.order.model_copy(update={"frozen": parse(text, path).frozen})
    kept = frozen_text(text, path, order, job.body)
    if kept != text:
        write_atomically(path, kept)


@app.command()
def draft(
    order: OrderPath,
    as_json: AsJson = False,
    redo: Annotated[bool, typer.Option("--redo", help="draft anew and freeze again")] = False,
) -> None:
    """Draft the garments and freeze the draft in the order."""
    from pinwright.workshop import order as doc
    from pinwright.workshop.freezing import as_cut, drafted, frozen_text, stale
    from pinwright.workshop.job import body_of
    from pinwright.workshop.report import finished_measures, sided

    text = doc.read_text(order)
    parsed = doc.parse(text, order)
    body, odd = body_of(parsed)
    changed = frozen_text(text, order, parsed, body, redo)
    now = doc.parse(changed, order)
    rows = []
    old: list[str] = []
    for spec in now.garments:
        style, choices, garment, corrections = drafted(now, spec, body)
        was = spec.style in parsed.frozen and not redo
        rows.append((style, choices, as_cut(garment, corrections), was))
        old += stale(garment, body) if was else ()
    if changed != text:
        doc.write_atomically(order, changed)
    unit = parsed.client.units
    if as_json:
        _say_json(
            {
                "garments": [
                    {
                        "style": s.name,
                        "choices": c,
                        "frozen_before": was,
                        "pieces": [p.name for p in f.garment.pieces],
                        "targets": {
                            name: round(sum(values) / len(values), 2)
                            for name, values in finished_measures(f).items()
                        },
                        "estimated": list(f.garment.estimated),
                    }
                    for s, c, f, was in rows
                ],
                "warnings": [*(w.message for w in odd), *old],
            }
        )
        return
    for sentence in old:
        out.print(sentence)
    for w in odd:
        out.print(f"Look again: {w.message}")
    for _, _, f, was in rows:
        g = f.garment
        out.print(
            f"[bold]{g.title.capitalize()}[/bold]  ({'as frozen' if was else 'drafted and frozen'})"
        )
        table = Table("piece", "cut", "edges", box=None, padding=(0, 2))
        for p in g.pieces:
            table.add_row(p.title, p.cut, ", ".join(e.name for e in p.edges))
        out.print(table)
        out.print(
            "Finished: "
            + "; ".join(
                f"{name.replace('_', ' ')} {sided([format_length(v, unit) for v in values])}"
                for name, values in finished_measures(f).items()
            )
        )
        if g.estimated:
            out.print(
                "Estimated, not taped: " + ", ".join(t.replace("_", " ") for t in g.estimated)
            )


@app.command()
def note(
    order: OrderPath,
    text: Annotated[str, typer.Argument(help='what was pinned, as said: "hem R up 1.5"')],
    on: Annotated[str, typer.Option("--date", help="date of the fitting, YYYY-MM-DD")] = "",
    garment: Annotated[str, typer.Option(help="which garment, when the line does not say")] = "",
    meant: Annotated[str, typer.Option(help="how the amount is meant (fold, removed, ...)")] = "",
    remedy: Annotated[str, typer.Option(help="the option taken where cloth is missing")] = "",
    withdraw: Annotated[bool, typer.Option(help="leave this line out from now on")] = False,
    as_json: AsJson = False,
) -> None:
    """Write a line of the fitting into the order and say how it is understood.

    The same line again amends it: with its meaning, the option taken, or withdrawn.
    """
    from pinwright.errors import OrderError
    from pinwright.workshop import order as doc
    from pinwright.workshop.freezing import frozen_text
    from pinwright.workshop.job import run

    try:
        day = date.fromisoformat(on) if on else date.today()
    except ValueError as error:
        raise OrderError(f"--date is {on!r}; it must be a date such as 2026-03-04.") from error
    if not text.strip() and not withdraw:
        raise OrderError("The note is empty; write what was pinned, as it was said.")
    original = doc.read_text(order)
    parsed = doc.parse(original, order)
    if garment and garment not in {g.style for g in parsed.garments}:
        raise OrderError(
            f"--garment is {garment!r}; this order has "
            f"{', '.join(g.style for g in parsed.garments)}."
        )
    row = {
        "date": day,
        "text": text,
        "garment": garment,
        "meant": meant,
        "remedy": remedy,
        "withdrawn": withdraw,
    }
    changed = doc.edited(original, order, {"note": row})
    result = run(doc.parse(changed, order))
    changed = frozen_text(changed, order, doc.parse(changed, order), result.body)
    mine = [n for n in result.notes if n.text == text and n.on == day]
    doc.write_atomically(order, changed)
    from pinwright.workshop.report import note_data
    from pinwright.workshop.told import note_lines

    if as_json:
        _say_json({"notes": [note_data(n) for n in mine]})
        return
    for n in mine:
        out.print(f"[bold]{n.status}[/bold]  {n.says}")
        for line in note_lines(result, n):
            out.print(f"  {line}")
        for r in n.remedies:
            out.print(f"  option {r.kind}{'' if r.feasible else ' (not enough)'}: {r.text}")


@app.command()
def recut(order: OrderPath, to: OutDir = Path("recut"), as_json: AsJson = False) -> None:
    """Replay the fitting on the draft and write the recut sheets."""
    from pinwright.workshop.report import note_data
    from pinwright.workshop.writing import write_recut

    job = _load(order)
    files = write_recut(job, to)
    _freeze(order, job)
    if as_json:
        _say_json(
            {
                "notes": [note_data(n) for n in job.notes],
                "changed": {g.style.name: g.changed for g in job.garments},
                "files": [str(f) for f in files],
            }
        )
        return
    from pinwright.workshop.report import fitting_page

    out.print(fitting_page(job))
    for f in files:
        out.print(f"written: {f}")


@app.command()
def check(order: OrderPath, as_json: AsJson = False) -> None:
    """Check every garment before and after the fitting; exit 1 when something is wrong."""
    from pinwright.workshop.report import check_data, check_table

    job = _load(order)
    wrong = [c for c in job.checks if c.verdict == "wrong"]
    if as_json:
        _say_json(check_data(job))
    else:
        check_table(job, out)
    if wrong:
        raise typer.Exit(1)


@app.command()
def export(
    order: OrderPath,
    form: Annotated[str, typer.Option("--as", help="json or svg")] = "json",
    to: Annotated[Path | None, typer.Option("--out", help="file or folder to write")] = None,
) -> None:
    """Export the corrected pieces for measuring with other tools."""
    from pinwright.errors import OrderError
    from pinwright.workshop.writing import export_data, write_svg

    if form not in ("json", "svg"):
        raise OrderError(f"--as is {form!r}; it may be json or svg.")
    job = _load(order)
    if form == "svg":
        for f in write_svg(job, to or Path("svg")):
            out.print(f"written: {f}")
        return
    data = export_data(job)
    if to is None:
        _say_json(data)
    else:
        from pinwright.workshop.order import write_atomically

        write_atomically(to, json.dumps(data, ensure_ascii=False, indent=1))
        out.print(f"written: {to}")


@app.command()
def sheets(
    order: OrderPath,
    to: OutDir = Path("sheets"),
    form: Annotated[str, typer.Option("--as", help="pdf, svg or dxf")] = "pdf",
    paper: Annotated[str, typer.Option(help="large, a4, a3 or letter")] = "large",
    as_json: AsJson = False,
) -> None:
    """Write the corrected pieces at full size, and the lay where one is kept in the order."""
    from pinwright.errors import OrderError
    from pinwright.workshop.writing import PAPERS, TILED, write_sheets_as

    if form not in ("pdf", "svg", "dxf"):
        raise OrderError(f"--as is {form!r}; it may be pdf, svg or dxf.")
    if paper not in PAPERS:
        raise OrderError(f"--paper is {paper!r}; it may be {', '.join(PAPERS)}.")
    job = _load(order)
    files = write_sheets_as(job, to, form, paper)
    if form != "dxf":
        from pinwright.workshop.lay_files import write_lays
        from pinwright.workshop.lays import kept_lays

        forms = ("svg",) if form == "svg" else ("scale", "strip")
        lays, left_out = kept_lays(job)
        for sentence in left_out:
            err.print(sentence, markup=False)
        files += write_lays(job, lays, to, TILED.get(paper, "a4"), forms)
        _keep_lays(order, lays, others=True)
    _freeze(order, job)
    if as_json:
        _say_json({"files": [str(f) for f in files]})
        return
    for f in files:
        out.print(f"written: {f}")


@app.command()
def lay(
    order: OrderPath,
    seconds: Annotated[float, typer.Option(min=1, max=36000, help="time to lay in")] = 20.0,
    again: Annotated[
        bool, typer.Option("--again", help="lay anew what is kept, but not cut")
    ] = False,
    to: Annotated[Path | None, typer.Option("--out", help="folder for the drawings")] = None,
    what_if: Annotated[
        bool,
        typer.Option(
            "--what-if",
            help="other widths, no reserve, one way: what they cost (takes as long again)",
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Lay the pieces on the cloth and keep the lay in the order.

    A kept lay is reopened as it was. Ctrl-C ends the search and keeps the best found so far. Exit
    code 1 says that there is too little cloth; the lay is kept and drawn all the same.
    """
    from pinwright.errors import OrderError
    from pinwright.measures.amounts import needed
    from pinwright.workshop.lay_files import write_lays
    from pinwright.workshop.lay_report import lay_words, lays_data
    from pinwright.workshop.lays import SomeLaidError, lays_of
    from pinwright.workshop.need import data as need_data
    from pinwright.workshop.need import needs
    from pinwright.workshop.need import words as need_words
    from pinwright.workshop.writing import folder_for

    if not seconds > 0.0:
        raise OrderError(f"--seconds is {seconds:g}; it may be 1 or more.")
    job = _load(order)
    _tell_idle(job)
    if to is not None:
        folder_for(to)  # before any time is spent
    unit = job.order.client.units
    with _stoppable() as stop, err.status("Laying the pieces ...", spinner="line") as status:

        def tell(cloth: str, p: Any) -> None:
            if p.length is not None:
                status.update(
                    f"{escape(cloth)}: {needed(p.length, unit)} after {p.seconds:.0f} s "
                    "(Ctrl-C keeps it)"
                )

        wrong: SomeLaidError | None = None
        try:
            found = lays_of(job, seconds, again, tell, stop)
        except SomeLaidError as error:  # what was laid is kept and told all the same
            found, wrong = error.lays, error
    _keep_lays(order, found, others=wrong is not None)
    files = [] if to is None else write_lays(job, found, to)
    if wrong is None:
        _freeze(order, job)
    changes = _what_if(job, found, seconds) if what_if else {}
    need = needs(job, {c.stock.key: c.lays for c in found}, changes)
    if as_json:
        _say_json(
            {
                "lays": lays_data(found),
                "need": [need_data(n, unit) for n in need],
                "files": [str(f) for f in files],
            }
        )
    by_cloth = {n.stock.key: n for n in need}
    for c in found if not as_json else ():
        n = by_cloth[c.stock.key]
        first, *rest = lay_words(c, unit)
        out.print(f"[bold]{escape(first)}[/bold]")
        for sentence in (*rest, *need_words(n, unit)):
            out.print(f"  {escape(sentence)}")
    for f in files if not as_json else ():
        out.print(f"written: {f}")
    if wrong is not None:
        raise wrong
    if any(c.short for c in found):
        raise typer.Exit(1)


def _keep_lays(order: Path, lays: Any, others: bool = False) -> None:
    """Keep lays in the order, unless it keeps them so already."""
    from pinwright.workshop.lays import kept_text
    from pinwright.workshop.order import read_text, write_atomically

    text = read_text(order)
    kept = kept_text(text, order, lays, others)
    if kept != text:
        write_atomically(order, kept)


def _what_if(job: Any, lays: Any, seconds: float) -> dict[str, Any]:
    """What would change the need of each cloth, in about so many seconds; Ctrl-C ends it."""
    from pinwright.cutting.lay.solve import solve
    from pinwright.workshop.need import changes_of, time_shares

    found: dict[str, Any] = {}
    shares = time_shares(lays, seconds)
    with _stoppable() as stop, err.status("Other cloths and lays ...", spinner="line") as status:
        for c in lays:
            known = found.setdefault(c.stock.key, [])
            share = shares[c.stock.key]
            for change in changes_of(job, c.stock, lambda t, f: solve(t, f, share, stop=stop)):  # noqa: B023
                if stop():  # its runs were cut short: no comparison
                    return found
                known.append(change)
                status.update(f"{escape(c.stock.key)}: {escape(change.what)} is known ...")
    return found


@app.command("figure")
def figure_command(
    order: OrderPath,
    to: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="where pictures and mesh go")
    ] = None,
    paper: Annotated[str, typer.Option(help="of the sheets: a4 or letter")] = "a4",
    mark_photo: Annotated[
        bool,
        typer.Option("--mark-photo", help="write the page for marking photographs, no figure"),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """The client's figure: pictures, a mesh, and every measure beside the record's."""
    from pinwright.errors import OrderError
    from pinwright.workshop.figure import figure_data, figure_words, write_figure
    from pinwright.workshop.writing import TILED

    if paper not in ("a4", "letter"):
        raise OrderError(f"--paper is {paper!r}; it may be a4 or letter.")
    if mark_photo:
        # before the order is read: a wrong mark may be why it is refused
        page = _photo_page(to or order.parent / "figure")
        if as_json:
            _say_json({"files": [str(page)]})
        else:
            out.print(f"written: {page}; open it in a browser.")
        return
    found, heading = _figure(order)
    unit = heading.unit
    files = write_figure(found, heading, to or order.parent / "figure", TILED[paper])
    if as_json:
        _say_json({**figure_data(found), "files": [str(f) for f in files]})
        return
    for line in figure_words(found, unit):
        out.print(escape(line))
    for f in files:
        out.print(f"written: {f}")


def _figure(path: Path) -> Any:
    """The figure of an order and the heading of its sheets; without ease where nothing drafts."""
    from pinwright.errors import OrderError, PinwrightError
    from pinwright.workshop.figure import body_figure, order_figure
    from pinwright.workshop.headings import client_heading, order_heading
    from pinwright.workshop.job import figure_body_of, run
    from pinwright.workshop.order import parse, read_text

    order = parse(read_text(path), path)
    body, odd = figure_body_of(order)
    with err.status("The figure ...", spinner="line") as status:

        def tell(part: float) -> None:
            status.update(f"The figure: {part:.0%} ...")

        try:
            job = run(order)
        except PinwrightError as trouble:
            told = [*(f"Look again: {w.message}" for w in odd), f"Without ease: {trouble}"]
            found, heading = body_figure(order, body, told, (), tell), client_heading(order)
        else:
            for sentence in job.remarks:
                err.print(sentence)
            found, heading = order_figure(job, tell), order_heading(job)
    if found is None:
        raise OrderError(_no_figure(bool(body.values)))
    return found, heading


def _no_figure(measured: bool) -> str:
    """Why an order has no figure."""
    if not measured:
        return "No figure: the order has no measures."
    return (
        "No figure: the order says figure.shown = false, as the client wished. Pictures written "
        "before are still where they were: delete them."
    )


def _photo_page(folder: Path) -> Path:
    from pinwright.sheets.writing import write_whole
    from pinwright.web.photo_page import photo_page

    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "photo-marks.html"
    write_whole(path, photo_page().encode())
    return path


@app.command("need")
def need_command(order: OrderPath, as_json: AsJson = False) -> None:
    """Estimate the cloth from height, bust, waist and hip alone, before anything is drafted."""
    from pinwright.workshop.need import data, needs, words

    job = _load(order)
    _tell_idle(job)
    unit = job.order.client.units
    found = needs(job)
    if as_json:
        _say_json({"need": [data(n, unit) for n in found]})
        return
    for n in found:
        out.print(f"[bold]{escape(n.stock.key)}[/bold]")
        for sentence in words(n, unit):
            out.print(f"  {escape(sentence)}")


@app.command("bring-in")
def bring_in(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="SVG, DXF or a photograph")],
    names: Annotated[Path | None, typer.Option("--names", help="the file of names")] = None,
    to: Annotated[Path | None, typer.Option("--out", help="where to write")] = None,
    square: Annotated[
        float | None, typer.Option("--square", help="side of the square in the photograph, cm")
    ] = None,
    unit: Annotated[str | None, typer.Option("--unit", help="unit of the drawing")] = None,
    client: Annotated[str, typer.Option("--client", help="whose order it becomes")] = "brought in",
    as_json: AsJson = False,
) -> None:
    """Bring in an old paper pattern: outlines first, pieces and an order once they are named."""
    from pinwright.bringin.ordering import bring_in_command

    lines, data = bring_in_command(file, names, to, square, unit, client=client)
    if as_json:
        _say_json(data)
        return
    for line in lines:
        out.print(line, markup=False)


@app.command()
def baste(order: OrderPath, as_json: AsJson = False) -> None:
    """The plan of the basting for the fitting: what is cut, traced, basted, and left open."""
    from pinwright.workshop.basting_words import plan_of, words

    job = _load(order)
    plans = [plan_of(g) for g in job.garments]
    if as_json:
        _say_json({"garments": [p.as_data() for p in plans]})
        return
    for p in plans:
        for sentence in words(p, job.order.client.units):
            out.print(sentence, markup=False)


@contextmanager
def _stoppable() -> Iterator[Callable[[], bool]]:
    """Within, Ctrl-C asks to stop instead of stopping; a second one stops at once."""
    asked = False

    def ask(number: int, frame: object) -> None:
        nonlocal asked
        if asked:
            raise KeyboardInterrupt
        asked = True

    before = signal.signal(signal.SIGINT, ask)
    try:
        yield lambda: asked
    finally:
        signal.signal(signal.SIGINT, before)


@app.command("drape")
def drape_command(
    order: OrderPath,
    pose: Annotated[str, typer.Option(help="standing, arms-raised, step or sitting")] = "standing",
    garment: Annotated[str | None, typer.Option(help="which garment (without it: all)")] = None,
    state: Annotated[
        str, typer.Option("--as", help="fitted: as the fitting left it; cut: as cut before it")
    ] = "fitted",
    to: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="where pictures and rests go")
    ] = None,
    again: Annotated[bool, typer.Option("--again", help="hang anew what is kept")] = False,
    paper: Annotated[str, typer.Option(help="of the sheet: a4 or letter")] = "a4",
    on: Annotated[
        str,
        typer.Option(
            help="processor, card (graphics card) or quickest: a card where it is quicker"
        ),
    ] = "quickest",
    as_json: AsJson = False,
) -> None:
    """Hang the garments on the client's figure: what pulls, gapes, swings, and why it may.

    A garment that is kept as it hung is reopened. Ctrl-C keeps and shows it as far as it hangs.
    """
    from pinwright.errors import OrderError
    from pinwright.workshop.drape_extra import asked_for_drape, settle_on
    from pinwright.workshop.writing import TILED

    for option, value, allowed in (
        ("--pose", pose, ("standing", "arms-raised", "step", "sitting")),
        ("--as", state, ("fitted", "cut")),
        ("--paper", paper, ("a4", "letter")),
        ("--on", on, ("quickest", "processor", "card")),
    ):
        if value not in allowed:
            *some, last = allowed
            raise OrderError(f"{option} is {value!r}; it may be {', '.join(some)} or {last}.")
    asked_for_drape()
    settle = settle_on(on)  # type: ignore[arg-type]
    from pinwright.workshop.drape import drape_data, hang, write_drape
    from pinwright.workshop.drape_words import drape_words
    from pinwright.workshop.figure import order_figure
    from pinwright.workshop.headings import order_heading

    job = _load(order)
    styles = [g.style.name for g in job.garments]
    if garment is not None and garment not in styles:
        raise OrderError(f"--garment is {garment!r}; this order has {', '.join(styles)}.")
    wanted = styles if garment is None else [garment]
    with err.status("The figure ...", spinner="line"):
        figure = order_figure(job)
    if figure is None:
        raise OrderError(_no_figure(bool(job.body.values)))
    folder = to or order.parent / "drape"
    with _stoppable() as stop, err.status("Making ready to hang ...", spinner="line") as status:
        tell = _hanging(status, stop)
        found = hang(
            job,
            figure.figure,
            pose,  # type: ignore[arg-type]
            wanted,
            state,  # type: ignore[arg-type]
            tell,
            folder,
            again,
            settle=settle,
        )
        status.update("Drawing the pictures and the sheet ...")
        files = write_drape(found, order_heading(job), folder, TILED[paper])
    if as_json:
        _say_json(drape_data(found, pose, files))  # type: ignore[arg-type]
        return
    for style, line in drape_words(job, figure, found, wanted):
        out.print(line, style=style, markup=False)
    for f in files:
        out.print(f"written: {f}")


def _hanging(status: Any, stop: Callable[[], bool]) -> Callable[[str, str, float], bool]:
    """Shows how far a garment is, and passes on that the work is to be stopped."""
    stage, step = ("", ""), 0

    def tell(garment: str, what: str, left: float) -> bool:
        nonlocal stage, step
        stage, step = (garment, what), step + 1 if stage == (garment, what) else 1
        much = f"{left:.1%}" if left < 1.0 else f"{left:.0f} times"
        status.update(
            f"{escape(garment)}: {what}, step {step}; force left over {much} of a point's weight "
            "(Ctrl-C keeps it as it is)"
        )
        return not stop()

    return tell


@app.command("next")
def next_order(
    order: OrderPath,
    to: Annotated[Path, typer.Option("--out", help="file of the new order")] = Path("next.toml"),
    garment: Annotated[str, typer.Option(help="style of the next garment")] = "",
    as_json: AsJson = False,
) -> None:
    """Start the next order from what this one taught about the figure."""
    from pinwright.workshop.carried import carried_rows, carried_words
    from pinwright.workshop.writing import write_next

    job = _load(order)
    path = write_next(job, to, garment)
    words = carried_words(job, carried_rows(job))
    if as_json:
        _say_json({"files": [str(path)], "says": list(words)})
        return
    for sentence in words:
        out.print(sentence, markup=False)
    out.print(f"written: {path}")


@app.command()
def styles(as_json: AsJson = False) -> None:
    """List the styles, their choices and the measures they use."""
    from pinwright.workshop.report import styles_data

    data = styles_data()
    if as_json:
        _say_json(data)
        return
    for s in data:
        out.print(f"[bold]{s['name']}[/bold]  {s['title']}. {s['summary']}")
        table = Table(box=None, padding=(0, 2))
        for name in ("choice", "default"):  # whole, to be copied
            table.add_column(name, no_wrap=True)
        for name in ("may be", ""):
            table.add_column(name, overflow="fold")
        for c in s["choices"]:
            table.add_row(c["name"], str(c["default"]), c["may_be"], c["help"])
        out.print(table)


@app.command()
def corrections(
    kind: Annotated[str, typer.Argument(help="one kind, or all")] = "", as_json: AsJson = False
) -> None:
    """List the corrections: amounts, ranges, places, sources."""
    from pinwright.workshop.report import correction_text, corrections_data

    data = corrections_data(kind)
    if as_json:
        _say_json(data)
        return
    if kind:
        out.print(correction_text(kind), markup=False)
        return
    table = Table(box=None, padding=(0, 1))
    table.add_column("correction", no_wrap=True)
    for name in ("plus", "usual", "limit", "places"):
        table.add_column(name, overflow="fold")
    for e in data:
        table.add_row(
            e["kind"],
            e["plus"],
            f"{e['usual'][0]:g} to {e['usual'][1]:g}",
            f"{e['limit'][0]:g} to {e['limit'][1]:g} {e['unit']}",
            ", ".join(e["places"]),
        )
    out.print(table)


@app.command()
def measures(as_json: AsJson = False) -> None:
    """List the body measures: how to tape them, their range, which garments need them."""
    from pinwright.workshop.report import measures_data, measures_table

    if as_json:
        _say_json(measures_data())
        return
    out.print(measures_table())


@app.command()
def batch(
    orders: Annotated[list[Path] | None, typer.Argument(metavar="ORDER...")] = None,
    bodies: Annotated[str, typer.Option(help="bdims: the open data set's women")] = "",
    limit: Annotated[int, typer.Option(min=0, help="at most so many (0: all)")] = 0,
    as_json: AsJson = False,
) -> None:
    """Draft and check many orders, or the open data set's bodies."""
    from pinwright.workshop.batch import over_bodies, over_orders

    if bodies and bodies != "bdims":
        from pinwright.errors import OrderError

        raise OrderError(f"--bodies is {bodies!r}; the one data set is bdims.")
    rows = over_bodies(limit, err) if bodies else over_orders(orders or [], err)
    wrong = [r for r in rows if r["status"] != "good"]
    if as_json:
        _say_json({"rows": rows, "count": len(rows), "not_good": len(wrong)})
    else:
        for r in wrong:
            out.print(f"{r['name']}: {r['status']}: {r['says']}")
        out.print(f"{len(rows)} drafted and checked, {len(wrong)} not good.")
        if bodies:
            out.print(
                "These bodies have no taped trunk lengths and no true bust: this proves that "
                "drafting is robust, not that the garments fit."
            )
    if wrong:
        raise typer.Exit(1)


def _version(show: bool) -> None:
    if show:
        out.print(f"pinwright {__version__}")
        raise typer.Exit()


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="print the version")
    ] = False,
) -> None:
    """Made-to-measure cutting that follows the pins."""


def guarded(run: Callable[[], Any]) -> int:
    """Run the command line; an error becomes one sentence on stderr and exit code 2."""
    try:
        code = run()
    except UsageError as error:
        if type(error).__name__ != "NoArgsIsHelpError":  # the help was printed already
            err.print(f"pinwright: {usage_words(error)}", markup=False, soft_wrap=True)
        return 2
    except PinwrightError as error:
        err.print(f"pinwright: {error}", markup=False, soft_wrap=True)
        return 2
    except OSError as error:
        where = error.filename2 or error.filename or "A file"
        err.print(
            f"pinwright: {where} cannot be read or written ({error.strerror}).",
            markup=False,
            soft_wrap=True,
        )
        return 2
    except SystemExit as error:
        return error.code if isinstance(error.code, int) else 1
    except KeyboardInterrupt:
        err.print("pinwright: stopped.")
        return 130
    return code if isinstance(code, int) else 0


def main() -> None:
    """Entry point of the ``pinwright`` command."""
    sys.exit(guarded(lambda: app(standalone_mode=False)))
