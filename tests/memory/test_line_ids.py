"""Ids hang on to their lines. The letter habit is the trade's for added scenes (B. Lemay, "Exposure Sheets")."""

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.memory.line_ids import KnownLine, assign_ids
from timing.memory.lines_toml import LineMemory


def script(*texts, speaker="TANSY"):
    return [KnownLine("spoken", speaker, t) for t in texts]


def with_ids(lines, ids):
    return [KnownLine(x.kind, x.speaker, x.text, i) for x, i in zip(lines, ids, strict=True)]


SEA = ("Where does the sea go?", "The moon pulls it.", "It comes back at tea time.", "Listen to the pebbles hum.")


def test_first_run_counts_from_one():
    assert assign_ids([], script(*SEA)) == ["1", "2", "3", "4"]


def test_added_line_takes_a_letter_after_the_one_before_it():
    before = with_ids(script(*SEA), ["1", "2", "3", "4"])
    now = script(SEA[0], SEA[1], "Hold on to your shell, Bram!", SEA[2], SEA[3])
    assert assign_ids(before, now) == ["1", "2", "2A", "3", "4"]


def test_line_added_before_the_first_and_after_the_last():
    before = with_ids(script(*SEA), ["1", "2", "3", "4"])
    now = script("Quiet now, everyone hush.", *SEA, "Good night, rock pool friends.")
    assert assign_ids(before, now) == ["0A", "1", "2", "3", "4", "5"]


def test_a_removed_id_is_not_used_again():
    before = with_ids(script(*SEA[:3]), ["1", "2", "4"])
    assert assign_ids(before, script(*SEA), retired=["3"])[3] == "5"
    assert assign_ids(with_ids(script(SEA[0], SEA[1]), ["1", "2"]), script(*SEA[:3]), retired=["3"])[2] == "4"


def test_reworded_and_moved_lines_keep_their_ids():
    before = with_ids(script(*SEA), ["1", "2", "3", "4"])
    now = script(SEA[3], SEA[0], "The big moon pulls it away.", SEA[2])
    assert assign_ids(before, now) == ["4", "1", "2", "3"]


def test_two_lines_added_at_one_place_then_one_between_them():
    before = with_ids(script(*SEA), ["1", "2", "3", "4"])
    a, b = "Crabs pinch shells quietly.", "Limpets never hurry anywhere."
    now = script(SEA[0], a, b, *SEA[1:])
    ids = assign_ids(before, now)
    assert ids == ["1", "1A", "1B", "2", "3", "4"]
    again = script(SEA[0], a, "Seaweed tickles toes.", b, *SEA[1:])
    assert assign_ids(with_ids(now, ids), again) == ["1", "1A", "1AA", "1B", "2", "3", "4"]


def test_repeated_lines_keep_the_ids_that_their_neighbours_say():
    before = with_ids(script("La la la.", SEA[0], "La la la.", SEA[1]), ["1", "2", "3", "4"])
    assert assign_ids(before, script(SEA[0], "La la la.", SEA[1])) == ["2", "3", "4"]


lines = st.lists(
    st.builds(
        KnownLine,
        st.sampled_from(["spoken", "sung", "picture"]),
        st.sampled_from(["TANSY", "BRAM", None]),
        st.text("abc ", max_size=9),
    ),
    max_size=12,
)


@given(lines, lines, st.lists(st.integers(1, 30).map(str), max_size=5))
def test_ids_are_unique_and_retired_ones_stay_retired(first, second, retired):
    retired = [r for r in retired if int(r) > len(first)]
    before = with_ids(first, assign_ids([], first))
    ids = assign_ids(before, second, retired)
    assert len(set(ids)) == len(ids) == len(second)
    assert not set(ids) & set(retired)


words = st.lists(st.sampled_from("sea moon rock tide crab shell foam kelp".split()), min_size=4, max_size=4)


@given(st.lists(words, min_size=2, max_size=10, unique_by=tuple), st.data())
def test_any_edit_of_distinct_lines_keeps_untouched_ids(texts, data):
    first = script(*(" ".join([f"n{i}", f"m{i}", f"k{i}", *w]) for i, w in enumerate(texts)))
    before = with_ids(first, assign_ids([], first))
    order = data.draw(st.permutations(range(len(first))))
    kept = order[: data.draw(st.integers(0, len(order)))]
    now = [first[i] for i in kept]
    at = data.draw(st.integers(0, len(now)))
    now.insert(at, KnownLine("spoken", "BRAM", "entirely other words here today"))
    ids = assign_ids(before, now)
    assert [ids[i if i < at else i + 1] for i in range(len(kept))] == [before[i].id for i in kept]
    assert ids[at] not in {b.id for b in before}


@pytest.mark.parametrize("count", [26, 60])
def test_many_lines_added_at_one_place(count):
    before = with_ids(script(*SEA), ["1", "2", "3", "4"])
    now = [before[0], *script(*(f"fresh{n} words{n} every{n} time{n}" for n in range(count))), *before[1:]]
    ids = assign_ids(before, now)
    assert len(set(ids)) == len(ids)
    assert ids[0] == "1"
    assert ids[-3:] == ["2", "3", "4"]


def edited(*scripts):
    """Return the ids of each of several scripts that follow one another."""
    memory, ids = LineMemory(), []
    for lines in scripts:
        found, memory = memory.numbered([KnownLine("spoken", *line) for line in lines])
        ids.append(found)
    return ids


def test_a_line_removed_while_its_speaker_was_misspelt_gets_its_number_back():
    first = [("TANSY", "Where does it go?"), ("BRAM", "Out and in."), ("TANSY", "Oh.")]
    slip = [first[0], ("BRMA", "Out and in."), first[2]]
    away = [first[0], first[2]]
    assert edited(first, slip, away, first)[-1] == ["1", "2", "3"]
    other = [first[0], ("TANSY", "Out and in."), first[2]]  # somebody else's: another line
    assert edited(first, slip, away, other)[-1] == ["1", "1A", "3"]


def test_of_equal_lines_the_one_beside_a_slip_keeps_its_number():
    wait = ("TANSY", "wait")
    assert edited([wait, wait], [("TANYS", "wait"), wait], [wait, wait]) == [["1", "2"]] * 3
    assert edited([wait, wait], [wait, ("TANYS", "wait")], [wait, wait]) == [["1", "2"]] * 3
    row = [("BRAM", "So."), wait, wait, ("BRAM", "Well.")]
    slips = [("BARM", "So."), wait, ("TANYS", "wait"), ("BRAM", "Well.")]
    assert edited(row, slips, row) == [["1", "2", "3", "4"]] * 3


def test_misspelt_names_put_back_bring_every_number_back():
    """A thousand scripts of a few words each, so that many lines are equal; up to three names misspelt, then mended."""
    for seed in range(1000):
        draw = random.Random(seed)
        words = ["sea tide", "wait", "out", "sea", "go out"]
        first = [
            KnownLine(draw.choice(["spoken", "picture"]), draw.choice(["TANSY", "BRAM"]), draw.choice(words))
            for _ in range(draw.randint(2, 6))
        ]
        ids, memory = LineMemory().numbered(first)
        now = list(first)
        for _ in range(draw.randint(1, 3)):
            at = draw.randrange(len(now))
            now[at] = replace(now[at], speaker=f"{now[at].speaker}{draw.choice('XYZ')}")
            assert memory.numbered(now)[0] == ids, seed
            memory = memory.numbered(now)[1]
        assert memory.numbered(first)[0] == ids, seed
