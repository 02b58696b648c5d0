"""JSON written piece by piece: an episode of ninety minutes is some 10 MB of it, a day of speech 200."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar

T = TypeVar("T")
_AT_ONCE = 4096  # pieces


class Rows(list[Any]):
    """A list that is made row by row while it is written here, so that a long one is never held.

    Only what walks a list by ``for`` sees its rows: the encoder below does, ``json.dumps`` without an indent does not.
    """

    def __init__(self, items: Sequence[T], make: Callable[[T], Any]):
        super().__init__()
        self._items, self._make = items, make

    def __iter__(self) -> Iterator[Any]:
        return map(self._make, self._items)

    def __len__(self) -> int:
        return len(self._items)


def json_pieces(value: Any, *, ascii_only: bool = False) -> Iterator[str]:
    """Yield ``value`` as indented JSON text, some thousand values at a time."""
    waiting: list[str] = []
    for piece in json.JSONEncoder(ensure_ascii=ascii_only, indent=1).iterencode(value):
        waiting.append(piece)
        if len(waiting) >= _AT_ONCE:
            yield "".join(waiting)
            waiting.clear()
    yield "".join(waiting)


def json_bytes(value: Any, *, indent: int, sort_keys: bool = False) -> bytes:
    r"""Return ``value`` as UTF-8 JSON that ends with a line break; raises ValueError for a number that is none.

    ``json.dumps`` would hold every small piece at once, six times the text.

    >>> json_bytes({"sea": [1]}, indent=1)
    b'{\n "sea": [\n  1\n ]\n}\n'
    """
    encoder = json.JSONEncoder(ensure_ascii=False, allow_nan=False, indent=indent, sort_keys=sort_keys)
    out = io.BytesIO()
    with io.TextIOWrapper(out, "utf-8", newline="\n") as text:
        for piece in encoder.iterencode(value):
            text.write(piece)
        text.write("\n")
        text.flush()
        return out.getvalue()
