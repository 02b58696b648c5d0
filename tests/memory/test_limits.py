"""What is remembered, at its limits: how alike a reworded line is, which file is meant, what is rounded.

Limits are our own choices (half of the words, half a second, a thousandth); expected values are worked out by hand.
"""

from dataclasses import replace
from datetime import date
from fractions import Fraction as F

import pytest

from tests.export.plans import small_plan
from timing.memory import line_ids
from timing.memory.clips import Changes, Earlier, Entry, Memory, Wording, clip_order, update_memory, wording_of
from timing.memory.learnt_toml import keep_learnt, read_learnt
from timing.memory.ledger import COLUMNS, Row, month_of, read_ledger, record, returned
from timing.memory.line_ids import KnownLine, assign_ids, likeness, natural_order
from timing.memory.lines_toml import lines_text, read_lines
from timing.model.learnt import LearntPace, LearntTakes
from timing.model.settings import ClipProfile
from timing.plain.errors import SettingsError


def spoken(text, speaker="TANSY", line_id="", **more):
    return KnownLine("spoken", speaker, text, line_id, **more)


# --- ids of lines ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("new", "share", "stays"),
    [
        ("one two five six", F(1, 2), True),  # two of four words in common
        ("one five six seven", F(1, 4), False),
        ("one two three six seven eight", F(6, 10), True),  # three of four and of six
        ("one two six seven eight", F(4, 9), False),
    ],
)
def test_a_reworded_line_with_half_its_words_is_the_same_line(new, share, stays):
    old = spoken("one two three four", line_id="1")
    assert likeness(old, spoken(new)) == pytest.approx(float(share))
    assert assign_ids([old], [spoken(new)]) == (["1"] if stays else ["2"])


def test_another_speaker_leaves_seven_tenths_of_the_likeness():
    old = spoken("one two three four", line_id="1")
    assert likeness(old, spoken("one two three four", "BRAM")) == pytest.approx(0.7)
    assert likeness(old, spoken("One, two! three", "tansy")) == pytest.approx(6 / 7)
    assert assign_ids([old], [spoken("one two three five", "BRAM")]) == ["1"]  # 0.75 * 0.7 = 0.525
    assert assign_ids([spoken("a b c d e", line_id="1")], [spoken("a b c x y", "BRAM")]) == ["2"]  # 0.6 * 0.7 = 0.42
    assert likeness(old, KnownLine("sung", "TANSY", "one two three four")) == 0
    assert likeness(spoken("🦀"), spoken("🦀")) == 0


@pytest.mark.parametrize(
    ("before", "after", "given"),
    [
        ("1 1A 2", "1A", "1B"), ("1 1Y 2", "1Y", "1Z"), ("1 1Z 2", "1Z", "1ZA"), ("1 1A 1B 2", "1A", "1AA"),
        ("1 2", "1", "1A"), ("1 1AZ 2", "1AZ", "1AZA"), ("1 1A 11A 12", "1A", "1B"), ("9 10", "10", "11"),
    ],
)  # fmt: skip
def test_an_added_line_takes_the_next_letter(before, after, given):
    lines = [spoken(f"w{i} x{i} y{i}", line_id=i) for i in before.split()]
    at = before.split().index(after) + 1
    now = [*lines[:at], spoken("entirely other words"), *lines[at:]]
    assert assign_ids(lines, now)[at] == given


def test_a_letter_that_a_line_had_which_left_is_not_given_again():
    before = [spoken("one two", line_id="1"), spoken("five six", line_id="2")]
    gone = [spoken("three four", line_id="1A")]
    now = [before[0], spoken("entirely other words"), before[1]]
    assert assign_ids(before, now, gone=gone) == ["1", "1B", "2"]
    assert assign_ids(before, now, retired=["1A", "1B"]) == ["1", "1C", "2"]
    assert assign_ids(before, [*now, spoken("at the end")], retired=["7"])[-1] == "8"


