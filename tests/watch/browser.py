"""A headless Chromium, driven through a pipe in the Chrome DevTools Protocol; nothing has to be installed for it.

https://chromedevtools.github.io/devtools-protocol/: with --remote-debugging-pipe the browser reads JSON messages that
end in a zero byte from descriptor 3 and writes them to descriptor 4.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import select
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

PATIENCE_S = 120  # a busy machine is no fault of the page
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
KEYS = {  # key: (code, windows virtual key code, text)
    " ": ("Space", 32, " "), "Enter": ("Enter", 13, "\r"), "Tab": ("Tab", 9, ""), "ArrowLeft": ("ArrowLeft", 37, ""),
    "ArrowUp": ("ArrowUp", 38, ""), "ArrowRight": ("ArrowRight", 39, ""), "ArrowDown": ("ArrowDown", 40, ""),
    "PageUp": ("PageUp", 33, ""), "PageDown": ("PageDown", 34, ""),
}  # fmt: skip


def find() -> str | None:
    """The browser's program, None where there is none (or no pipe by number: Windows)."""
    if os.name == "nt":
        return None
    return os.environ.get("CHROMIUM") or next((found for name in NAMES if (found := shutil.which(name))), None)


class Browser:
    """One page in one browser; ``requests`` are the addresses it asked for."""

    def __init__(self, folder: Path, width: int = 1280, height: int = 900):
        to_browser, self._out = os.pipe()
        self._in, from_browser = os.pipe()
        command = [
            find() or "", "--headless=new", "--remote-debugging-pipe", "--no-sandbox", "--disable-gpu", "--mute-audio",
            "--disable-dev-shm-usage", "--no-first-run", "--autoplay-policy=no-user-gesture-required",
            "--disable-background-networking", "--disable-component-update", f"--user-data-dir={folder / 'profile'}",
        ]  # fmt: skip
        import fcntl

        # The ends are moved out of the way of the numbers that the browser wants, then given those.
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 50) for end in (to_browser, from_browser)]
        self._process = subprocess.Popen(
            command, close_fds=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            preexec_fn=lambda: [os.dup2(end, n) for n, end in enumerate(ends, 3)],  # type: ignore[arg-type, return-value]
        )  # fmt: skip
        for end in ends:
            os.close(end)
        os.close(to_browser)
        os.close(from_browser)
        self._waiting, self._number = b"", 0
        self.events: list[dict[str, Any]] = []
        try:
            self._attach(folder, width, height)
        except BaseException:
            self._process.kill()
            self._process.wait()
            raise

    def _attach(self, folder: Path, width: int, height: int) -> None:
        target = self.send("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.send("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.send(f"{domain}.enable")
        self.downloads = folder / "downloads"
        self.downloads.mkdir(parents=True, exist_ok=True)
        self.send("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(self.downloads))
        self.resize(width, height)

    _session: str | None = None

    def send(self, method: str, **parameters: Any) -> dict[str, Any]:
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        if self._session and not method.startswith(("Target.", "Browser.")):
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._read(PATIENCE_S)
            if answer is None:
                raise TimeoutError(f"{method}: the browser does not answer")
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return dict(answer["result"])
            self.events.append(answer)

    def _read(self, seconds: float) -> dict[str, Any] | None:
        deadline = time.monotonic() + seconds
        while b"\0" not in self._waiting:
            ready, _, _ = select.select([self._in], [], [], max(0.0, deadline - time.monotonic()))
            if not ready:
                return None
            self._waiting += os.read(self._in, 1 << 20)
        one, _, self._waiting = self._waiting.partition(b"\0")
        return dict(json.loads(one))

    def resize(self, width: int, height: int) -> None:
        phone = width < 500
        self.send("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=phone)

    def open(self, path: Path) -> None:
        self.send("Page.navigate", url=path.resolve().as_uri())
        self.until("document.readyState === 'complete'")

    def run(self, expression: str) -> Any:
        """Return the value of an expression of the page's; an exception in it is one here."""
        done = self.send("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in done:
            raise RuntimeError(done["exceptionDetails"].get("exception", {}).get("description", "exception"))
        return done["result"].get("value")

    def until(self, expression: str, seconds: float = PATIENCE_S) -> Any:
        """Wait until an expression is true; return its value."""
        deadline = time.monotonic() + seconds
        while not (value := self.run(expression)):
            if time.monotonic() > deadline:
                raise TimeoutError(expression)
            time.sleep(0.03)
        return value

    def press(self, key: str, **more: Any) -> None:
        code, number, text = KEYS.get(key) or (f"Key{key.upper()}", ord(key.upper()), key)
        about = {"key": key, "code": code, "windowsVirtualKeyCode": number, **more}
        self.send("Input.dispatchKeyEvent", type="keyDown", **(about | ({"text": text} if text else {})))
        self.send("Input.dispatchKeyEvent", type="keyUp", **about)

    def mouse(self, kind: str, x: float, y: float, pressed: bool = True) -> None:
        more: dict[str, Any] = {"button": "left", "clickCount": 1} if kind != "mouseMoved" else {}
        self.send("Input.dispatchMouseEvent", type=kind, x=x, y=y, buttons=int(pressed), **more)

    def drag(self, x: float, y: float, to_x: float, to_y: float) -> None:
        self.mouse("mouseMoved", x, y, False)
        self.mouse("mousePressed", x, y)
        for n in range(1, 6):
            self.mouse("mouseMoved", x + (to_x - x) * n / 5, y + (to_y - y) * n / 5)
        self.mouse("mouseReleased", to_x, to_y, False)

    def click(self, selector: str) -> None:
        """Click in the middle of an element, scrolled into view."""
        x, y = self.run(
            f"(() => {{ const e = document.querySelector({json.dumps(selector)}); e.scrollIntoView({{block: 'center'}});"
            " const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        self.mouse("mouseMoved", x, y, False)
        self.mouse("mousePressed", x, y)
        self.mouse("mouseReleased", x, y, False)

    def picture(self, path: Path) -> None:
        path.write_bytes(base64.b64decode(self.send("Page.captureScreenshot", format="png")["data"]))

    def downloaded(self, name: str, seconds: float = PATIENCE_S) -> bytes:
        path, deadline = self.downloads / name, time.monotonic() + seconds
        while not path.exists():
            if time.monotonic() > deadline:
                raise TimeoutError(f"{name} was not saved; there are {[p.name for p in self.downloads.iterdir()]}")
            self.run("1")
            time.sleep(0.05)
        return path.read_bytes()

    @property
    def requests(self) -> list[str]:
        self.run("1")
        return [
            e["params"]["request"]["url"] for e in self.events if e.get("method") == "Network.requestWillBeSent"
        ]  # fmt: skip

    @property
    def complaints(self) -> list[str]:
        """What the browser wrote into its console: errors, and what the content policy refused."""
        found = [e["params"]["entry"]["text"] for e in self.events if e.get("method") == "Log.entryAdded"]
        # Asking before unsaved corrections are left is the page's right; that nobody clicked is the test's own doing.
        found = [text for text in found if not text.startswith("Blocked attempt to show a 'beforeunload'")]
        thrown = [e["params"]["exceptionDetails"] for e in self.events if e.get("method") == "Runtime.exceptionThrown"]
        return found + [str(t.get("exception", {}).get("description", t)) for t in thrown]

    def close(self) -> None:
        with contextlib.suppress(OSError, RuntimeError, TimeoutError):
            self.send("Browser.close")
        try:
            self._process.wait(5)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        os.close(self._in)
        os.close(self._out)
