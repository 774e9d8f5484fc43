"""A real browser driven as a person drives it: Chromium over the DevTools protocol's pipe.

Messages are JSON, each ended by a zero byte, on the browser's file descriptors 3 and 4
(``--remote-debugging-pipe``): nothing but the standard library is needed.
"""

from __future__ import annotations

import fcntl
import json
import os
import select
import shutil
import signal
from base64 import b64decode
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic, sleep
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--remote-debugging-pipe",
    "about:blank",
)

KEYS = {
    "ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40, "Enter": 13, "Delete": 46,
    "Tab": 9, "Home": 36,
}  # fmt: skip
ALT, CTRL, SHIFT = 1, 2, 8


class Tab:
    """One page of the browser. ``faults`` are its console's errors and uncaught exceptions."""

    def __init__(self, to: int, back: int) -> None:
        self._to, self._back = to, back
        self._rest = b""
        self._number = 0
        self._session = ""
        self.faults: list[str] = []
        self.dialogs: list[str] = []
        self.agree = True
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)[
            "sessionId"
        ]
        for domain in ("Page", "Runtime", "DOM"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        """A command of the protocol, and its answer."""
        self._number += 1
        mine = self._number
        self._send(method, params, mine)
        while True:
            message = self._read()
            if message.get("id") == mine:
                assert "error" not in message, (method, message["error"])
                found: dict[str, Any] = message["result"]
                return found
            self._heard(message)

    def _send(self, method: str, params: dict[str, Any], number: int) -> None:
        told: dict[str, Any] = {"id": number, "method": method, "params": params}
        if self._session:
            told["sessionId"] = self._session
        data = json.dumps(told).encode() + b"\0"
        while data:
            data = data[os.write(self._to, data) :]

    def _read(self, seconds: float = 60.0) -> dict[str, Any]:
        end = monotonic() + seconds
        while b"\0" not in self._rest:
            ready, _, _ = select.select([self._back], [], [], max(0.0, end - monotonic()))
            assert ready, "the browser does not answer"
            part = os.read(self._back, 1 << 20)
            assert part, "the browser has ended"
            self._rest += part
        one, self._rest = self._rest.split(b"\0", 1)
        found: dict[str, Any] = json.loads(one)
        return found

    def _heard(self, message: dict[str, Any]) -> None:
        method, params = message.get("method"), message.get("params", {})
        if method == "Runtime.exceptionThrown":
            self.faults.append(str(params["exceptionDetails"]))
        elif method == "Runtime.consoleAPICalled" and params["type"] in ("error", "assert"):
            self.faults.append(str(params["args"]))
        elif method == "Page.javascriptDialogOpening":
            self.dialogs.append(params["type"])
            self._number += 1
            self._send("Page.handleJavaScriptDialog", {"accept": self.agree}, self._number)

    def open(self, path: Path, width: int, height: int, sharp: float = 1.0) -> None:
        """Show a file in a window of that size, CSS px."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=sharp, mobile=False,
        )  # fmt: skip
        self.call("Page.navigate", url=path.as_uri())
        self.until("document.readyState === 'complete' && location.href !== 'about:blank'")

    def media(self, **features: str) -> None:
        """What the page is told of the reader's wishes: ``prefers_color_scheme="dark"``."""
        told = [{"name": k.replace("_", "-"), "value": v} for k, v in features.items()]
        self.call("Emulation.setEmulatedMedia", features=told)

    def ask(self, script: str) -> Any:
        """The value of an expression on the page; a promise is waited for."""
        found = self.call(
            "Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True
        )
        assert "exceptionDetails" not in found, found["exceptionDetails"]
        return found["result"].get("value")

    def until(self, script: str, seconds: float = 15.0) -> None:
        """Wait until an expression holds."""
        end = monotonic() + seconds
        while not self.ask(f"!!({script})"):
            assert monotonic() < end, f"never came true: {script}"
            sleep(0.03)

    def middle(self, selector: str) -> tuple[float, float]:
        """Where the middle of an element is in the window, once scrolled to."""
        found = self.ask(
            f"(() => {{ const e = document.querySelector({json.dumps(selector)});"
            "e.scrollIntoView({block: 'center', behavior: 'instant'});"
            "const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; "
            "})()"
        )
        return float(found[0]), float(found[1])

    def mouse(self, kind: str, x: float, y: float, buttons: int = 0) -> None:
        self.call(
            "Input.dispatchMouseEvent",
            type=kind, x=x, y=y, buttons=buttons, clickCount=0 if kind == "mouseMoved" else 1,
            button="none" if kind == "mouseMoved" and not buttons else "left",
        )  # fmt: skip

    def click(self, x: float, y: float) -> None:
        self.mouse("mouseMoved", x, y)
        self.mouse("mousePressed", x, y, 1)
        self.mouse("mouseReleased", x, y)

    def press(self, selector: str) -> None:
        """Click on the middle of an element."""
        self.click(*self.middle(selector))

    def drag(self, x: float, y: float, dx: float, dy: float) -> None:
        self.mouse("mouseMoved", x, y)
        self.mouse("mousePressed", x, y, 1)
        for part in (0.5, 1.0):
            self.mouse("mouseMoved", x + dx * part, y + dy * part, 1)
        self.mouse("mouseReleased", x + dx, y + dy)

    def tap(self, x: float, y: float) -> None:
        """A finger put down and lifted."""
        self.call("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
        self.call("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    def key(self, key: str, modifiers: int = 0) -> None:
        code = KEYS.get(key, ord(key[0].upper()))
        both = {"key": key, "windowsVirtualKeyCode": code, "modifiers": modifiers}
        text = {"text": key} if len(key) == 1 else {}
        self.call("Input.dispatchKeyEvent", type="keyDown", **both, **text)
        self.call("Input.dispatchKeyEvent", type="keyUp", **both)

    def choose(self, selector: str, file: Path) -> None:
        """Give a file to a file input."""
        root = self.call("DOM.getDocument")["root"]["nodeId"]
        node = self.call("DOM.querySelector", nodeId=root, selector=selector)["nodeId"]
        self.call("DOM.setFileInputFiles", nodeId=node, files=[str(file)])

    def picture(self, path: Path | None = None) -> bytes:
        """The window as PNG, written to a file if one is named."""
        data = b64decode(self.call("Page.captureScreenshot", format="png")["data"])
        if path is not None:
            path.write_bytes(data)
        return data


@contextmanager
def browser(folder: Path) -> Iterator[Tab]:
    """A browser with a profile of its own in that folder, ended afterwards."""
    inward, outward = os.pipe(), os.pipe()
    # away from 3 and 4, which the browser is to have
    ends = [fcntl.fcntl(fd, fcntl.F_DUPFD_CLOEXEC, 20) for fd in (*inward, *outward)]
    for fd in (*inward, *outward):
        os.close(fd)
    actions = [
        (os.POSIX_SPAWN_DUP2, ends[0], 3),
        (os.POSIX_SPAWN_DUP2, ends[3], 4),
        (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0),
        (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0),
    ]
    program = str(CHROMIUM)
    argv = [program, f"--user-data-dir={folder / 'chromium'}", *FLAGS]
    pid = os.posix_spawn(program, argv, os.environ, file_actions=actions)
    os.close(ends[0])
    os.close(ends[3])
    try:
        yield Tab(ends[1], ends[2])
    finally:
        with suppress(OSError):
            os.write(ends[1], b'{"id":999999,"method":"Browser.close"}\0')
        os.close(ends[1])
        os.close(ends[2])
        for _ in range(100):
            if os.waitpid(pid, os.WNOHANG)[0]:
                break
            sleep(0.05)
        else:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
