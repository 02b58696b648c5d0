"""The person's word about a recording: a row a line, a row a word; what is not spoken of stays as it was heard."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from tests.recording.sounds import write_wav
from tests.recording.test_listen import SCRIPT, hear
from timing.memory.labels import parse_labels, write_labels
from timing.model import Origin
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.plain.errors import InputError
from timing.store.store import Store

MEMO = "recordings/memo.wav"


@pytest.fixture
def memo(tmp_path, say, room):
    """Lines 2, 3 and 5 read one after another; returns the folder and where each line's first sound lies."""
    (tmp_path / "recordings").mkdir()
    parts, where, at = [room(0.5)], {}, 0.5
    for line_id in ("2", "3", "5"):
        samples, truth = say(SCRIPT[line_id], "slt")
        where[line_id] = [(w.text, at + w.start, at + w.end) for w in truth]
        parts += [samples, room(0.8)]
        at += len(samples) / 16000 + 0.8
    write_wav(tmp_path / "recordings" / "memo.wav", np.concatenate(parts))
    return tmp_path, where


def hear_with(folder, text="", **options):
    labels = {MEMO: parse_labels(text, "recordings/memo.txt")} if text else {}
    return hear(folder, labels=labels, store=Store(folder / "kept"), **options)


def in_file(line):
    return [(w.text, w.start + line.take_start, w.end + line.take_start) for w in line.words]


def rows_of(heard, line_ids):
    found = []
    for line_id in line_ids:
        words = in_file(heard.lines[line_id])
        found.append(Label(words[0][1], words[-1][2], f"{line_id}: as heard"))
        found += [Label(start, end, text) for text, start, end in words]
    return write_labels(found).decode()


def test_labels_that_say_what_was_heard_change_no_time(memo):
    folder, _ = memo
    before = hear_with(folder)
    after = hear_with(folder, rows_of(before, ("2", "3", "5")))
    for line_id in ("2", "3", "5"):
        old, new = before.lines[line_id], after.lines[line_id]
        assert in_file(new) == in_file(old)
        assert [(s.start, s.end, s.phones, s.phone_starts) for s in new.syllables] == [
            (s.start, s.end, s.phones, s.phone_starts) for s in old.syllables
        ]
        assert (new.confidence, new.findings, new.take) == (old.confidence, old.findings, old.take)
        assert (old.origin, new.origin) == (Origin.MEASURED, Origin.PINNED)
    assert after.findings == before.findings


def test_one_word_moved_by_80_ms_moves_that_line_only(memo):
    folder, _ = memo
    before = hear_with(folder)
    words = in_file(before.lines["3"])
    text, start, end = words[2]
    by = Fraction(8, 100)
    said = rows_of(before, ("2", "3", "5"))
    old = write_labels([Label(start, end, text)]).decode()
    assert said.count(old) == 1
    after = hear_with(folder, said.replace(old, write_labels([Label(start + by, end + by, text)]).decode()))
    for line_id in ("2", "5"):
        assert in_file(after.lines[line_id]) == in_file(before.lines[line_id])
    now = in_file(after.lines["3"])
    micro = Fraction(1, 10**6)
    assert now[2][0] == text
    assert abs(now[2][1] - start - by) <= micro
    assert abs(now[2][2] - end - by) <= micro
    assert now[:2] == words[:2]
    assert now[4:] == words[4:]
    assert now[3][1] >= now[2][2]


def test_one_row_for_one_word_has_the_rest_measured_around_it(memo):
    folder, _ = memo
    before = hear_with(folder)
    words = in_file(before.lines["3"])
    text, start, end = words[3]
    after = hear_with(folder, f"{float(start) + 0.08:.6f}\t{float(end) + 0.08:.6f}\t{text}\n")
    line = after.lines["3"]
    now = in_file(line)
    assert float(now[3][1]) == pytest.approx(float(start) + 0.08, abs=1e-6)
    assert line.words[3].syllables[0].origin is Origin.PINNED
    assert line.words[0].syllables[0].origin is Origin.MEASURED
    assert all(b[1] >= a[2] for a, b in zip(now, now[1:], strict=False))
    # Far from the word, what is heard again is where it was.
    assert float(now[0][1]) == pytest.approx(float(words[0][1]), abs=0.03)
    assert float(now[-1][2]) == pytest.approx(float(words[-1][2]), abs=0.03)
    assert in_file(after.lines["2"]) == in_file(before.lines["2"])


