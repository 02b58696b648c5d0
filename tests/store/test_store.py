"""Values kept by content: found again, made anew where they are damaged, whole with two runs at once."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction

import pytest

from timing.store.store import Kind, Store, content_of

MOMENTS = Kind("moments", 1, lambda value: [str(m) for m in value], lambda kept: tuple(Fraction(m) for m in kept))
VALUE = (Fraction(1, 3), Fraction(0))


class Maker:
    def __init__(self):
        self.count = 0

    def __call__(self):
        self.count += 1
        return VALUE


def test_a_value_is_made_once_and_is_the_same_afterwards(tmp_path):
    make = Maker()
    for _ in range(2):
        assert Store(tmp_path).made(MOMENTS, ("a", 1), make) == VALUE
    assert make.count == 1
    assert Store(tmp_path).has(MOMENTS, ("a", 1))


@pytest.mark.parametrize("on", [("a", 2), ("b", 1), ("a",), ("a", "1"), ()])
def test_whatever_it_depends_on_makes_another_value(tmp_path, on):
    make = Maker()
    Store(tmp_path).made(MOMENTS, ("a", 1), make)
    Store(tmp_path).made(MOMENTS, on, make)
    assert make.count == 2


def test_another_version_of_the_code_makes_its_own_value(tmp_path):
    make = Maker()
    Store(tmp_path).made(MOMENTS, (1,), make)
    newer = Kind("moments", 2, MOMENTS.write, MOMENTS.read)
    assert Store(tmp_path).made(newer, (1,), make) == VALUE
    assert make.count == 2


def test_without_a_folder_a_value_lasts_as_long_as_its_store():
    make, store = Maker(), Store()
    assert store.made(MOMENTS, (1,), make) == store.made(MOMENTS, (1,), make) == VALUE
    assert make.count == 1


@pytest.mark.parametrize("at", range(0, 48, 7))
def test_a_damaged_entry_is_made_anew(tmp_path, at):
    make = Maker()
    Store(tmp_path).made(MOMENTS, (1,), make)
    (path,) = tmp_path.iterdir()
    good = bytearray(path.read_bytes())
    for damaged in (good[:at], [*good[:at], good[at] ^ 1, *good[at + 1 :]], [*good[:at], 0xFF, *good[at:]]):
        path.write_bytes(bytes(damaged))
        assert Store(tmp_path).made(MOMENTS, (1,), make) == VALUE
        assert path.read_bytes() == good
    assert make.count == 4


@pytest.mark.parametrize("shape", [None, 3, "1/0", {"a": 1}, ["x"], [[1]]])
def test_an_entry_of_another_shape_is_made_anew(tmp_path, shape):
    other = Kind("moments", 1, lambda _: shape, lambda kept: kept)
    Store(tmp_path).made(other, (1,), lambda: None)
    make = Maker()
    assert Store(tmp_path).made(MOMENTS, (1,), make) == VALUE
    assert make.count == 1


def test_a_folder_that_cannot_be_written_keeps_nothing(tmp_path):
    (tmp_path / "file").write_bytes(b"")
    assert Store(tmp_path / "file").made(MOMENTS, (1,), Maker()) == VALUE


def _many(folder):
    store = Store(folder)
    return [Store(folder).made(MOMENTS, (n % 7,), Maker()) for n in range(200) if store]


def test_two_runs_at_once_do_not_harm_each_other(tmp_path):
    with ProcessPoolExecutor(2) as runs:
        for values in runs.map(_many, [tmp_path, tmp_path]):
            assert values == [VALUE] * 200
    assert len(list(tmp_path.iterdir())) == 7


def test_content_is_known_by_its_bytes_whatever_the_name(tmp_path):
    (tmp_path / "a").write_bytes(b"abc")
    (tmp_path / "b").write_bytes(b"abc")
    # SHA-256 of "abc": FIPS 180-2, appendix B.1
    assert content_of(tmp_path / "a").startswith("ba7816bf8f01cfea414140de5dae2223")
    assert content_of(tmp_path / "a") == content_of(tmp_path / "b")
