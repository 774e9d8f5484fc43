"""The demo's job and page, made once for all tests of the page."""

from __future__ import annotations

from functools import cache
from html.parser import HTMLParser
from pathlib import Path

from pinwright.web.page import page
from pinwright.workshop.demo import demo_order
from pinwright.workshop.figure import OrderFigure, order_figure
from pinwright.workshop.job import Job, run
from pinwright.workshop.order import parse

VOID = {"meta", "input", "br", "link", "img", "hr"}


@cache
def demo_job() -> Job:
    return run(parse(demo_order(), Path("order.toml")))


@cache
def demo_page() -> str:
    return page(demo_job(), [("recut", "recut/trousers-recut.pdf")])


@cache
def demo_figure() -> OrderFigure:
    found = order_figure(demo_job())
    assert found is not None
    return found


@cache
def figure_page() -> str:
    return page(demo_job(), figure=demo_figure())


class Reader(HTMLParser):
    """Tags in order with their attributes, text, and every fault of nesting."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.faults: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.texts: list[str] = []
        self.names: list[tuple[str, dict[str, str], str]] = []
        self._inside: list[tuple[str, dict[str, str], list[str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [a for a, _ in attrs]
        if len(names) != len(set(names)):
            self.faults.append(f"<{tag}> repeats an attribute {names}")
        found = {a: v or "" for a, v in attrs}
        self.tags.append((tag, found))
        if tag not in VOID:
            self.open.append(tag)
            self._inside.append((tag, found, []))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {a: v or "" for a, v in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1] != tag:
            self.faults.append(f"</{tag}> closes {self.open[-1:]}")
            return
        self.open.pop()
        name, attrs, words = self._inside.pop()
        self.names.append((name, attrs, " ".join("".join(words).split())))

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("style", "script"):
            self.texts.append(data)
            for _, _, words in self._inside:
                words.append(data)


def read(html: str) -> Reader:
    reader = Reader()
    reader.feed(html)
    reader.close()
    return reader


@cache
def demo_read() -> Reader:
    return read(demo_page())
