"""The page in a real browser: the script runs, and does what its controls say."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from tests.web.pages import demo_job, demo_page

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="chromium is not on this machine")

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-prefers-reduced-motion",
    "--enable-logging=stderr",
    "--virtual-time-budget=3000",
    "--dump-dom",
)

PROBE = (Path(__file__).parent / "probe.js").read_text(encoding="utf-8")


def visit(folder: Path, width: int) -> dict[str, Any]:
    number = 1 + next(i for i, n in enumerate(demo_job().notes) if n.text.startswith("shoulder"))
    path = folder / "index.html"
    probe = (
        f'<pre id="probe"></pre><script>{PROBE.replace("SHOULDER", str(number))}</script></body>'
    )
    path.write_text(demo_page().replace("</body>", probe), encoding="utf-8")
    done = subprocess.run(
        [str(CHROMIUM), *FLAGS, f"--user-data-dir={folder / 'chromium'}",
         f"--window-size={width},1000", path.as_uri()],
        capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    faults = [x for x in done.stderr.splitlines() if "CONSOLE" in x]
    assert faults == []
    found = re.search(r'<pre id="probe">(.*?)</pre>', done.stdout, re.DOTALL)
    assert found, "the page's script did not come to its end"
    answer: dict[str, Any] = json.loads(unescape(found.group(1)))
    return answer


def test_the_page_works_at_desktop_width(tmp_path: Path) -> None:
    out = visit(tmp_path, 1440)
    assert out["title"].startswith(demo_job().order.client.name)
    assert out["garment"] == "trousers"
    assert out["zoomed"] == pytest.approx(0.7, abs=0.2)
    assert out["panned"] > 1
    assert out["whole"]
    assert out["turned"] == "jacket"
    assert out["pressed"] == "true"
    assert out["basted"] >= 3
    assert out["touched"]
    assert all(t.startswith("right ") for t in out["touched"]), "only the right side was pinned"
    assert "shoulder R" in out["said"]
    assert out["let_go"] == 0
    assert out["before_hidden"] == [0, "false"]
    assert out["before_shown"]
    assert out["left_hidden"] == 0
    assert out["tape"] == "Tape: 12.1 cm."
    shown, count = out["sifted"]
    assert 0 < shown < count
    assert out["sifted_right"]
    assert out["theme"]
    assert out["focusable"]


def test_the_page_fits_a_phone(tmp_path: Path) -> None:
    out = visit(tmp_path, 500)
    assert out["overflow"] <= 0
    assert out["basted"] >= 3