def test_words_put_back_take_the_id_that_stands_in_their_place():
    before = [spoken("one two", line_id="1"), spoken("five six", line_id="3")]
    gone = [spoken("la la", line_id="2"), spoken("la la", line_id="4")]
    assert assign_ids(before, [before[0], spoken("la la"), before[1]], gone=gone) == ["1", "2", "3"]
    assert assign_ids(before, [*before, spoken("la la")], gone=gone) == ["1", "3", "4"]
    assert assign_ids(before, [spoken("la la"), *before], gone=gone) == ["2", "1", "3"]  # none between: the first
    # a line that was reworded gets its id for its earlier words before one that left
    reworded = [before[0], spoken("seven eight", line_id="3", was=("la la",))]
    assert assign_ids(reworded, [before[0], spoken("la la")], gone=gone) == ["1", "3"]


@pytest.mark.parametrize(
    ("old", "new", "kept"),
    [
        ("La a La b", "a La b", "2 3 4"), ("La a La b", "La a b", "1 2 4"), ("a La b La", "a La b", "1 2 3"),
        ("a La b La", "a b La", "1 3 4"), ("La La a", "La a", "2 3"), ("a La La", "a La", "1 3"),
    ],
)  # fmt: skip
def test_repeated_lines_are_told_apart_by_their_neighbours_where_there_are_many(monkeypatch, old, new, kept):
    """One "La" less: it is the one that has other lines beside it, the script's edges counting as such; else the first."""
    monkeypatch.setattr(line_ids, "LONGEST_RUNS", 0)
    before = [spoken(text, line_id=str(n)) for n, text in enumerate(old.split(), 1)]
    assert assign_ids(before, [spoken(text) for text in new.split()]) == kept.split()


def test_ids_are_sorted_as_they_stand():
    ids = ["10", "2B", "2", "2AA", "2A", "x"]
    assert sorted(ids, key=natural_order) == ["x", "2", "2A", "2AA", "2B", "10"]


def test_earlier_words_of_a_line_are_remembered_once():
    line = spoken("one", line_id="1").with_text_of(spoken("two"))
    assert line == spoken("two", line_id="1", was=("one",))
    assert line.with_text_of(spoken("Two!")).was == ("one",)
    assert line.with_text_of(spoken("three")).was == ("one", "two")
    assert line.with_text_of(spoken("One.")).was == ("two",)


# --- clips -------------------------------------------------------------------------------------------------------

NEVER, A, B = Wording(), Wording(old="a"), Wording(old="b")


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        (Wording("T: sea"), Wording("T: sea"), True), (Wording("T: sea"), Wording("T: tide"), False),
        (Wording("T: 7", "T: seven"), Wording("T: seven"), True), (Wording("T: 7", "T: seven"), Wording("T: 8"), False),
        (NEVER, NEVER, True), (NEVER, A, True), (A, NEVER, False), (A, A, True), (A, B, False), (NEVER, Wording("x"), True),
        (A, Wording("x", old="a"), True), (A, Wording("x", old="b"), False), (Wording("x", old="a"), B, False),
    ],
)  # fmt: skip
def test_a_request_is_known_by_its_words_or_in_old_files_by_its_hash(one, other, is_same):
    assert one.is_same(other) is is_same


def test_an_entry_is_back_when_something_came_or_a_person_decided():
    words = Wording("T: sea")
    assert not Entry(words).is_back
    assert Entry(words, files={"clips/C01.mp4": "aa"}).is_back
    assert Entry(words, accepted="x.mp4").is_back
    assert Entry(words, "dropped").is_back


def test_clips_stand_in_the_order_of_their_lines_and_parts():
    ids = ["C10", "C05.10", "C02A", "C05.2", "C02", "C05"]
    assert sorted(ids, key=clip_order) == ["C02", "C02A", "C05", "C05.2", "C05.10", "C10"]


