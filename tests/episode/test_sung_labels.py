"""The person's word about a song: bars, sung lines, words, syllables; what is not spoken of stays where it was."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.episode.labels_out import label_files
from timing.episode.sung_lines import with_labels
from timing.memory.labels import parse_labels
from timing.model import Origin
from timing.model.findings import FindingCode
from timing.model.labels import bars_meant
from timing.model.metre import COMMON_TIME
from timing.pipeline import plan_source, write_plan
from timing.plain.errors import InputError
from timing.plain.resources import example_files, example_heard
from timing.song.clock import SongClock

SONG = "labels/songs/out-and-in.txt"


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    folder = tmp_path_factory.mktemp("episode")
    for name, content in example_files().items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    (folder / "out" / ".store").mkdir(parents=True)
    for name, content in example_heard().items():
        (folder / "out" / ".store" / name).write_bytes(content)
    return folder, plan_source(folder)


@pytest.fixture
def with_rows(planned):
    folder, _ = planned
    path = folder / "songs" / "out-and-in.txt"

    def plan(text):
        path.write_text(text, "utf-8")
        return plan_source(folder)

    yield plan
    path.unlink(missing_ok=True)


def sung(plan):
    return {line.id: line for line in plan.lines if line.song}


def times(line):
    return [(s.start, s.end, s.bar, s.beat) for s in line.syllables]


def test_labels_moved_beside_their_sounds_change_no_time(planned, tmp_path):
    folder, before = planned
    files = label_files(before, folder)
    assert set(files) == {
        SONG, "labels/recordings/3 bram.txt", "labels/recordings/5 bram long one.txt",
        "labels/recordings/bram rest.txt", "labels/recordings/tansy in the kitchen.txt",
    }  # fmt: skip
    placed = [folder / name.removeprefix("labels/") for name in files]
    try:
        for path, content in zip(placed, files.values(), strict=True):
            path.write_bytes(content)
        after = plan_source(folder)
    finally:
        for path in placed:
            path.unlink()
    for old, new in zip(before.lines, after.lines, strict=True):
        assert times(new) == times(old)
        assert (new.start, new.end, new.take, new.take_start) == (old.start, old.end, old.take, old.take_start)
        if old.song or old.take:
            assert {s.origin for s in new.syllables} == {Origin.PINNED}
    assert after.songs[0].beats == before.songs[0].beats
    assert after.findings == before.findings
    assert label_files(after, folder) == files
    assert write_plan(after, tmp_path, folder).paths


def test_a_moved_syllable_moves_its_own_line_only(planned, with_rows):
    _, before = planned
    start = before.songs[0].start
    (line,) = [n for n in sung(before).values() if "gently" in n.text]
    word = next(w for w in line.words if w.text == "gently")
    assert [s.text for s in word.syllables] == ["gen", "tly"]
    old = word.syllables[1]
    by = Fraction(1, 10)
    rows = [
        f"{float(line.start - start):.6f}\t{float(line.end - start):.6f}\t{line.id}",
        f"{float(old.start - start - by):.6f}\t{float(old.end - start):.6f}\ttly",
    ]
    after = with_rows("\n".join(rows))
    for line_id, other in sung(before).items():
        if line_id != line.id:
            assert times(sung(after)[line_id]) == times(other)
    new = sung(after)[line.id]
    gen, tly = next(w for w in new.words if w.text == "gently").syllables
    assert float(tly.start - old.start) == pytest.approx(-0.1, abs=2e-6)
    assert tly.origin is Origin.PINNED
    assert gen.end == tly.start
    assert gen.start == word.syllables[0].start
    assert times(new)[:-2] == times(line)[:-2]


def test_a_moved_bar_moves_the_beats_beside_it(with_rows, planned):
    _, before = planned
    song = before.songs[0]
    moments = [m - song.start for m in song.downbeats]
    rows = [f"{float(m):.6f}\t{float(m):.6f}\tbar {n}" for n, m in enumerate(moments, 1)]
    rows[3] = f"{float(moments[3]) + 0.05:.6f}\t{float(moments[3]) + 0.05:.6f}\tbar 4"
    after = with_rows("\n".join(rows)).songs[0]
    moved = [float(a - after.start - m) for a, m in zip(after.downbeats, moments, strict=True)]
    assert moved[3] == pytest.approx(0.05, abs=1e-6)
    assert [m for n, m in enumerate(moved) if n != 3] == pytest.approx([0] * (len(moved) - 1), abs=1e-6)
    assert after.origin is Origin.PINNED


def test_one_bar_alone_moves_all_of_them():
    clock = SongClock.steady(Fraction(120), COMMON_TIME, 4, False)
    bars, rest = bars_meant(parse_labels("2,5\t2,5\tbar 2\n1\t2\t13\n"))
    assert [n.text for n in rest] == ["13"]
    # At 120 bpm a bar of 4/4 lasts 2 s: bar 2 began at 2 s and begins at 2.5 s.
    assert clock.with_bars(bars).downbeats == tuple(Fraction(1, 2) + 2 * n for n in range(4))


def test_between_two_bars_the_beats_share_the_room_evenly():
    clock = SongClock.steady(Fraction(120), COMMON_TIME, 3, False)
    bars, _ = bars_meant(parse_labels("0\t0\tbar 1\n2.4\t2.4\tbar 2\n"))
    beats = clock.with_bars(bars).beats
    assert beats[:5] == tuple(Fraction(n * 6, 10) for n in range(5))
    assert beats[5] - beats[4] == Fraction(1, 2)


def test_bars_out_of_order_are_an_error():
    clock = SongClock.steady(Fraction(120), COMMON_TIME, 4, False)
    bars, _ = bars_meant(parse_labels("4\t4\tbar 2\n3\t3\tbar 3\n", "songs/a.txt"))
    with pytest.raises(InputError, match=r"songs/a\.txt:2: .* begins before"):
        clock.with_bars(bars)
    with pytest.raises(InputError, match="bar 2 has a row already"):
        bars_meant(parse_labels("1\t1\tbar 2\n3\t3\tbar 2\n"))


def test_rows_that_fit_nothing_are_told(with_rows):
    plan = with_rows("1\t1\tbar 99\n0.2\t0.3\tmackerel\n")
    assert [str(f.where) for f in plan.findings if f.code == "label-unused"] == [
        "songs/out-and-in.txt:2",
        "songs/out-and-in.txt:1",
    ]


def test_a_song_without_labels_is_as_it_was(planned):
    from timing.song.fit import FittedSong

    _, plan = planned
    fitted = FittedSong(plan.songs[0], ())
    assert with_labels(fitted, [], []) == (fitted, [])


def test_a_bar_told_otherwise_than_the_first_beat_in_the_settings_is_said(with_rows):
    # The example's downbeat_s is 2.5 at 96 bpm in 4/4: bar 3 begins 2 x 2.5 s later, at 7.5 s.
    plan = with_rows("7.700\t7.700\tbar 3\n")
    (found,) = [f for f in plan.findings if f.code is FindingCode.BARS_TOLD_TWICE]
    assert "bar 3 begins at 7.700 s by its row, where downbeat_s puts it at 7.5" in found.message
    assert "every bar of the song moves with it" in found.message
    assert found.where is not None
    near = with_rows("7.550\t7.550\tbar 3\n")
    assert not [f for f in near.findings if f.code is FindingCode.BARS_TOLD_TWICE]