def test_a_row_without_length_says_only_where_a_word_begins(memo):
    folder, _ = memo
    before = hear_with(folder)
    text, start, end = in_file(before.lines["3"])[3]
    after = hear_with(folder, f"{float(start) + 0.05:.6f}\t{float(start) + 0.05:.6f}\t{text}\n")
    now = in_file(after.lines["3"])[3]
    assert float(now[1]) == pytest.approx(float(start) + 0.05, abs=1e-6)
    assert float(now[2]) == pytest.approx(float(end), abs=0.05)


def test_a_line_that_was_not_found_is_measured_where_one_row_says(memo, monkeypatch):
    folder, where = memo
    monkeypatch.setattr("timing.hearing.line_places.find_lines", lambda *_: ())
    assert hear_with(folder).lines == {}
    words = where["3"]
    after = hear_with(folder, f"{words[0][1]:.3f}\t{words[-1][2]:.3f}\t3\n")
    assert set(after.lines) == {"3"}
    line = after.lines["3"]
    assert line.origin is Origin.PINNED
    assert [float(start) for _, start, _ in in_file(line)] == pytest.approx([w[1] for w in words], abs=0.06)
    assert float(line.take_start) == pytest.approx(words[0][1], abs=0.001)
    assert float(line.take_start + line.length) == pytest.approx(words[-1][2], abs=0.001)


def test_a_chosen_stretch_is_that_line(memo):
    folder, where = memo
    words = where["2"]
    after = hear_with(folder, chosen={"2": f"{MEMO}@{words[1][1]:.2f}-{words[-1][2]:.2f}"})
    line = after.lines["2"]
    assert float(line.take_start) == pytest.approx(words[1][1], abs=0.006)
    assert float(line.take_start + line.length) == pytest.approx(words[-1][2], abs=0.006)
    assert line.origin is Origin.PINNED
    assert [f.code for f in hear_with(folder, chosen={"2": "recordings/no.wav@1-2"}).findings] == [
        FindingCode.CHOSEN_MISSING
    ]


def test_a_row_wins_over_a_later_reading(memo, say):
    folder, where = memo
    write_wav(folder / "recordings" / "retake.wav", say(SCRIPT["3"], "slt")[0])
    assert hear_with(folder).lines["3"].take == "recordings/retake.wav"
    words = where["3"]
    assert hear_with(folder, f"{words[0][1]:.3f}\t{words[-1][2]:.3f}\t3\n").lines["3"].take == MEMO


def test_a_label_that_fits_nothing_is_told(memo):
    folder, where = memo
    start, end = where["3"][0][1], where["3"][-1][2]
    text = f"{start:.3f}\t{end:.3f}\t3\n{start + 0.1:.3f}\t{start + 0.2:.3f}\tmackerel\n0.1\t0.2\t99\n"
    after = hear_with(folder, text)
    assert [f.code for f in after.findings] == [FindingCode.LABEL_UNUSED] * 2
    assert {str(f.where) for f in after.findings} == {"recordings/memo.txt:2", "recordings/memo.txt:3"}
    assert "3" in after.lines


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("{a:.3f}\t{b:.3f}\t3\n0.0\t{b:.3f}\t3\n", "line 3 has a row already"),
        ("{a:.3f}\t{b:.3f}\t3\n{c:.3f}\t{d:.3f}\tlittle\n", "partly outside its line's row"),
        ("{a:.3f}\t{b:.3f}\t3\n{a:.3f}\t{e:.3f}\trock,\n{e:.3f}\t{b:.3f}\ttight\n", "begins before"),
        ("{a:.3f}\t{a:.3f}\t3\n", "has no length"),
    ],
)
def test_labels_that_contradict_each_other_are_an_error(memo, rows, said):
    folder, where = memo
    a, b = where["3"][0][1], where["3"][-1][2]
    text = rows.format(a=a, b=b, c=b - 0.1, d=b + 0.05, e=(a + b) / 2)
    with pytest.raises(InputError, match=said) as caught:
        hear_with(folder, text)
    assert str(caught.value).startswith("recordings/memo.txt:")


@pytest.mark.parametrize("row", ["900\t901\t2", "900\t901\t2: as heard\n900.1\t900.5\tgoes", "900\t901\tgoes"])
def test_a_row_behind_the_end_of_its_sound_is_told(memo, row):
    folder, _ = memo
    heard = hear_with(folder, row)
    told = [f for f in heard.findings if f.code is FindingCode.LABEL_UNUSED]
    assert len(told) == row.count("\n") + 1
    assert heard.lines["2"].take_start < 10