def test_of_many_clips_ten_are_named():
    ids = tuple(f"C{n:02d}" for n in range(1, 14))
    assert Changes(new=ids[:12]).sentences() == [f"ask for: {', '.join(ids[:12])}"]
    assert Changes(dropped=ids).sentences() == [f"no longer in the script: {', '.join(ids[:10])} and 3 more"]


@pytest.mark.parametrize(("more", "is_again"), [(F(1, 1000), True), (F(999, 1_000_000), False), (F(-1, 1000), True)])
def test_a_length_that_differs_by_a_thousandth_is_asked_for_again(more, is_again):
    plan = small_plan()
    memory, first = update_memory(Memory(), plan)
    assert first.new == tuple(c.id for c in plan.clips)
    other = replace(memory.clips["C01"], ask=memory.clips["C01"].ask + more)
    after, changes = update_memory(Memory({**memory.clips, "C01": other}), plan)
    assert changes.again == (("C01",) if is_again else ())
    assert ("C01" in changes.open) is not is_again
    assert after.clips["C01"].ask == (memory.clips["C01"].ask if is_again else other.ask)


class File:
    """A file that came back, by name and content."""

    def __init__(self, name, content):
        self.name, self.content = name, content * 8


@pytest.mark.parametrize(
    ("files", "chosen"),
    [
        ("C01.mp4=a C01b.mp4=b", "C01.mp4"),  # it is there
        ("new.mp4=a C01b.mp4=b", "new.mp4"),  # renamed
        ("C01.mp4=x new.mp4=a", "new.mp4"),  # renamed, and another one has its name now
        ("C01.mp4=x C01b.mp4=b", "C01.mp4"),  # overwritten: the name counts
        ("C01.mp4=a new.mp4=a", "C01.mp4"),  # copied
        ("C01b.mp4=b", None),
    ],
)
@pytest.mark.parametrize("wish", ["C01.mp4", "clips/C01.mp4"])
def test_an_accepted_file_is_known_by_its_content_then_by_its_name(files, chosen, wish):
    plan = small_plan()
    wording = wording_of(plan, plan.clips[0])
    entry = Entry(wording, "accepted", files={"clips/C01.mp4": "a" * 8}, accepted=wish)
    there = [File(f"clips/{name}", content) for name, content in (one.split("=") for one in files.split())]
    found = Memory({"C01": entry}).chosen(plan, there)
    assert found == ({"C01": f"clips/{chosen}"} if chosen else {})


def test_an_accepted_file_that_nobody_remembers_is_taken_by_its_name_alone():
    plan = small_plan()
    entry = Entry(wording_of(plan, plan.clips[0]), "accepted", accepted="mine.mp4")
    there = [File("clips/mine.mp4", "a"), File("clips/other.mp4", "b")]
    assert Memory({"C01": entry}).chosen(plan, there) == {"C01": "clips/mine.mp4"}
    # ... or by what came back under that name for earlier words
    old = Earlier(Wording("x"), "accepted", files={"clips/mine.mp4": "b" * 8})
    assert Memory({"C01": replace(entry, earlier=(old,))}).chosen(plan, there) == {"C01": "clips/other.mp4"}


def test_what_came_back_is_counted_once_and_at_the_length_asked_for():
    plan = small_plan()
    memory, _ = update_memory(Memory(), plan, {"C01": {"clips/a.mp4": "a", "clips/b.mp4": "b"}})
    entry = memory.clips["C01"]
    assert (entry.state, entry.generated) == ("delivered", 2 * entry.ask)
    # b is overwritten: one more was made, and the old one is remembered
    memory, _ = update_memory(memory, plan, {"C01": {"clips/a.mp4": "a", "clips/b.mp4": "c"}})
    entry = memory.clips["C01"]
    assert (entry.generated, entry.replaced) == (3 * entry.ask, ("b",))
    # b is back under another name: nothing new
    memory, _ = update_memory(memory, plan, {"C01": {"clips/a.mp4": "a", "clips/old b.mp4": "b", "clips/b.mp4": "c"}})
    assert (memory.clips["C01"].generated, memory.clips["C01"].replaced) == (3 * entry.ask, ())
    assert memory.generated == 3 * entry.ask


