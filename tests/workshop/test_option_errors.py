"""A wrong command line is refused like all else: one sentence with the value, exit code 2."""

from __future__ import annotations

import subprocess
import sys

import pytest

from pinwright.cli import app, guarded


def refused(capsys: pytest.CaptureFixture[str], *args: str) -> str:
    assert guarded(lambda: app(list(args), prog_name="pinwright", standalone_mode=False)) == 2
    said = capsys.readouterr()
    assert said.out == ""
    return said.err


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("lay", "o.toml", "--seconds", "0"), "--seconds is 0; it must be 1 or more."),
        (("lay", "o.toml", "--seconds", "40000"), "--seconds is 40000; it must be 36000 or less."),
        (("lay", "o.toml", "--seconds", "soon"), "--seconds is 'soon'; it must be a number."),
        (("batch", "--limit", "2.5"), "--limit is '2.5'; it must be a whole number."),
        (("lay", "o.toml", "--second", "3"),
         "There is no option --second. Did you mean --seconds?"),
        (("lay", "o.toml", "--zzz"),
         "There is no option --zzz. `pinwright lay --help` lists them."),
        (("lay",), "ORDER is missing; `pinwright lay --help` says what the command takes."),
        (("lay", "o.toml", "more"),
         "'more' is more than `pinwright lay` takes; see `pinwright lay --help`."),
        (("lay", "o.toml", "--out"), "Option '--out' requires an argument."),
        (("drap",), "No such command 'drap'."),
    ],
)  # fmt: skip
def test_it_is_one_sentence_with_the_value(
    capsys: pytest.CaptureFixture[str], args: tuple[str, ...], says: str
) -> None:
    assert refused(capsys, *args).startswith(f"pinwright: {says}")


def test_the_installed_command_says_so_and_ends_with_2() -> None:
    start = "from pinwright.cli import main; main()"
    wrong, help_, none = (
        subprocess.run(
            [sys.executable, "-c", start, *args], capture_output=True, text=True, check=False
        )
        for args in (["lay", "o.toml", "--seconds", "0"], ["lay", "--help"], [])
    )
    assert (wrong.returncode, wrong.stdout) == (2, "")
    assert wrong.stderr == "pinwright: --seconds is 0; it must be 1 or more.\n"
    assert (help_.returncode, help_.stderr) == (0, "")
    assert "--seconds" in help_.stdout
    assert none.returncode == 2
    assert "bring-in" in none.stdout + none.stderr
