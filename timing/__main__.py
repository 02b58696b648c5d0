"""``python -m timing``, and the ``timing`` command: the program, which Ctrl-C ends with one line at any moment.

Whatever the interruption meets (an import, a library's callback) may turn it into another error; so it is remembered
that there was one. Nothing is left half-written by it: files are replaced whole.
"""

from __future__ import annotations

import signal
import sys
from types import FrameType
from typing import Any

STOPPED = "Stopped: no file is half-written, and the same command does the whole job again."


class Stopped(BaseException):
    """Ctrl-C, under a name that no library catches to print words of its own."""


class _Interruption:
    """What is done about Ctrl-C; ``was`` tells whether there was one."""

    was = False

    def __call__(self, number: int, frame: FrameType | None) -> None:
        self.was = True
        raise Stopped

    def unraisable(self, what: Any) -> None:
        """Stop also where the interruption fell into a callback, whose errors are only printed."""
        if not issubclass(what.exc_type, Stopped):
            sys.__unraisablehook__(what)
        else:
            signal.raise_signal(signal.SIGINT)


def main() -> None:
    """Run the program; the console script's entry point."""
    ctrl_c = _Interruption()
    try:
        if signal.getsignal(signal.SIGINT) is signal.default_int_handler:  # it may be ignored, as under nohup
            signal.signal(signal.SIGINT, ctrl_c)
            sys.unraisablehook = ctrl_c.unraisable
        from timing.cli import main as run

        run()
    except BaseException as error:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # what is left to do is to end
        if not ctrl_c.was or isinstance(error, SystemExit):
            raise
        _say_stopped()
        sys.exit(1)


def _say_stopped() -> None:
    try:
        cleared = "\r" + " " * 78 + "\r" if sys.stderr.isatty() else ""  # the progress display
        print(f"{cleared}{STOPPED}", file=sys.stderr, flush=True)
    except (AttributeError, OSError, ValueError):  # there is no standard error
        pass


if __name__ == "__main__":
    main()
