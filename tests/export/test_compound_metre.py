"""A song in compound metre as a MIDI file, held against readers of that format and against values worked out by hand.

In 6/8, 9/8 and 12/8 the beat is the dotted quarter: two, three, four beats a bar (G. Read, "Music Notation", 1979,
chapter 10, from memory; any primer of theory). MIDI counts quarters: "Standard MIDI Files 1.0" gives FF 58 04 06 03 24 08
for 6/8 with a metronome that clicks each dotted quarter (hexadecimal 24 is 36 clocks, of 24 a quarter). At 60 dotted
quarters a minute a quarter lasts two thirds of a second, 666,667 microseconds, which is 0A2C2B.
"""

from __future__ import annotations

import io
from fractions import Fraction

import mido
import pytest

from timing.export.midi import song_midi
from timing.pipeline import plan_source

A_BEAT_TICKS = 1440  # one and a half quarters of 960
METRES = [("6/8", 2), ("9/8", 3), ("12/8", 4)]


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    def plan(metre, beats):
        folder = tmp_path_factory.mktemp("song")
        (folder / "episode.toml").write_text(f'[song.row]\nbpm = 60\nmetre = "{metre}"\n', encoding="utf-8")
        (folder / "script.txt").write_text(
            "Title: Row\n\n[[song row, bar 1]]\n"
            f"~ The@0:{beats}+2/3 sea@1:1 goes@1:1+2/3 out@1:2\n\n[[song row, bar 3]]\n~ In@1:1 now@1:{beats}\n",
            encoding="utf-8",
        )
        return plan_source(folder)

    return {metre: plan(metre, beats) for metre, beats in METRES}


def lyric_seconds_mido(data):
    at, found = 0.0, {}
    for message in mido.MidiFile(file=io.BytesIO(data), charset="utf-8"):
        at += message.time
        if message.type == "lyrics":
            found[message.text.strip().lower()] = at
    return found


def lyric_seconds_symusic(data):
    symusic = pytest.importorskip("symusic")
    score = symusic.Score.from_midi(data).to("second")
    return {one.text.strip().lower(): one.time for track in score.tracks for one in track.lyrics}


@pytest.mark.parametrize(("metre", "beats"), METRES)
@pytest.mark.parametrize("read", [lyric_seconds_mido, lyric_seconds_symusic])
def test_syllables_of_a_compound_bar_lie_where_readers_put_them(planned, metre, beats, read):
    # The file begins with the whole pick-up bar: bar 1 is ``beats`` seconds later. "The" is a third before bar 1, the
    # second line begins two bars after the first and ends on the last beat of its bar.
    heard = read(song_midi(planned[metre], "row"))
    bar = beats
    by_hand = {
        "the": bar - 1 / 3, "sea": bar, "goes": bar + 2 / 3, "out": bar + 1,
        "in": 3 * bar, "now": 3 * bar + beats - 1,
    }  # fmt: skip
    assert heard == pytest.approx(by_hand, abs=2e-5)


@pytest.mark.parametrize(("metre", "beats"), METRES)
def test_the_bytes_are_those_of_the_specification(planned, metre, beats):
    data = song_midi(planned[metre], "row")
    eighths = 3 * beats
    assert data.count(bytes([0xFF, 0x58, 0x04, eighths, 3, 0x24, 8])) == 1
    assert data.count(bytes.fromhex("FF5103 0A2C2B")) == 1
    track = mido.MidiFile(file=io.BytesIO(data), charset="utf-8").tracks[1]
    at, ticks = 0, {}
    for message in track:
        at += message.time
        if message.type == "lyrics":
            ticks[message.text.strip().lower()] = at
    assert ticks["sea"] == beats * A_BEAT_TICKS
    assert (ticks["the"], ticks["goes"]) == (ticks["sea"] - 480, ticks["sea"] + 960)


def test_a_simple_bar_clicks_each_quarter_and_an_alla_breve_each_half(tmp_path):
    for metre, written in (("4/4", "FF5804 04 02 18 08"), ("2/2", "FF5804 02 01 30 08"), ("3/8", "FF5804 03 03 0C 08")):
        (tmp_path / "episode.toml").write_text(f'[song.row]\nbpm = 60\nmetre = "{metre}"\n', encoding="utf-8")
        (tmp_path / "script.txt").write_text("Title: Row\n\n[[song row, bar 1]]\n~ Out and in\n", encoding="utf-8")
        assert bytes.fromhex(written) in song_midi(plan_source(tmp_path), "row"), metre


@pytest.mark.parametrize(("metre", "beats"), METRES)
def test_plan_and_bars_say_the_same_as_the_readers(planned, metre, beats):
    plan = planned[metre]
    song = plan.songs[0]
    assert song.metre.beats == beats
    bar_one = song.first_downbeat
    the, sea, goes, out = (s for w in next(line for line in plan.lines if line.song).words for s in w.syllables)
    assert [s.start - bar_one for s in (the, sea, goes, out)] == [Fraction(-1, 3), 0, Fraction(2, 3), 1]
    assert [(s.bar, s.beat) for s in (the, sea, goes, out)] == [
        (0, beats + Fraction(2, 3)), (1, 1), (1, Fraction(5, 3)), (1, 2),
    ]  # fmt: skip
