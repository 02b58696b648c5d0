"""generated.csv: rows by content, people's rows kept, what is left of a month."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from tests.export.plans import line, plan_of
from timing.delivery.verdict import Check
from timing.memory.ledger import FILE_NAME, left_this_month, month_of, read_ledger, record, returned, today
from timing.model.clock import FrameRate
from timing.model.settings import Budget, ClipProfile, EpisodeSettings
from timing.plain.errors import OutputError, SettingsError

F = Fraction
RATE = FrameRate(F(24))
MARCH = date(2026, 3, 31)
TALKING = ClipProfile("talking", (F(3), F(5), F(8)), takes=2, cost_per_s=F(1, 10), seconds_a_month=F(60))
EFFECTS = ClipProfile(
    "effects", (F(5), F(10)), price_by_length=((F(5), F(10)), (F(10), F(20))), generations_a_month=4
)  # fmt: skip
PANS = ClipProfile("pans", (F(10),), unlimited=True)
SETTINGS = EpisodeSettings(
    profiles={p.name: p for p in (TALKING, EFFECTS, PANS)}, default_profile="talking",
    budget=Budget(money_a_month=F(100), currency="EUR"),
)  # fmt: skip


def plan():
    lines = [
        line("1", "One two three four five.", 1, RATE),
        line("2", "One two three.", 9, RATE, profile="effects"),
        line("3", "One two three.", 19, RATE, profile="pans"),
    ]
    return plan_of(lines, SETTINGS)


def check(clip, content, frames, rate=24):
    return Check(f"clips/{clip} {content}.mp4", clip, rate=F(rate), frames=frames, content=content * 16)


def text(folder):
    return (folder / FILE_NAME).read_bytes().decode("utf-8-sig")


def test_a_new_file_is_a_row_at_the_length_that_was_paid_for(tmp_path):
    # 74 frames of 24 a second are 3.08 s: 3 s of the menu, 0.30; 120 of 24 are 5 s: 10; 240 of 24 are 10 s, unlimited
    checks = [check("C01", "aaaa", 74), check("C02", "bbbb", 120), check("C03", "cccc", 240)]
    rows = record(plan(), tmp_path, checks, MARCH)
    assert [(r.profile, r.clip, r.seconds, r.cost) for r in rows] == [
        ("talking", "C01", 3, F("0.3")), ("effects", "C02", 5, 10), ("pans", "C03", 10, 0),
    ]  # fmt: skip
    assert text(tmp_path).splitlines()[1] == "2026-03-31,talking,C01,3,0.3,clips/C01 aaaa.mp4,,aaaaaaaa"
    assert read_ledger(tmp_path / FILE_NAME, SETTINGS) == rows


def test_a_length_on_no_menu_is_the_files_own():
    assert returned(TALKING, F(13, 2), F(5)) == F(13, 2)
    assert returned(TALKING, F(141, 24), F(5)) == F(141, 24)  # 5.875 s: 0.875 from 5
    assert returned(TALKING, None, F(5)) == 5


def test_nothing_is_counted_twice_and_nothing_written_where_nothing_is_new(tmp_path):
    record(plan(), tmp_path, [check("C01", "aaaa", 74)], MARCH)
    before = (tmp_path / FILE_NAME).read_bytes()
    stamp = (tmp_path / FILE_NAME).stat().st_mtime_ns
    copy = replace(check("C01", "aaaa", 74), file="clips/C01 copy.mp4")
    assert record(plan(), tmp_path, [copy, check("C01", "aaaa", 74)], date(2026, 4, 1)) == ()
    assert (tmp_path / FILE_NAME).read_bytes() == before
    assert (tmp_path / FILE_NAME).stat().st_mtime_ns == stamp
    (row,) = record(plan(), tmp_path, [copy, check("C01", "dddd", 120)], date(2026, 4, 1))
    assert (row.day, row.seconds) == (date(2026, 4, 1), 5)
    assert (tmp_path / FILE_NAME).read_bytes().startswith(before)


def test_peoples_rows_are_kept_as_they_are_and_counted(tmp_path):
    own = "date;profile;seconds;cost;note;mood\n2026-03-02;talking;8;0,8;mouth wrong;bad\n2026-02-27;talking;5;;;\n"
    (tmp_path / FILE_NAME).write_bytes(own.rstrip("\n").encode())
    record(plan(), tmp_path, [check("C01", "aaaa", 74)], MARCH)
    head, rest = own.split("\n", 1)
    new = "2026-03-31;talking;3;0.3;;;C01;clips/C01 aaaa.mp4;aaaaaaaa\n"
    assert text(tmp_path) == f"{head};clip;file;content\n{rest}{new}"
    assert record(plan(), tmp_path, [check("C01", "aaaa", 74)], MARCH) == ()
    rows = read_ledger(tmp_path / FILE_NAME, SETTINGS)
    # March: 8 + 3 of 60 s; the February row is of another month; 0.80 + 0.30 of 100
    assert left_this_month(month_of(rows, MARCH), SETTINGS) == [
        "used this month, [budget]: 1.10 of 100.00 EUR, 98.90 EUR left",
        "used this month, profile talking: 11 of 60 s, 49 s left",
        "used this month, profile effects: 0 of 4 generations, 4 generations left",
    ]


def test_the_ledger_of_a_series_is_one_for_all_its_episodes(tmp_path):
    (tmp_path / "series.toml").write_text("", "utf-8")
    for name, content in (("one", "aaaa"), ("two", "bbbb")):
        (tmp_path / name).mkdir()
        record(plan(), tmp_path / name, [check("C01", content, 74)], MARCH)
    assert [r.file for r in read_ledger(tmp_path / FILE_NAME)] == ["one/clips/C01 aaaa.mp4", "two/clips/C01 bbbb.mp4"]


@pytest.mark.parametrize(
    ("content", "message", "number"),
    [
        ("date,profile,secs\n", 'there is no column "seconds"', 1),
        ("date,profile,seconds\n31.3.2026,talking,3\n", '"31.3.2026" is not a date', 2),
        ("date,profile,seconds\n2026-03-31,talkin,3\n", 'did you mean "talking"', 2),
        ("date,profile,seconds\n2026-03-31,talking,three\n", 'seconds is a number without a unit, not "three"', 2),
        ("date,profile,seconds\n\n2026-03-31,talking,\n", "the seconds are missing", 3),
        ("date,profile,seconds\n2026-03-31,,3\n", "name the profile that made it", 2),
        ("date,profile,seconds\n2026-03-31,talking,5 s\n", 'seconds is a number without a unit, not "5 s"', 2),
        ("date,profile,seconds\n2026-03-31,talking,-3\n", 'seconds is a number without a unit, not "-3"', 2),
        ("date,profile,seconds,cost\n2026-03-31,talking,3,0,30\n", '"30" stands beyond the last column', 2),
        (
            'date,profile,seconds,note\n2026-03-31,talking,3,"too dark\n2026-03-31,talking,3,\n',
            "quotes are not closed",
            2,
        ),
        ("2026-03-31,talking,3\n", 'there is no column "date"', 1),
    ],
)
def test_a_slip_is_one_sentence_and_the_file_stays_as_it_is(tmp_path, content, message, number):
    (tmp_path / FILE_NAME).write_text(content, "utf-8")
    with pytest.raises(SettingsError) as error:
        record(plan(), tmp_path, [check("C01", "aaaa", 74)], MARCH)
    assert message in error.value.message
    assert error.value.line_number == number
    assert text(tmp_path) == content


def test_a_note_over_two_lines_is_one_row_and_the_next_slip_has_its_own_line(tmp_path):
    head = 'date,profile,seconds,note\n2026-03-31,talking,3,"too\ndark"\n'
    (tmp_path / FILE_NAME).write_text(head, "utf-8")
    assert [r.note for r in read_ledger(tmp_path / FILE_NAME, SETTINGS)] == ["too\ndark"]
    (tmp_path / FILE_NAME).write_text(f"{head}2026-03-31,talking,x,\n", "utf-8")
    with pytest.raises(SettingsError) as error:
        read_ledger(tmp_path / FILE_NAME, SETTINGS)
    assert error.value.line_number == 4


def test_two_copies_put_together_count_once(tmp_path):
    record(plan(), tmp_path, [check("C01", "aaaa", 74)], MARCH)
    head, row = text(tmp_path).replace("\r\n", "\n").strip().split("\n")
    (tmp_path / FILE_NAME).write_text(f"{head}\n{row}\n{row}\n", "utf-8")
    assert len(read_ledger(tmp_path / FILE_NAME, SETTINGS)) == 1


def test_a_row_of_another_episode_with_a_profile_of_its_own_is_no_slip(tmp_path):
    row = "date,profile,seconds,content\n2026-03-31,talkies,3,{}\n"
    (tmp_path / FILE_NAME).write_text(row.format("abcd"), "utf-8")
    assert read_ledger(tmp_path / FILE_NAME, SETTINGS)[0].profile == "talkies"
    (tmp_path / FILE_NAME).write_text(row.format(""), "utf-8")
    with pytest.raises(SettingsError, match='did you mean "talking"'):
        read_ledger(tmp_path / FILE_NAME, SETTINGS)


def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path):
    (tmp_path / ".lock").mkdir()
    with pytest.raises(OutputError, match="cannot be written"):
        record(plan(), tmp_path, [check("C01", "aaaa", 74)], MARCH)


def test_the_date_can_be_given_from_outside(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1774915200")  # 2026-03-31 00:00 UTC: 20,543 days of 86,400 s
    assert today() == MARCH
