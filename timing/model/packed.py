"""A line's words, kept small while nobody reads them.

A day of speech is 20,000 lines, and a line's timed words take 16 kB as objects and 1.2 kB packed. What was opened last
stays open, so an episode of the usual length is never packed at all.
"""

from __future__ import annotations

import pickle
import zlib
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Generic, TypeVar, overload

MOST_OPEN = 1500  # lines; some 25 MB, and more than an episode has

T = TypeVar("T")
_open: deque[Packed[Any]] = deque()


class Packed(Sequence[T], Generic[T]):
    """A tuple of plain values that is unpacked where it is read; equal to that tuple, with its hash and its repr."""

    __slots__ = ("_bytes", "_count", "_items")

    def __init__(self, items: Iterable[T]):
        self._items: tuple[T, ...] | None = tuple(items)
        self._count = len(self._items)
        self._bytes = b""
        _opened(self)

    @classmethod
    def of(cls, items: Sequence[T]) -> Sequence[T]:
        """Return the items packed; none, and what is packed already, as they are."""
        return items if isinstance(items, Packed) or not items else cls(items)

    @property
    def is_open(self) -> bool:
        return self._items is not None

    def unpacked(self) -> tuple[T, ...]:
        items = self._items
        if items is None:
            items = self._items = pickle.loads(zlib.decompress(self._bytes))  # never from a file: made below
            _opened(self)
        return items

    def close(self) -> None:
        """Pack the items away; they are the same values again when they are next read, not the same objects."""
        if self._items is not None and not self._bytes:
            self._bytes = zlib.compress(pickle.dumps(self._items, pickle.HIGHEST_PROTOCOL), 1)
        self._items = None

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[T]:
        return iter(self.unpacked())

    @overload
    def __getitem__(self, index: int) -> T: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[T, ...]: ...
    def __getitem__(self, index: int | slice) -> T | tuple[T, ...]:
        return self.unpacked()[index]

    def __eq__(self, other: object) -> bool:
        if self is other:
            return True
        items = other.unpacked() if isinstance(other, Packed) else other
        return self.unpacked() == items if isinstance(items, tuple) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.unpacked())

    def __repr__(self) -> str:
        return repr(self.unpacked())


def _opened(one: Packed[Any]) -> None:
    _open.append(one)
    while len(_open) > MOST_OPEN:
        _open.popleft().close()