# --- the series' own files ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pace", "kept"), [(0.25, None), (0.2506, 0.251), (0.2504, None), (3.9994, 3.999), (4.0, None), (1.23456, 1.235)]
)
def test_paces_are_kept_to_a_thousandth_and_only_likely_ones(tmp_path, pace, kept):
    assert keep_learnt(tmp_path, "storm", {"TANSY": LearntPace(pace, 4)}, {}) is (kept is not None)
    assert read_learnt(tmp_path).paces == ({"TANSY": {"storm": LearntPace(kept, 4)}} if kept else {})


def test_takes_are_kept_to_a_hundredth_and_a_row_that_says_the_same_is_not_written(tmp_path):
    assert keep_learnt(tmp_path, "storm", {}, {"talking": LearntTakes(F(10, 3), 3)})
    assert read_learnt(tmp_path).takes == {"talking": {"storm": LearntTakes(F("3.33"), 3)}}
    assert not keep_learnt(tmp_path, "storm", {}, {"talking": LearntTakes(F("3.334"), 3)})
    assert keep_learnt(tmp_path, "storm", {}, {"talking": LearntTakes(F("3.336"), 3)})
    assert keep_learnt(tmp_path, "storm", {}, {"talking": LearntTakes(F("3.336"), 4)})


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("pace = 0.25, lines = 1", None), ("pace = 4, lines = 1000000", None),
        ("pace = 0.249, lines = 1", "pace is a number from 0.25 to 4"), ("pace = 4.001, lines = 1", "from 0.25 to 4"),
        ("pace = 1, lines = 1000001", "lines is a whole number"), ("pace = 1, lines = true", "lines is a whole number"),
        ("pace = true, lines = 1", "pace is a number"), ("lines = 1", "pace is a number"),
    ],
)  # fmt: skip
def test_limits_of_a_learnt_row(tmp_path, row, said):
    (tmp_path / "learnt.toml").write_text(f"[pace.TANSY]\nstorm = {{ {row} }}\n", "utf-8")
    if said is None:
        assert read_learnt(tmp_path).paces["TANSY"].keys() == {"storm"}
    else:
        with pytest.raises(SettingsError, match=said):
            read_learnt(tmp_path)


MENU = ClipProfile("talking", (F(3), F(5), F(8)), takes=2, cost_per_s=F(1, 10))


@pytest.mark.parametrize(
    ("own", "paid"), [("5.5", "5"), ("5.51", "5.51"), ("2.5", "3"), ("2.49", "2.49"), ("8.5", "8")]
)
def test_a_file_within_half_a_second_of_the_menu_was_that_length(own, paid):
    assert returned(MENU, F(own), F(8)) == F(paid)
    assert returned(MENU, None, None) == 0


def test_a_month_is_one_of_one_year():
    rows = [
        Row(date(2026, 3, 2), "talking", F(3), F("0.3")), Row(date(2026, 3, 31), "talking", F(5)),
        Row(date(2025, 3, 2), "talking", F(100)), Row(date(2026, 2, 28), "talking", F(100)),
    ]  # fmt: skip
    month = month_of(rows, date(2026, 3, 15))
    assert month is not None
    used = month.used["talking"]
    assert (month.name, used.seconds, used.generations, used.money, used.unpriced) == ("2026-03", 8, 2, F("0.3"), 1)
    assert month_of([], date(2026, 3, 15)) is None


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_a_ledger_is_read_whatever_parts_its_cells(tmp_path, sign):
    rows = [list(COLUMNS), ["2026-03-31", "talking", "C01", "3", "0.3", "clips/a, b.mp4", "", "aa"]]
    text = "\n".join(sign.join(f'"{c}"' if sign in c else c for c in row) for row in rows)
    (tmp_path / "generated.csv").write_text(text, "utf-8")
    (row,) = read_ledger(tmp_path / "generated.csv")
    assert row == Row(date(2026, 3, 31), "talking", F(3), F("0.3"), "C01", "clips/a, b.mp4", "", "aa")
    assert record(small_plan(), tmp_path, [], date(2026, 4, 1)) == ()


