"""The fitting in words, and what the reports print, read as a cutter reads them."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from rich.console import Console

from pinwright.check.result import Check, judged
from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import all_entries
from pinwright.measures import TERMS
from pinwright.sheets.changes import regions
from pinwright.sheets.moved import between, sentence
from pinwright.sheets.words import FittingWords
from pinwright.workshop.fitting_words import fitting_words
from pinwright.workshop.job import Job, run
from pinwright.workshop.order import parse, validate
from pinwright.workshop.report import (
    check_table,
    correction_text,
    fitting_page,
    measures_table,
    moved_words,
)
from pinwright.workshop.taken import as_passed
from pinwright.workshop.told import check_words, moves, note_lines, states
from pinwright.workshop.writing import drawings, export_data, heading, write_recut
from tests.web.pages import demo_job

BODY = {"height": 168, "bust_girth": 92, "waist_girth": 74.5, "hip_girth": 99}
PROGRAM = re.compile(
    r"_|\bhem in\b|front edge edge|dart dart|back back|front front|centre front:|"
    r"above hip: .* (?:less|more)|sleeve pitch"
)
"""Words of the program that a cutter should never meet."""


def words(style: str, job: Job | None = None) -> FittingWords:
    job = job or demo_job()
    g = next(g for g in job.garments if g.style.name == style)
    return fitting_words(job, g, drawings(job, g))


def order(*notes: str | dict[str, Any], style: str = "trousers") -> Job:
    lines = [n if isinstance(n, dict) else {"text": n} for n in notes]
    data = {
        "format": 1,
        "client": {"name": "Test"},
        "measures": BODY,
        "garments": [{"style": style}],
        "fittings": [{"date": "2027-02-03", "notes": lines}],
    }
    return run(validate(data, Path("o.toml")))


def test_notes_of_the_other_garment_stand_on_its_own_page() -> None:
    trousers, jacket = words("trousers"), words("jacket")
    assert any("hem R up 1.5" in t for _, t in trousers.pinned)
    assert not any("hem R up 1.5" in t for _, t in jacket.pinned)
    assert any("bust dart" in t for _, t in jacket.pinned)
    assert not any("bust dart" in t for _, t in trousers.pinned)
    for part in ("collar to stand", "yoke lies well"):
        assert any(part in t for _, t in jacket.pinned)
        assert not any(part in t for _, t in trousers.pinned), "trousers have none"
    both = [replace(n, text="stands with her weight on the left") for n in demo_job().notes[:1]]
    for style in ("trousers", "jacket"):
        assert len(words(style, replace(demo_job(), notes=tuple(both))).pinned) == 1
    for n in demo_job().notes:
        pages = [w for w in (trousers, jacket) if any(n.text in u.text for u in w.not_done)]
        if n.status in ("short", "asked") and n.garment:
            assert len(pages) == 1


def test_nothing_is_said_twice() -> None:
    kept = [u.text for u in words("jacket").not_done if "kept as text" in u.text.lower()]
    assert kept
    assert all(t.lower().count("kept as text") == 1 for t in kept)
    for style in ("trousers", "jacket"):
        assert not any(t.startswith("2027-") for _, t in words(style).pinned)
    h = heading(demo_job(), demo_job().garments[0])
    assert f"{h.fitting}, {h.date}".count("2027-02-03") == 1


def test_options_stand_under_their_own_note_with_those_that_do_not_do() -> None:
    (short,) = [n for n in demo_job().notes if n.status == "short"]
    (own,) = [u for u in words("trousers").not_done if short.text in u.text]
    assert len(own.options) == len(short.remedies) > 1
    for option, remedy in zip(own.options, short.remedies, strict=True):
        assert remedy.text in option
        assert ("(not enough)" in option) != remedy.feasible
    (asked,) = [u for u in words("trousers").not_done if "more room over seat" in u.text]
    assert len(asked.options) >= 2
    number = int(asked.text.partition(".")[0])
    assert dict(words("trousers").pinned)[number].startswith("more room over seat")


def test_a_note_has_the_number_that_it_has_on_the_page() -> None:
    """Of the notes of both garments, those withdrawn counted too."""
    job = demo_job()
    given = {n.text for n in job.notes}
    for style in ("trousers", "jacket"):
        found = words(style).pinned
        assert found
        for number, text in found:
            assert text == job.notes[number - 1].text
            given.discard(text)
    assert not given
    before = replace(job.notes[0], status="withdrawn")
    later = words("jacket", replace(job, notes=(before, *job.notes)))
    assert later.pinned == tuple((k + 1, t) for k, t in words("jacket").pinned)


def test_what_it_changed_is_the_change_that_results() -> None:
    """Up 2 and down 2 again is no change; up 2 and down 0.5 is up 1.5."""
    nothing = words("trousers", order("hem up 2", "hem down 2"))
    assert nothing.changed == ()
    some = dict(words("trousers", order("hem up 2", "hem down 0.5")).changed)
    assert set(some) == {"Front", "Back"}
    assert all("hem: 1.5 up" in t for t in some.values())
    assert not any("2.0" in t or "0.5" in t for t in some.values())


def test_only_what_this_garment_has_and_the_fitting_touched_is_to_be_checked() -> None:
    trousers = " ".join(words("trousers").check_next).lower()
    for part in ("sleeve", "collar", "armhole", "lining", "turn-up", "yoke"):
        assert part not in trousers
    assert "bag" in trousers
    assert "bag" not in " ".join(words("trousers", order("hem up 2")).check_next).lower()


def test_every_movement_is_told_in_the_same_words_everywhere() -> None:
    job = demo_job()
    made = states(job)
    page = fitting_page(job)
    for i, n in enumerate(job.notes):
        lines = tuple(sentence(m) for m in moves(n, made.get(i), job))
        assert note_lines(job, n) == lines
        for line in lines:
            assert not PROGRAM.search(line), line
            assert line[0].islower()
            assert (line in page) == (n.status == "made")
        for side, m in n.changes:
            assert not PROGRAM.search(moved_words(side, m)), moved_words(side, m)
    for g in job.garments:
        assert all(not PROGRAM.search(sentence(m)) for m in between(g.before, g.after))
    assert any("0.4 down at the tip" in line for line in page.splitlines())


def test_a_longer_pocket_opening_is_cut_anew_and_nothing_is_missing(tmp_path: Path) -> None:
    job = order("pocket opening 2 longer")
    assert [n.status for n in job.notes] == ["made"]
    w = words("trousers", job)
    assert {"pocket bag", "pocket bearer"} <= set(w.cut_anew)
    text = "".join(p.extract_text() for p in PdfReader(write_recut(job, tmp_path)[0]).pages)
    assert "CLOTH IS MISSING" not in text
    assert "Cut anew" in text
    assert "pocket bag" in text


def test_where_the_note_says_cloth_is_missing_the_sheet_says_so_too(tmp_path: Path) -> None:
    note: dict[str, Any] = {"text": "back rise 2 longer"}
    short = order(note)
    assert short.notes[0].status == "short"
    before = "".join(p.extract_text() for p in PdfReader(write_recut(short, tmp_path)[0]).pages)
    assert "CLOTH IS MISSING" not in before, "nothing was changed"
    taken = order(note | {"remedy": "piece_on"})
    assert taken.notes[0].status == "made", taken.notes[0].says
    after = "".join(p.extract_text() for p in PdfReader(write_recut(taken, tmp_path)[0]).pages)
    worst = max(x.missing for _, _, x in taken.notes[0].shortfalls)
    told = re.findall(r"CLOTH IS MISSING at the (\w+)[^:]*: (\S+) cm", after.replace("\n", " "))
    assert told == [("waist", f"{worst:.1f}")]


def test_estimates_are_named_on_the_sheet_and_in_the_export(tmp_path: Path) -> None:
    job = demo_job()
    for g, data in zip(job.garments, export_data(job)["garments"], strict=True):
        assert data["estimated"] == list(g.draft.estimated) != []
        named = heading(job, g).estimated
        assert named == tuple(m.replace("_", " ") for m in g.draft.estimated)
    text = PdfReader(write_recut(job, tmp_path)[0]).pages[0].extract_text().replace("\n", " ")
    assert f"Estimated, not taped: {', '.join(heading(job, job.garments[0]).estimated)}." in text


def test_the_garment_is_not_called_loose_when_it_is_not() -> None:
    data = parse(
        'format = 1\n[client]\nname = "T"\n[measures]\nheight = 168\nbust_girth = 92\n'
        'waist_girth = 74.5\nhip_girth = 99\n[[garments]]\nstyle = "jacket"\n'
        '[garments.choices]\nease = "slim"\n',
        Path("o.toml"),
    )
    job = run(data)
    assert "loose" not in heading(job, job.garments[0]).garment.lower()


def printed(job: Job) -> str:
    console = Console(width=160, record=True, file=open("/dev/null", "w"))  # noqa: SIM115
    check_table(job, console)
    return console.export_text()


def test_the_worst_is_told_only_where_something_is_not_good() -> None:
    job = order("hem up 1")
    assert all(c.verdict == "good" for c in job.checks)
    assert "worst" not in printed(job)
    bad = judged("waist", "girths", "waist", 76.4, 76.0, 0.2)
    (g,) = job.garments
    text = printed(replace(job, garments=(replace(g, checks_after=(*g.checks_after, bad)),)))
    assert "worst" in text
    assert "wrong: waist: 76.40 cm, should be 76.00 ± 0.2 cm" in text


def test_a_curve_is_told_by_its_waves() -> None:
    c = Check("Front, side: changes of bend", "curves", "front", 5.0, 2.0, 0.0, "look", unit="")
    assert check_words(c) == "waves along the front side: 5, expected 2 or fewer"
    c = judged("cloth as cut suffices", "cloth", "trousers", 1.6, 0.0, 0.05)
    assert check_words(c) == "cloth is missing: 1.6 cm, expected none"
    c = Check("trouser back, seat: smooth", "curves", "back", 1.44, 0.0, 1.0, "look", unit="deg")
    assert check_words(c) == "break along the back seat: 1.4°, expected 1° or less"


@pytest.mark.parametrize("kind", sorted(all_entries()))
def test_a_correction_is_a_page_to_read(kind: str) -> None:
    e = all_entries()[kind]
    text = correction_text(kind)
    flat = " ".join(text.split())
    assert all(len(line) <= 100 for line in text.splitlines())
    for part in (e.plus, *e.signs, *e.sources, *e.companions):
        assert " ".join(part.split()) in flat
    assert f"{e.limit[0]:g} to {e.limit[1]:g}" in flat


def test_an_unknown_correction_has_no_page() -> None:
    with pytest.raises(CorrectionError):
        correction_text("no_such_correction")


def test_measures_are_a_table() -> None:
    console = Console(width=200, record=True, file=open("/dev/null", "w"))  # noqa: SIM115
    console.print(measures_table())
    text = console.export_text()
    for t in TERMS.values():
        (row,) = [x for x in text.splitlines() if x.startswith(f"{t.name} ")]
        assert f"{t.low:g} to {t.high:g}" in row
        assert all(g in row for g in t.garments[:1])


@pytest.mark.parametrize(
    ("remedy", "told"),
    [
        ("pass_up", "pass the trouser back up by 1.1 cm"),
        ("piece_on", "piece on a strip 2.7 cm wide and"),
    ],
)
def test_a_remedy_that_was_taken_is_told_with_its_size(remedy: str, told: str) -> None:
    """Back rise 1.5 longer, 1 there and 0.6 least: 1.1 lacks at the waist."""
    job = order({"text": "back rise 1.5 cm longer", "remedy": remedy})
    rows = dict(words("trousers", job).changed)
    assert rows["Back, cloth was missing"].startswith("waist: ")
    assert told in rows["Back, cloth was missing"]


def test_a_piece_passed_up_is_not_trimmed_where_nothing_was_asked() -> None:
    """The cloth of the seat above the fork goes up with the piece; only the waist was let out."""
    job = order({"text": "back rise 1.5 cm longer", "remedy": "pass_up"})
    g = job.garments[0]
    pieces = as_passed(drawings(job, g), job, g)
    (back,) = [d for d in pieces if d.piece.name == "back"]
    assert [r.kind for r in regions(back)] == ["use"]
    assert (
        "1.1 cm lower on the cloth"
        in dict(words("trousers", job).changed)["Back, cloth was missing"]
    )
    # cloth taken off a seam that was taken in is still trimmed
    job = order(
        {"text": "back rise 1.5 cm longer", "remedy": "pass_up"},
        {"text": "take in inseam 1 cm", "meant": "edge"},
    )
    g = job.garments[0]
    (back,) = [d for d in as_passed(drawings(job, g), job, g) if d.piece.name == "back"]
    trimmed = {r.where for r in regions(back) if r.kind == "trim"}
    assert "the inseam" in trimmed
    assert not any("seat" in where or "waist" in where for where in trimmed)


@pytest.mark.parametrize(
    ("style", "notes", "told"),
    [
        ("trousers", ("let out side seam 1 cm per edge front only",), True),
        (
            "trousers",
            (
                "let out side seam 1 cm per edge front only",
                "let out side seam 1 cm per edge back only",
            ),
            False,
        ),
        ("jacket", ("let out side seam 1 cm per edge front only",), False),
    ],
)
def test_the_crease_is_told_of_where_one_edge_of_a_leg_moved_further(
    style: str, notes: tuple[str, ...], told: bool
) -> None:
    job = order(*notes, style=style)
    assert {n.status for n in job.notes} == {"made"}
    assert any("crease" in t for t in words(style, job).check_next) is told
