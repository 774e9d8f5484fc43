"""What is wrong with a command line, in one sentence with the value that was given."""

from __future__ import annotations

import re
from typing import Any

import typer

from pinwright.errors import meant

UsageError: type[Exception] = typer.BadParameter.__mro__[1]
"""Typer's error of any wrong command line, in whichever package it has it."""

_ALLOWED = {
    "greater_than_equal": "{ge:g} or more",
    "less_than_equal": "{le:g} or less",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_parsing": "a number",
}
_MORE = re.compile(r"Got unexpected extra arguments?(?:\(s\))? \((.*)\)")


def usage_words(error: Any) -> str:
    """The sentence of a :data:`UsageError`."""
    kind, param = type(error).__name__, getattr(error, "param", None)
    command = error.ctx.command_path if error.ctx is not None else "pinwright"
    if kind == "MissingParameter" and param is not None:
        return f"{_name(param)} is missing; `{command} --help` says what the command takes."
    if kind == "NoSuchOption":
        params = error.ctx.command.params if error.ctx is not None else []
        known = [o[2:] for p in params for o in p.opts if o.startswith("--")]
        said = error.option_name
        near = meant(said.lstrip("-"), known).replace("mean ", "mean --")
        hint = near or f" `{command} --help` lists them."
        return f"There is no option {said}.{hint}"
    if param is not None and (found := _fault(error.__cause__)) is not None:
        return f"{_name(param)} is {found}."
    more = _MORE.match(error.message)
    if more is not None:
        return f"{more[1]!r} is more than `{command}` takes; see `{command} --help`."
    return f"{error.format_message().rstrip('.')}."


def _name(param: Any) -> str:
    """What a parameter is called on the command line: "--seconds", "ORDER"."""
    options = [o for o in param.opts if o.startswith("--")]
    return str(options[0] if options else param.metavar or param.name)


def _fault(cause: Any) -> str | None:
    """The value and what it may be, where the reason is one of a number's."""
    if not hasattr(cause, "errors"):
        return None
    first = cause.errors()[0]
    allowed = _ALLOWED.get(first["type"])
    if allowed is None:
        return None
    value = first["input"] if "{" in allowed else repr(first["input"])
    return f"{value}; it must be {allowed.format(**first.get('ctx', {}))}"
