"""The text of a file that the tool keeps for people and that they may edit."""

from __future__ import annotations

from pathlib import Path

from timing.plain.errors import SettingsError
from timing.plain.inputs import read_regular


def kept_text(path: Path) -> str | None:
    """Return a file's text with plain line ends, None where there is no file; raises SettingsError, with the line."""
    try:
        return read_regular(path).decode("utf-8-sig").replace("\r\n", "\n")
    except FileNotFoundError:
        return None
    except UnicodeDecodeError as error:
        number = error.object[: error.start].count(b"\n") + 1
        raise SettingsError("is not UTF-8 text; save it as UTF-8, or restore it", path, number) from None
    except OSError as error:
        raise SettingsError(f"cannot be read ({error.strerror or error})", path) from None
