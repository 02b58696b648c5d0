"""Compound metre everywhere: a bar of 6/8 has two beats, 9/8 three, 12/8 four.

The counts are those of printed music: G. Read, "Music Notation" (1979), chapter 10 (from memory): in 6/8, 9/8 and 12/8
the beat is the dotted quarter. Values worked out by hand from them.
"""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from timing.export.guide import clicks
from timing.model import Origin, Song
from timing.model.clock import FrameRate
from timing.model.metre import Metre
from timing.pipeline import plan_source
from timing.sheet.bars.bar_sheet import bars_of
from timing.sheet.frame.score import song_beats

PACKAGE = Path(__file__).parent.parent.parent / "timing"


def song(metre, bpm=60, bars=2, pick_up=0, start=0):
    """A song of equal beats whose first sound lies ``pick_up`` beats before bar 1."""
    a_beat, a_bar = Fraction(60, bpm), metre.beats
    beats = tuple(start + a_beat * n for n in range(pick_up + bars * a_bar))
    return Song(
        "s", Fraction(bpm), metre, Fraction(start), beats[-1] + a_beat, beats, beats[pick_up::a_bar], Origin.FITTED
    )


@pytest.mark.parametrize(
    ("written", "beats", "parts", "quarters"),
    [
        ((2, 4), 2, 2, 1), ((3, 4), 3, 2, 1), ((4, 4), 4, 2, 1), ((5, 4), 5, 2, 1), ((2, 2), 2, 2, 2),
        ((3, 8), 3, 2, Fraction(1, 2)), ((6, 8), 2, 3, Fraction(3, 2)), ((9, 8), 3, 3, Fraction(3, 2)),
        ((12, 8), 4, 3, Fraction(3, 2)), ((6, 4), 6, 2, 1),
    ],
)  # fmt: skip
def test_beats_of_a_bar_and_their_parts(written, beats, parts, quarters):
    metre = Metre(*written)
    assert (metre.beats, metre.parts, metre.quarters) == (beats, parts, quarters)


def test_two_bars_of_six_eight_at_60_last_four_seconds():
    # 2 bars x 2 dotted quarters x 1 s.
    assert Metre(6, 8).bars_s(2, Fraction(60)) == 4
    assert Metre(9, 8).bars_s(1, Fraction(90)) == 2
    assert Metre(4, 4).bars_s(2, Fraction(96)) == 5


@pytest.mark.parametrize(("metre", "seconds"), [("6/8", 4), ("4/4", 8), ("9/8", 6), ("12/8", 8), ("3/4", 6)])
def test_a_passage_noted_in_bars_lasts_as_long_as_the_songs_bars(tmp_path, metre, seconds):
    (tmp_path / "episode.toml").write_text(f'[song.row]\nbpm = 60\nmetre = "{metre}"\n', encoding="utf-8")
    (tmp_path / "script.txt").write_text(
        "Title: Row\n\nThe tide comes in. [[2 bars]]\n\n[[song row, bar 1]]\n~ Out and in the sea goes\n",
        encoding="utf-8",
    )
    picture = plan_source(tmp_path).lines[0]
    assert (picture.kind.value, picture.length) == ("picture", seconds)


def test_a_pick_up_counts_back_from_bar_one():
    assert [(b.bar, b.number) for b in song(Metre(6, 8), pick_up=1).counted] == [(0, 2), (1, 1), (1, 2), (2, 1), (2, 2)]
    assert [(b.bar, b.number) for b in song(Metre(3, 4), bars=1, pick_up=2).counted] == [
        (0, 2), (0, 3), (1, 1), (1, 2), (1, 3),
    ]  # fmt: skip


def test_the_pages_number_the_pick_up_as_the_song_does():
    rate = FrameRate.parse(24)
    counted = [(bar, beat) for _, bar, beat in song_beats(song(Metre(6, 8), pick_up=1), rate) if beat]
    assert counted == [(0, 2), (1, 1), (1, 2), (2, 1), (2, 2)]
    bars = bars_of(song(Metre(6, 8), pick_up=1), rate)
    assert [(b.number, b.first_beat, len(b.beats)) for b in bars] == [(0, 2, 1), (1, 1, 2), (2, 1, 2)]


def test_a_beat_of_six_eight_is_ticked_at_its_thirds_and_one_of_four_four_at_its_half():
    rate = FrameRate.parse(24)  # at 60 a beat lasts 24 frames: eighths of a dotted quarter every 8
    between = [frame for frame, bar, beat in song_beats(song(Metre(6, 8), bars=1), rate) if beat == 0 and bar == 1]
    assert between == [8, 16]
    between = [frame for frame, bar, beat in song_beats(song(Metre(4, 4), bars=1), rate) if beat == 0 and bar == 1]
    assert between == [12, 36, 60]


@pytest.mark.parametrize(("metre", "beats"), [((6, 8), 2), ((9, 8), 3), ((12, 8), 4), ((3, 4), 3)])
def test_the_count_in_is_one_bar(metre, beats):
    # At 60 from 10 s on: as many clicks a second apart as a bar has beats before bar 1, the first of them accented.
    bar = [True] + [False] * (beats - 1)
    found = clicks(song(Metre(*metre), bars=1, start=10))
    assert found == list(zip(range(10 - beats, 10 + beats), bar * 2, strict=True))


def test_nobody_reads_beats_off_the_written_numbers():
    for path in PACKAGE.rglob("*.py"):
        assert not re.search(r"metre\[\d\]", path.read_text("utf-8")), path
