"""What is being done, on one line of a terminal, for as long as it lasts: nobody sits before a silent program.

Nothing is shown where standard error is no terminal, and nothing in the first two seconds.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

Progress = Callable[[float, str], None]
SILENT_S = 2.0  # of work before anything is said
EACH_S = 1.0
COLUMNS = 78


class _Line:
    """One line that says the share done (where it is known), what is being done, and for how many seconds."""

    def __init__(self, what: str, clock: Callable[[], float] = time.monotonic):
        self._first, self._what, self._share, self._clock = what, what, 0.0, clock
        self._begin, self._is_shown = clock(), False
        self._lock, self._over = threading.Lock(), threading.Event()

    def tell(self, share: float, what: str) -> None:
        """Take the share done (0..1) and what is being done; 1 ends what was counted, not the work."""
        with self._lock:
            self._share, self._what = (share, what) if share < 1 else (0.0, self._first)
        self.show()

    def show(self) -> None:
        seconds = self._clock() - self._begin
        if seconds < SILENT_S or self._over.is_set():
            return
        with self._lock:
            done = int(20 * min(max(self._share, 0.0), 1.0))
            bar = f"[{'#' * done}{'.' * (20 - done)}] " if self._share else ""
            text = f"{bar}{self._what} \u2026 {seconds:.0f} s"
            click.echo("\r" + text[:COLUMNS].ljust(COLUMNS), err=True, nl=False)
            self._is_shown = True

    def clear(self) -> None:
        """Take the line away, so that something else can be printed."""
        with self._lock:
            if self._is_shown:
                click.echo("\r" + " " * COLUMNS + "\r", err=True, nl=False)
            self._is_shown = False

    def run(self) -> None:
        """Show the line again and again until the work is over; called on a thread of its own."""
        while not self._over.wait(EACH_S):
            self.show()

    def end(self) -> None:
        self._over.set()
        self.clear()


_open: list[_Line] = []


@contextmanager
def busy(what: str) -> Iterator[Progress | None]:
    """Say on a terminal what is being done; yields what is told the share done, None where there is no terminal."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    line = _Line(what)
    _open.append(line)
    ticker = threading.Thread(target=line.run, daemon=True)
    ticker.start()
    try:
        yield line.tell
    finally:
        line.end()
        ticker.join()
        _open.remove(line)


def echo(text: str) -> None:
    """Print to standard output while work goes on."""
    for line in _open:
        line.clear()
    click.echo(text)
