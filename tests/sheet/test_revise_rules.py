"""The rules of a revised set on sheets made by hand: labels, changed rows, sentences, what of a register is believed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from timing.sheet.revise import NOTHING_EARLIER, Revision, Sheet, clip_news, readable, revise, row_digest


def sheets(part: str, **rows: str) -> list[Sheet]:
    """``a="x y"`` is the sheet anchored at a, with the rows x and y."""
    return [Sheet(part, anchor, 0, tuple(text.split())) for anchor, text in rows.items()]


def made(now: Sequence[Sheet], before: Revision | None = None, printed: Sequence[str] = ()) -> Revision:
    return revise(now, "A4", before.register if before else None, printed)


def labels(of: Revision) -> list[str]:
    return [sheet.label for sheet in of.sheets]


def test_a_first_set_counts_each_part_from_one() -> None:
    first = made([*sheets("frames", a="1", b="2"), *sheets("strips", a="1"), *sheets("frames", c="3")])
    assert labels(first) == ["1", "2", "1", "3"]
    assert first.sentences == ()
    assert revise(sheets("frames", a="1"), "A4", None, (), was_printed=True).sentences == (NOTHING_EARLIER,)


def test_a_changed_sheet_takes_the_next_letter_each_time() -> None:
    one = made(sheets("frames", a="x", b="y"))
    two = made(sheets("frames", a="x", b="z"), one)
    three = made(sheets("frames", a="x", b="w"), two)
    assert (labels(two), labels(three)) == (["1", "2 A"], ["1", "2 B"])
    assert [sheet.is_fresh for sheet in three.sheets] == [False, True]
    assert two.sentences[0].startswith("Frame sheets: print 2 A in place of 2")


def test_after_z_comes_aa() -> None:
    of = made(sheets("frames", a="0"))
    for n in range(1, 29):
        of = made(sheets("frames", a=str(n)), of)
        if n in (26, 27, 28):
            assert labels(of) == [{26: "1 Z", 27: "1 AA", 28: "1 AB"}[n]]


def test_a_sheet_put_between_takes_a_letter_and_one_behind_all_the_next_number() -> None:
    one = made(sheets("frames", a="x", b="y"))
    between = made(sheets("frames", a="x", new="n", b="y"), one)
    assert labels(between) == ["1", "1 A", "2"]
    assert between.sentences == ("Frame sheets: print 1 A, new, behind 1.",)
    behind = made(sheets("frames", a="x", b="y", new="n", more="m"), one)
    assert labels(behind) == ["1", "2", "3", "4"]
    assert behind.sentences == ("Frame sheets: print 3, 4, new, behind 2.",)
    front = made(sheets("frames", new="n", a="x", b="y"), one)
    assert labels(front) == ["0 A", "1", "2"]
    assert front.sentences == ("Frame sheets: print 0 A, new, in front.",)


def test_a_number_that_was_given_once_is_never_given_again() -> None:
    one = made(sheets("frames", a="x", b="y", c="z"))
    fewer = made(sheets("frames", a="x"), one)
    assert fewer.sentences == ("Frame sheets: throw away 2, 3.",)
    again = made(sheets("frames", a="x", d="w"), fewer)
    assert labels(again)[1] not in ("2", "3")


def test_neighbours_that_changed_alike_are_told_as_one_run() -> None:
    one = made(sheets("frames", a="1", b="2", c="3", d="4", e="5"))
    two = made(sheets("frames", a="1", b="x", c="y", d="4", e="z"), one)
    (told,) = two.sentences
    assert told.startswith("Frame sheets: print 2 A to 3 A in place of 2 to 3")
    assert "; print 5 A in place of 5" in told
    three = made(sheets("frames", a="1", b="p", c="q", d="r", e="z"), two)  # 2 A, 3 A and 4 are no run
    assert "print 2 B in place of 2 A" in three.sentences[0]
    assert "print 4 A in place of 4" in three.sentences[0]


def test_rows_of_a_bar_sheet_are_held_against_the_row_in_their_place_a_strip_against_any() -> None:
    for part, changed in (("bars", {0, 1}), ("strips", set())):
        two = made(sheets(part, a="y x z"), made(sheets(part, a="x y z")))
        assert two.sheets[0].changed == changed
        longer = made(sheets(part, a="x y w z"), made(sheets(part, a="x y z")))
        assert longer.sheets[0].changed == ({2, 3} if part == "bars" else {2})
        shorter = made(sheets(part, a="x"), made(sheets(part, a="x y z")))
        assert shorter.sheets[0].changed == set()  # what is gone has no row to be marked


def test_parts_that_are_not_printed_are_not_told() -> None:
    both = [*sheets("frames", a="x"), *sheets("strips", a="x")]
    changed = [*sheets("frames", a="y"), *sheets("strips", a="y")]
    assert len(made(changed, made(both)).sentences) == 2
    (only,) = made(changed, made(both), ("clips", "strips")).sentences
    assert only.startswith("Strip sheets: print 1 A")


def test_another_paper_is_a_set_of_its_own() -> None:
    one = made(sheets("frames", a="x", b="y"))
    other = revise(sheets("frames", a="x", b="z"), "Letter", one.register)
    assert labels(other) == ["1", "2"]
    assert other.sentences == (
        "Paper, layout, rows or frame rate have changed: print the whole set, throw the old one away.",
    )


def test_the_same_content_is_the_same_set_with_its_marks() -> None:
    one = made(sheets("bars", a="x", b="y"))
    two = made(sheets("bars", a="x", b="z"), one)
    again = made(sheets("bars", a="x", b="z"), two)
    assert labels(again) == ["1", "2 A"]
    assert again.register == two.register
    assert (again.sheets[1].changed, again.sheets[1].is_fresh) == (frozenset({0}), True)
    assert again.sentences == two.sentences


@pytest.mark.parametrize(
    ("key", "value"),
    [("version", 0), ("design", 3), ("sheets", {}), ("letters", []), ("reprint", [1]), ("letters", {"frames 1": -1}),
     ("letters", {"frames 1": True}), ("highest", {"frames": 1_000_000})],
)  # fmt: skip
def test_a_register_with_one_wrong_value_counts_as_none(key: str, value: object) -> None:
    register = made(sheets("frames", a="x")).register
    assert readable(register) is register
    assert readable({**register, key: value}) is None


@pytest.mark.parametrize(
    ("key", "value", "believed"),
    [("label", "999999 ABCDEF", True), ("label", "1000000", False), ("label", "1A", False), ("label", "1 ABCDEFG", False),
     ("label", "", False), ("index", -1, False), ("index", 999_999, True), ("index", 1_000_000, False), ("hash", 1, False),
     ("changed", [0, 1], True), ("changed", [-1], False), ("changed", "0", False), ("aspects", 1, False)],
)  # fmt: skip
def test_a_register_with_one_wrong_sheet_counts_as_none(key: str, value: object, believed: bool) -> None:
    register = made(sheets("frames", a="x")).register
    changed: Mapping[str, Any] = {**register, "sheets": [{**register["sheets"][0], key: value}]}
    assert (readable(changed) is not None) is believed


def test_what_is_new_of_a_clip_is_told_until_something_else_is() -> None:
    _, first = clip_news({"C01": ("a b", "3 s"), "C02": ("c", "5 s")}, None)
    now = {"C01": ("a c", "3 s"), "C02": ("c", "8 s"), "C03": ("d", "3 s")}
    news, register = clip_news(now, {"clips": first})
    assert news == {
        "C01": "words changed since the last set: ask again",
        "C02": "now 8 s since the last set, was 5 s",
        "C03": "new since the last set",
    }
    assert clip_news(now, {"clips": register})[0] == news
    assert clip_news({**now, "C03": ("e", "3 s")}, {"clips": register})[0] == {"C03": news["C01"]}
    assert clip_news(now, {"clips": {"asked": []}})[0] == {}


def test_a_rows_digest_is_empty_for_an_empty_row_and_does_not_hang_on_the_order() -> None:
    assert row_digest([]) == ""
    assert row_digest(["a", "b"]) == row_digest(["b", "a"]) != row_digest(["a", "c"])
    assert len(row_digest(["a"])) == 4
