"""Names of parametrised tests: short, and the same in every run and worker."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from pinwright.fitting.correction import Correction


def pytest_make_parametrize_id(config: pytest.Config, val: object, argname: str) -> str | None:
    """A correction by what it says; sets and mappings in sorted order."""
    if isinstance(val, Correction):
        amounts = " ".join(f"{k}{v:+g}" for k, v in val.amounts.items())
        options = " ".join(f"{k}={v}" for k, v in sorted(val.options.items()))
        return " ".join(filter(None, (val.kind, val.place, val.side, amounts, options, val.form)))
    if isinstance(val, set | frozenset):
        return "+".join(sorted(map(str, val)))
    if isinstance(val, Mapping):
        return "+".join(sorted(map(str, val)))
    if isinstance(val, tuple | list) and val and not isinstance(val[0], str | float | int):
        return argname
    return None
