"""Debian's Chromium without a window, told what to do over a pipe: what it shows, asks for and complains of.

The messages are those of the browser's own debugging protocol.
"""

import base64
import itertools
import json
import os
import select
import shutil
import subprocess
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium")

_FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--hide-scrollbars",
    "--force-color-profile=srgb",
    "--remote-debugging-pipe",
)
_PATIENCE = 120  # s without a word
_KEYS = {"Tab": 9, "Enter": 13, " ": 32, "ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40}


class Browser:
    """One browser with one page; `requests` and `complaints` gather what the page does."""

    def __init__(self, profile: Path) -> None:
        theirs, self._to = os.pipe()
        self._from, theirs_too = os.pipe()
        shell = f'exec "$0" "$@" 3<&{theirs} 4>&{theirs_too}'
        self._process = subprocess.Popen(
            ["bash", "-c", shell, str(CHROMIUM), *_FLAGS, f"--user-data-dir={profile}", "about:blank"],
            pass_fds=(theirs, theirs_too),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(theirs)
        os.close(theirs_too)
        self._numbers, self._read, self._session = itertools.count(1), b"", ""
        self.requests: list[str] = []
        self.complaints: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        attached = self.call("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Network", "Log", "Runtime"):
            self.call(f"{domain}.enable")

    def close(self) -> None:
        """End the browser."""
        self._session = ""
        self.call("Browser.close")
        os.close(self._to)
        self._process.wait(timeout=20)
        os.close(self._from)

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Do one thing and return what came of it."""
        number = next(self._numbers)
        message = {"id": number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._to, json.dumps(message).encode() + b"\0")
        while True:
            heard = self._next()
            if heard.get("id") == number:
                assert "error" not in heard, (method, heard["error"])
                result: dict[str, Any] = heard["result"]
                return result
            self._note(heard)

    def show(self, page: Path, *, width: int = 1100, height: int = 900, scripts: bool = True) -> None:
        """Open a page and wait until it is there."""
        self.call("Emulation.setScriptExecutionDisabled", value=not scripts)
        self.size(width, height)
        self.call("Page.navigate", url="about:blank")
        self._wait("Page.loadEventFired")
        self.requests.clear()
        self.complaints.clear()
        self.call("Page.navigate", url=page.as_uri())
        self._wait("Page.loadEventFired")

    def size(self, width: int, height: int = 900) -> None:
        """Give the window a size in CSS pixels."""
        sides = {"width": width, "height": height, "deviceScaleFactor": 1}
        self.call("Emulation.setDeviceMetricsOverride", mobile=False, **sides)

    def ask(self, expression: str) -> Any:
        """Return the value of an expression, awaited where it is a promise."""
        heard = self.call("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in heard, heard["exceptionDetails"]
        return heard["result"].get("value")

    def press(self, key: str, *, shift: bool = False) -> None:
        """Press a key and let it go."""
        code = _KEYS.get(key, ord(key[0].upper()))
        more: dict[str, Any] = {"key": key, "windowsVirtualKeyCode": code, "modifiers": 8 * shift}
        typed = {"Enter": "\r", "Tab": ""}.get(key, key if len(key) == 1 else "")
        self.call("Input.dispatchKeyEvent", type="keyDown", text=typed, **more)
        self.call("Input.dispatchKeyEvent", type="keyUp", **more)

    def click(self, selector: str) -> None:
        """Click on the middle of an element, brought into the window first."""
        said = json.dumps(selector)
        box = self.ask(
            f"(() => {{ const e = document.querySelector({said}); e.scrollIntoView({{block: 'center'}});"
            "const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        for kind in ("mousePressed", "mouseReleased"):
            self.call(
                "Input.dispatchMouseEvent", type=kind, x=box[0], y=box[1], button="left", clickCount=1
            )

    def picture(self, file: Path, *, whole: bool = False) -> None:
        """Save what is seen, or the whole page."""
        seen = self.call("Page.captureScreenshot", captureBeyondViewport=whole, fromSurface=True)
        file.write_bytes(base64.b64decode(seen["data"]))

    def print(self, file: Path) -> None:
        """Print the page to a PDF on A4."""
        sides = {"paperWidth": 210 / 25.4, "paperHeight": 297 / 25.4}
        printed = self.call("Page.printToPDF", preferCSSPageSize=True, **sides)
        file.write_bytes(base64.b64decode(printed["data"]))

    def _wait(self, event: str) -> None:
        while (heard := self._next()).get("method") != event:
            self._note(heard)

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._read:
            assert select.select([self._from], [], [], _PATIENCE)[0], "the browser does not answer"
            more = os.read(self._from, 1 << 20)
            assert more, "the browser has ended"
            self._read += more
        message, _, self._read = self._read.partition(b"\0")
        heard: dict[str, Any] = json.loads(message)
        return heard

    def _note(self, heard: dict[str, Any]) -> None:
        """Keep what the page asks for, and what it or the browser complains of."""
        what, told = heard.get("method", ""), heard.get("params", {})
        if what == "Network.requestWillBeSent" and not told["request"]["url"].startswith("data:"):
            self.requests.append(told["request"]["url"])
        elif what in ("Runtime.exceptionThrown", "Runtime.consoleAPICalled", "Log.entryAdded"):
            self.complaints.append(json.dumps(told)[:600])
