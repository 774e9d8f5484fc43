"""One file, whole, no network; everything of the order on it, legible in both looks."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from html import escape
from importlib.resources import files

import pytest

from pinwright.cutting.sentences import capital
from pinwright.measures import TERMS
from pinwright.measures.units import format_length
from pinwright.web.checksheet import check_section
from pinwright.web.page import page
from pinwright.workshop.told import check_name, check_words
from tests.web.pages import demo_job, demo_page, demo_read, read


def test_it_is_well_formed() -> None:
    found = demo_read()
    assert found.faults == []
    assert found.open == []
    assert demo_page().startswith("<!DOCTYPE html>")


def test_a_tag_left_open_would_be_found() -> None:
    assert read(demo_page().replace("</section>", "", 1)).faults


def test_it_asks_nothing_of_the_network() -> None:
    text = demo_page().replace('"http://www.w3.org/2000/svg"', "")
    assert not re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}", text, re.IGNORECASE)
    assert "url(" not in re.sub(r'url\(["\']?#[\w-]+["\']?\)', "", text)
    for tag, attrs in demo_read().tags:
        assert tag not in ("link", "iframe", "object", "embed", "img", "base"), tag
        for a in ("src", "href", "action", "srcset", "poster", "data"):
            if a in attrs:
                assert not re.match(r"[a-z]+:|//", attrs[a]), (tag, attrs)
    policy = [a["content"] for t, a in demo_read().tags if a.get("http-equiv")]
    assert policy
    assert policy[0].startswith("default-src 'none'")


def test_it_is_under_2_mb() -> None:
    assert len(demo_page().encode()) < 2_000_000


def test_every_id_is_unique_and_every_reference_has_its_id() -> None:
    tags = demo_read().tags
    ids = [a["id"] for _, a in tags if "id" in a]
    assert len(ids) == len(set(ids))
    for _, a in tags:
        for ref in ("aria-labelledby", "aria-describedby"):
            for name in a.get(ref, "").split():
                assert name in ids
        if a.get("href", "").startswith("#"):
            assert a["href"][1:] in ids


def test_every_control_has_a_name() -> None:
    for tag, attrs, text in demo_read().names:
        if tag in ("button", "a", "summary"):
            assert text or attrs.get("aria-label"), attrs
    labels = " ".join(t for tag, _, t in demo_read().names if tag == "label")
    assert "Find" in labels


def test_every_note_is_there_with_its_status() -> None:
    job = demo_job()
    cards = {
        a["data-note"]: (a["class"].split(), text)
        for tag, a, text in demo_read().names
        if tag == "li" and "data-note" in a
    }
    assert len(cards) == len(job.notes)
    for i, n in enumerate(job.notes):
        kind, text = cards[str(i + 1)]
        assert n.status in kind
        assert n.text in text
        for r in n.remedies:
            assert (r.text in text) == (n.status == "short")


def test_every_measure_is_there_and_estimates_are_marked_with_their_error() -> None:
    job = demo_job()
    rows = {}
    for tag, a, text in demo_read().names:
        if tag == "div" and "m" in a.get("class", "").split():
            rows[text.split("≈")[0].replace("used in the draft", "").strip()] = (a["class"], text)
    assert len(job.body.given) >= 25
    for name, e in job.body.estimated.items():
        label = TERMS[name].label
        kind, text = rows[label[:1].upper() + label[1:]]
        assert "est" in kind.split()
        if TERMS[name].unit == "cm":
            assert f"≈ {format_length(e.value)} ± {format_length(e.standard_error)}" in text
    assert sum("est" in kind.split() for kind, _ in rows.values()) == len(job.body.estimated)
    text = " ".join(demo_read().texts)
    assert "R 22.5° L 20.5°" in text


def test_every_check_is_there_before_and_after() -> None:
    job = demo_job()
    rows = [a for t, a in demo_read().tags if t == "tr" and "data-v" in a]
    assert len(rows) >= sum(len(g.checks_after) for g in job.garments)
    names = {t for tag, a, t in demo_read().names if tag == "th" and a.get("scope") == "row"}
    every = [c for g in job.garments for c in (*g.checks_before, *g.checks_after)]
    assert {capital(check_name(c)) for c in every} <= names
    assert "Waves along the front side" in names
    assert not any("changes of bend" in n for n in names)


@pytest.mark.parametrize("number", [0, 1])
def test_the_sections_of_the_checks_add_up_and_no_row_is_there_twice(number: int) -> None:
    g = demo_job().garments[number]
    section = check_section(g)
    tallies = re.findall(r'<span class="tally(?: now)?">([^<]*)</span>', section)
    for told, every in ((tallies[0::2], g.checks_before), (tallies[1::2], g.checks_after)):
        sums = Counter[str]()
        for n, verdict in re.findall(r"(\d+) (\w+)", ", ".join(told)):
            sums[verdict] += int(n)
        assert sums == Counter(c.verdict for c in every)
    rows = [
        re.sub(r' title="[^"]*"', "", row).partition('<td class="num">')[0]
        for row in re.findall(r"<tr data-v.*?</tr>", section)
    ]
    names = [
        (re.findall(r'<th scope="row">(.*?)</th>', r)[0], r.rpartition("<td>")[2]) for r in rows
    ]
    assert len(rows) == len(names) == len(set(names))
    assert not [n for n, _ in names if re.search(r"\b(\w+) \1\b", n, re.IGNORECASE)]
    # what one leg or sleeve measures says which
    for one in ("Side length", "Inside leg", "Thigh", "Sleeve length", "Upper arm"):
        sides = [side for name, side in names if name == one]
        assert sides in ([], ["right</td>", "left</td>"])


def test_what_there_must_be_enough_of_is_asked_for_at_least() -> None:
    for g in demo_job().garments:
        section = check_section(g)
        every = [c for c in g.checks_after if c.group == "room" or "below the body" in c.name]
        assert every
        for c in every:
            row = next(
                r
                for r in re.findall(r"<tr data-v.*?</tr>", section)
                if f">{escape(capital(c.name))}</th>" in r
            )
            assert f">at least {c.target:.2f} cm</td>" in row
            assert check_words(c).endswith(f"should be at least {c.target:.2f} cm")
        assert "at most" not in section


def test_what_a_note_moved_can_be_pointed_at_on_the_drawing() -> None:
    drawn: set[str] = set()
    side = ""
    for _, a in demo_read().tags:
        if "data-piece" in a:
            side = a["data-side"]
        if "data-k" in a:
            drawn.add(f"{side}|{a['data-k']}".replace(" ", "~"))
    for tag, a in demo_read().tags:
        if tag == "li" and "made" in a.get("class", "").split():
            assert set(a["data-moves"].split()) & drawn, a["id"]


def test_what_people_wrote_is_shown_as_text_not_as_markup() -> None:
    job = demo_job()
    bad = '<script>alert("x")</script>&\'$title'
    order = job.order.model_copy(
        update={"client": job.order.client.model_copy(update={"name": bad, "remark": bad})}
    )
    notes = (replace(job.notes[0], text=bad), *job.notes[1:])
    found = read(page(replace(job, order=order, notes=notes)))
    assert found.faults == []
    assert sum(tag == "script" for tag, _ in found.tags) == 1
    assert sum(bad in t for t in found.texts) >= 3


def _luminance(colour: str) -> float:
    rgb = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    lin = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in rgb]
    return 0.2126 * lin[0] + 0.7152 * lin[1] + 0.0722 * lin[2]


def contrast(a: str, b: str) -> float:
    """WCAG 2.2 contrast ratio of two colours."""
    x, y = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (x + 0.05) / (y + 0.05)


def _looks() -> dict[str, dict[str, str]]:
    css = (files("pinwright.web") / "page.css").read_text(encoding="utf-8")
    blocks = {
        "paper": css[css.index(":root{") :],
        "cloth": css[css.index(":root[data-look=cloth]{") :],
        "system dark": css[css.index(":root:not([data-look=paper]){") :],
    }
    out: dict[str, dict[str, str]] = {}
    for name, block in blocks.items():
        body = block[: block.index("}")]
        full = re.sub(r"#([0-9a-f])([0-9a-f])([0-9a-f])(?=[;\s])", r"#\1\1\2\2\3\3", body)
        out[name] = dict(re.findall(r"--([\w-]+):(#[0-9a-f]{6})(?=;|\s)", full))
    return out


def test_the_dark_look_is_the_same_chosen_or_by_system() -> None:
    looks = _looks()
    assert looks["cloth"] == looks["system dark"]


@pytest.mark.parametrize("look", ["paper", "cloth"])
def test_text_and_lines_stand_out(look: str) -> None:
    c = _looks()[look]
    for ink in ("ink", "soft", "good", "look", "wrong"):
        for ground in ("ground", "card", "sheet"):
            assert contrast(c[ink], c[ground]) >= 4.5, (ink, ground)
    for line in ("now", "was", "thread", "edge"):
        for ground in ("card", "sheet"):
            assert contrast(c[line], c[ground]) >= 3.0, (line, ground)
    assert contrast(c["now"], c["sheet"]) >= 10
    assert contrast(c["chip-on-ink"], c["chip-on"]) >= 4.5
    assert contrast(c["pin-ink"], c["pin-made"]) >= 4.5
    assert contrast(c["pin-ink"], c["pin-short"]) >= 4.5
    assert contrast(c["tape-ink"], c["tape"]) >= 4.5
    assert contrast(c["focus"], c["card"]) >= 3.0