# --- lines.toml -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ('1 = { text = "a", rest = { x = "b" } }', None), ('1 = { text = "a", rest = 3 }', "rest is a table of findings and hashes"),
        ('1 = { text = "a", rest = { x = 1 } }', "rest is a table"), ('1 = { text = "a", was = [1] }', "was is a list of texts"),
        ('1 = { text = "a", was = "b" }', "was is a list"), ("1 = { text = 3 }", "text and speaker are texts in quotes"),
        ('1 = { text = "a", speaker = 3 }', "text and speaker are texts"), ('1 = { speaker = "X" }', "text and speaker are texts"),
        ('1 = "a"', 'line 1 is written 1 = { text = "what is said" }'), ('x = { text = "a" }', '"x" is no number of a line'),
        ('1 = { text = "a", speker = "X" }', 'there is no key "speker"; did you mean "speaker"'),
        ('1 = { text = "a", kind = "sang" }', 'there is no kind "sang"; did you mean "sung"'),
        ('1 = { text = "a", kind = "qqqq" }', "it is one of spoken, sung, picture"),
        ('1 = { text = "a" }\n1 = { text = "b" }', "line 1 stands on row 2 already; give this one a free number, 1A"),
        ('1B = { text = "a" }\n1B = { text = "b" }', "give this one a free number, 1C"),
        ('<<<<<<< ours\n1 = { text = "a" }', "a merge is not finished here"), ('1 = { text = "a" }\n[gon]\n', 'did you mean gone'),
    ],
)  # fmt: skip
def test_rows_of_lines_toml_from_both_sides(tmp_path, row, said):
    (tmp_path / "lines.toml").write_text(f"[lines]\n{row}\n", "utf-8")
    if said is None:
        memory = read_lines(tmp_path)
        assert ([n.id for n in memory.lines], memory.rests) == (["1"], {"1": {"x": "b"}})
    else:
        with pytest.raises(SettingsError, match=said):
            read_lines(tmp_path)


def test_what_people_wrote_into_lines_toml_stays_where_it_is(tmp_path):
    text = (
        '# ours\n\n[lines]\n# about 1\n1 = { speaker = "TANSY", text = "Sea.", mood = "sad", "odd key" = [1, true] }  # ask Ada\n'
        '2 = { kind = "picture", text = "A \\"wave\\"." }\n\n# left\n[gone]\n3 = { text = "Hm.", was = ["Oh."] }\n4 = {}\n\n[studio]\nx = 1\n'
    )
    (tmp_path / "lines.toml").write_text(text, "utf-8")
    memory = read_lines(tmp_path)
    assert [(n.id, n.kind, n.speaker, n.text, n.was) for n in (*memory.lines, *memory.gone)] == [
        ("1", "spoken", "TANSY", "Sea.", ()), ("2", "picture", None, 'A "wave".', ()), ("3", "spoken", None, "Hm.", ("Oh.",)),
        ("4", "spoken", None, "", ()),
    ]  # fmt: skip
    written = lines_text(memory)
    for kept in (
        "# ours",
        "# about 1\n1 = ",
        'mood = "sad", "odd key" = [1, true] }  # ask Ada',
        "# left\n[gone]",
        "[studio]\nx = 1",
    ):
        assert kept in written
    (tmp_path / "lines.toml").write_text(written, "utf-8")
    again = read_lines(tmp_path)
    assert (again.lines, again.gone, lines_text(again)) == (memory.lines, memory.gone, written)
