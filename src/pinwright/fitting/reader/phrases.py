"""Tokens to words of the trade: amounts first, then the tiling of the rest by known phrases."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pinwright.fitting.reader.amounts import NUMBER_WORDS, Amount, amount_at
from pinwright.fitting.reader.tokens import Token, tokenise
from pinwright.fitting.reader.words import LONGEST, Tag, marks_of

_UNKNOWN_COST = 100
_LEVEL_TOO = frozenset({"crotch", "thigh", "hem"})  # subjects that end a stretch, after "to"
# Units and marks that change a number into something the reader does not work in.
_OTHER_UNITS = frozenset(
    {"±", "°", "%", "degree", "degrees", "deg", "percent", "finger", "fingers", "thumb", "ply",
     "m", "metre", "metres", "meter", "meters", "foot", "feet", "ft", "yard", "yards", "dm", "x",
     "times", "stitch", "stitches", "notch", "notches", "size", "sizes", "squared", "pairs",
     "finish", "finished", "finishing", "final"}
)  # fmt: skip


@dataclass(frozen=True)
class Word:
    """One marked piece of the line; ``prep`` is the preposition before a noun, if any."""

    tag: Tag
    value: str
    start: int
    end: int
    amount: Amount | None = None
    prep: str | None = None
    numeric: bool = False  # an unknown piece that carries a number


def read_words(line: str) -> tuple[Word, ...]:
    """The line as words, in order. Every token is in exactly one piece.

    Phrases are chosen so that the fewest pieces stay unknown, then the fewest pieces are used;
    of equals the one with the longest first phrase. So "R side seam" is R + side seam, not
    "R side" + something unknown.
    """
    tokens = tokenise(line)
    words: list[Word] = []
    i = 0
    run: list[Token] = []
    while i < len(tokens):
        found = amount_at(tokens, i)
        if found is not None:
            words.extend(_tile(run))
            run = []
            amount, i = found
            words.append(Word("amount", "", amount.start, amount.end, amount=amount))
        else:
            run.append(tokens[i])
            i += 1
    words.extend(_tile(run))
    return tuple(_attach_prepositions(_join_decimal_ranges(words)))


def _tile(run: list[Token]) -> list[Word]:
    n = len(run)
    best: list[tuple[int, int]] = [(0, 0)] * (n + 1)  # cost from i on, length of first phrase
    for i in range(n - 1, -1, -1):
        choices = [(_UNKNOWN_COST + best[i + 1][0], -1)]
        for size in range(1, min(LONGEST, n - i) + 1):
            if marks_of(_phrase(run[i : i + size])) is not None:
                choices.append((1 + best[i + size][0], -size))
        cost, size = min(choices)
        known = marks_of(_phrase(run[i : i - size])) is not None
        best[i] = (cost, -size if known else 0)
    out: list[Word] = []
    i = 0
    while i < n:
        size = best[i][1]
        if size == 0:
            token = run[i]
            numeric = token.sort == "bad_number" or token.text in NUMBER_WORDS - {"point"}
            numeric = numeric or token.sort in {"number", "fraction", "sign"}
            numeric = numeric or token.text in _OTHER_UNITS
            out.append(Word("unknown", token.text, token.start, token.end, numeric=numeric))
            i += 1
            continue
        said = _phrase(run[i : i + size])
        for tag, value in marks_of(said) or ():
            out.append(Word(tag, value or said, run[i].start, run[i + size - 1].end))
        i += size
    return out


def _phrase(tokens: list[Token]) -> str:
    return " ".join("?number" if t.sort == "bad_number" else t.text for t in tokens)


def _begin(out: list[Word]) -> None:
    """The noun just before "to the hip" is where it begins: "knee to hem"."""
    last = out[-1] if out else None
    if last is None or last.prep not in {None, "at", "from"}:
        return
    nouns = sum(w.tag == "subject" for w in out)
    if last.tag == "level" or (last.value in _LEVEL_TOO and nouns > 1):
        out[-1] = replace(last, tag="level", prep="from")


def _join_decimal_ranges(words: list[Word]) -> list[Word]:
    """ "1 to 1.5" and "1 or 1.5" are not one amount: make them one unknown piece."""
    out: list[Word] = []
    for word in words:
        if word.tag == "amount" and len(out) >= 2 and out[-2].tag == "amount" and _makes_range(out):
            between = len(out) >= 3 and out[-3].value == "between"
            first = out[-3] if between else out[-2]
            del out[-3 if between else -2 :]
            out.append(Word("unknown", "range", first.start, word.end, numeric=True))
        else:
            out.append(word)
    return out


def _makes_range(out: list[Word]) -> bool:
    link = out[-1]
    if link.value == "or" or (link.tag == "prep" and link.value == "to"):
        return True
    return link.value in {"and", "&"} and len(out) >= 3 and out[-3].value == "between"


def _attach_prepositions(words: list[Word]) -> list[Word]:
    """Give each noun the preposition before it; one with no noun after it stays unknown."""
    out: list[Word] = []
    prep: Word | None = None
    for word in words:
        if word.tag == "prep":
            if prep is not None and prep.value not in {"at"}:
                out.append(replace(prep, tag="unknown"))
            prep = word
        elif prep is None:
            out.append(word)
        elif word.tag in {"subject", "level", "part"}:
            ends = prep.value in {"to", "taper"}
            if ends and word.value in _LEVEL_TOO:
                word = replace(word, tag="level")
            if ends and word.tag == "level":
                _begin(out)
            out.append(replace(word, prep=prep.value))
            prep = None
        elif word.tag == "fill" or (word.tag in {"side", "garment"}):
            out.append(word)
        else:
            if prep.value not in {"at", "from"}:  # "shorten to 58" is a measure, not a change
                out.append(replace(prep, tag="unknown", numeric=prep.value == "to"))
            out.append(word)
            prep = None
    if prep is not None and prep.value not in {"at"}:
        out.append(replace(prep, tag="unknown"))
    return out
