"""Sung lines in their bars at the limits: clocks of songs, rhythms, breaths, findings, worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import numpy as np
import pytest

from tests.song.test_fit import AT_24, OUT_AND_IN, fit, sung
from timing.model import BeatGrid, Finding, SongCue, Syllable, Where
from timing.model.findings import FindingCode as Code
from timing.model.labels import Label
from timing.model.metre import COMMON_TIME, Metre
from timing.model.settings import SongSettings
from timing.plain.errors import RecordingError, ScriptError, SettingsError
from timing.song import fit as module
from timing.song.beats import grid as grids
from timing.song.beats.bars import BarCandidate
from timing.song.beats.pieces import Piece, Tracked
from timing.song.beats.preview import write_preview
from timing.song.beats.steady import Steady
from timing.song.beats.tempo import Candidate
from timing.song.clock import SongClock
from timing.song.cuts import cut_findings
from timing.song.fit import _Bound, _breathe, _fit_findings, _from_tune, _time, _told_twice, _within
from timing.song.frames import whole_frame_tempos, whole_frame_tempos_within
from timing.song.kept import SongBeats
from timing.song.lyrics.notes import Note
from timing.song.lyrics.setting import Placed
from timing.song.performances import Sung, performances
from timing.song.tunes.tune import Found

HERE = Where("song.txt", 3)


def placed(positions, lengths=None, bars=2, squeezed=False):
    own = tuple(Note((Syllable("x"),), n, n + 1, "a", n) for n in range(len(positions)))
    lengths = lengths or [1] * len(positions)
    return Placed(own, tuple(map(F, positions)), tuple(map(F, lengths)), (False,) * len(positions), bars, squeezed)


def bound(positions, lengths=None, bar=1, **more):
    return _Bound(placed(positions, lengths, **more), bar, (), HERE)


@pytest.mark.parametrize(
    ("room", "last", "kept"),
    [
        # A last syllable stops half a beat before the next line, where there is more than a beat of room.
        ("3", "4", "5/2"),
        ("3", "5/2", "5/2"),
        ("3", "1", "1"),
        ("1", "2", "1/2"),
        ("5/4", "2", "3/4"),
        ("3/4", "2", "3/8"),  # half of it, where a breath would leave too little
        ("1/2", "2", "1/2"),
        ("1/8", "2", "1/8"),
        ("-1", "2", "2"),  # another voice begins before
    ],
)
def test_a_breath_before_the_next_line(room, last, kept):
    out = _breathe([bound([0, 2], [1, F(last)]), bound([2 + F(room) - 4], bar=2)], 4)
    assert out[0].placed.lengths == (1, F(kept))
    assert out[1].placed.lengths == (1,)


@pytest.mark.parametrize(
    ("first", "next_bar", "cued", "bar", "start"),
    [
        ("0", 1, None, 1, "0"), ("4", 1, None, 2, "0"), ("2", 1, None, 1, "2"), ("9/4", 1, None, 2, "-7/4"), ("-1", 1, None, 1, "-1"),
        ("3", 1, 7, 7, "-1"), ("0", 5, None, 5, "0"), ("4", 2, None, 2, "0"),
    ],
)  # fmt: skip
def test_the_bar_of_a_line_of_the_tune(first, next_bar, cued, bar, start):
    # What begins after the middle of a bar is the pick-up of the next one.
    found = Found((F(first), F(first) + 1), (F(1), F(1)), 1, 9)
    got, rhythm = _from_tune(found, 4, next_bar, cued)
    assert (got, rhythm.starts[0], rhythm.lengths) == (bar, F(start), (1, 1))


def test_what_is_told_of_a_line_that_does_not_fit():
    assert _fit_findings(placed([0]), 2, HERE) == []
    (longer,) = _fit_findings(placed([0], bars=3), 2, HERE)
    assert longer.message == "The marks of this line take 3 bars; the song gives a line 2."
    (squeezed,) = _fit_findings(placed([0, 1], squeezed=True), 2, HERE)
    assert squeezed.facts == {"notes": 2, "bars": 2}


def test_a_bar_told_a_tenth_of_a_second_elsewhere_is_told_twice():
    clock = SongClock.steady(F(60), COMMON_TIME, 3, False)  # bars at 0, 4, 8 s
    with_downbeat = SongSettings("x", downbeat=F(0))

    def told(bars, settings=with_downbeat):
        rows = {n: Label(F(at), F(at), "bar", HERE) for n, at in bars.items()}
        return [
            (f.facts["bar"], f.facts["row_s"], f.facts["before_s"], f.message)
            for f in _told_twice(settings, clock, rows)
        ]

    assert told({2: "4.1"}) == []
    (one,) = told({2: "4.101"})
    assert one[:3] == (2, 4.101, 4.0)
    assert "every bar of the song moves with it" in one[3]
    assert "the bars around it move with it" in told({1: "0", 2: "3.8"})[0][3]
    assert told({9: "1"}) == []
    assert told({0: "1"}) == []
    assert told({2: "9"}, SongSettings("x")) == []


def test_a_pick_up_before_the_file_is_sung_faster():
    """Beats of a second from 1 s on, bar 1 there: a pick-up of two beats would begin at -1 s; its two seconds are pressed
    into the one before bar 1."""
    clock = SongClock(F(60), COMMON_TIME, tuple(F(n) for n in range(1, 9)), (0, 4))
    line = sung("out and in")
    found = _time(clock, line, bound([-2, -1, 0]), AT_24)
    assert [s.start for s in found.syllables] == [0, F(1, 2), 1]
    assert [f.code for f in found.findings] == [Code.PICK_UP_BEFORE_SONG]
    assert found.findings[0].facts == {"early_s": 1.0}
    with pytest.raises(ScriptError, match="bar 0 lies before the song's file begins"):
        _time(clock, line, bound([-2, -1, 0], bar=0), AT_24)
    zero = replace(clock, beats=tuple(F(n) for n in range(8)))
    with pytest.raises(ScriptError, match="bar 1 lies before"):
        _time(zero, line, bound([-2, -1, 0]), AT_24)


@pytest.mark.parametrize(("length", "told"), [("1/12", False), ("1/13", True)])
def test_two_frames_are_the_least_that_can_be_drawn(length, told):
    clock = SongClock.steady(F(60), COMMON_TIME, 2, False)
    found = _time(clock, sung("out and in"), bound([0, 1, 2], [1, length, 1]), AT_24)
    assert bool(found.findings) is told
    if told:
        assert found.findings[0].facts == {"syllable": "x"}


def test_words_after_the_recordings_end():
    clock = SongClock.steady(F(60), COMMON_TIME, 2, False)
    line = _time(clock, sung("out and in"), bound([0, 1, 2]), AT_24)
    own = bound([0, 1, 2])
    assert _within(line, F(21, 10), 1, own) is line
    (late,) = _within(line, F(2), 1, own).findings
    assert late.message.startswith(
        'this line from "x" on lies after the end of the song\'s recording (2.0 s, bar 1); it begins in bar 1'
    )
    (all_of_it,) = _within(line, F(0), 1, own).findings
    assert all_of_it.message.startswith("this line lies after the end")


def test_lines_go_on_half_a_beat_behind_the_line_before():
    assert F(1, 2) == module.LEAST_GAP
    first, second = fit(sung("| go@1:1 on@2:4.5"), sung("and in")).lines
    # The first line's last note begins 3.5 beats into its second bar; the next may begin half a beat later.
    assert second.syllables[0].start >= first.syllables[-1].start + F(1, 2) * F(60, 96)
    cued = fit(sung("| go on"), sung("| and in", SongCue("out-and-in", 5))).lines[1]
    assert (cued.syllables[0].bar, cued.syllables[0].start) == (5, 4 * 4 * F(60, 96))
    assert fit(sung("go"), song=replace(OUT_AND_IN, bpm=None)).song.bpm == 100


# A recording's beats and bars.


def measured(monkeypatch, beats, downbeats=(), first=0, length=30.0, **settings):
    found = SongBeats(
        60.0, tuple(beats), tuple(downbeats), length, first, (Finding(Code.WEAK_PULSE, "Little marks the beat."),)
    )
    monkeypatch.setattr(module, "beats_of", lambda *_: found)
    return module._measured(SongSettings("x", file="x.wav", **settings), Path(), None)


def test_bars_are_numbered_from_the_downbeat_that_was_given(monkeypatch):
    beats = [float(n) for n in range(1, 21)]
    clock, length, findings, _ = measured(monkeypatch, beats, beats[0::4], downbeat=F("9.1"), first_bar=3)
    assert (clock.downbeats[0], clock.starts[:2], length) == (1, (0, 4), 30)  # bar 3 begins at 9 s, bar 1 at 1 s
    assert findings[0].message == 'Song "x": Little marks the beat.'
    clock, *_ = measured(monkeypatch, beats, beats[0::4], downbeat=F("9.1"), first_bar=2)
    assert clock.downbeats[0] == 5
    with pytest.raises(SettingsError, match=r"bar 4 cannot begin at 9\.000 s, where only 2 bars lie before it"):
        measured(monkeypatch, beats, beats[0::4], downbeat=F("9.1"), first_bar=4)
    guessed, *_ = measured(monkeypatch, beats, first=2)
    assert guessed.downbeats[:2] == (3, 7)
    with pytest.raises(RecordingError, match="too short"):
        measured(monkeypatch, beats[:1])
    assert measured(monkeypatch, beats[:2])[0].bpm == 60


# Cuts, tempos, performances.


def test_cuts_off_the_beat_and_too_close():
    song = fit(sung("| go"), sung("| on")).song  # beats each 0.625 s from 0 to 10 s
    beat = F(5, 8)

    def codes(*cuts):
        return [f.code for f in cut_findings(song, [F(c) for c in cuts])]

    assert codes(beat + F(1, 20)) == []
    assert codes(beat + F(51, 1000)) == [Code.CUT_OFF_BEAT]
    assert codes(beat - F(51, 1000)) == [Code.CUT_OFF_BEAT]
    assert codes(0, song.end) == []  # its own ends are none
    (two,) = cut_findings(song, [beat + F(1, 5), 2 * beat + F(1, 5)])
    assert two.message == "2 cuts off this song's beat, the first at 0.82 s."
    seven = [F(3) + F(n, 6) for n in range(7)]  # six gaps of a sixth: exactly a second
    assert Code.CUTS_FLASH not in [f.code for f in cut_findings(song, seven)]
    closer = [*seven[:6], seven[6] - F(1, 1000)]
    (flash,) = [f for f in cut_findings(song, closer) if f.code == Code.CUTS_FLASH]
    assert flash.facts == {"from_s": 3.0}


def test_tempos_of_whole_frames_by_hand():
    # At 24: 12 frames a beat are 120 bpm, 13 are 110.77; a bar of 49 frames is 4 x 1440 / 49 = 117.55.
    found = whole_frame_tempos_within(F("118.5"), AT_24, COMMON_TIME, F(7, 100), F(1, 100))
    assert [(t.of, t.frames, round(float(t.bpm), 2)) for t in found] == [
        ("beat", 12, 120.0),
        ("beat", 13, 110.77),
        ("bar", 49, 117.55),
    ]
    near = whole_frame_tempos(F("118.5"), AT_24, COMMON_TIME, 2)
    assert sorted(t.frames for t in near if t.of == "beat") == [11, 12, 13, 14]
    assert sorted(t.frames for t in near if t.of == "bar") == [47, 49, 50]  # 48 is twelve a beat
    exact = whole_frame_tempos_within(F(120), AT_24, Metre(6, 8), F(0), F(0))
    assert [(t.of, t.frames) for t in exact] == [("beat", 12)]


def test_a_song_that_goes_back_is_another_performance():
    def ids(*rows, taken=()):
        return performances([Sung(*row) if row else Sung() for row in rows], taken)

    assert ids(("sea", 1), ("sea", 3), ("sea", 3)) == ["sea", "sea", "sea-2"]  # the line before takes bars 3 and 4
    assert ids(("sea", 1), ("sea", 5), None, ("sea", 7)) == ["sea", "sea", None, "sea"]
    assert ids(("sea", 1), None, ("sea", 2)) == ["sea", None, "sea-2"]
    assert ids(("sea", 1), None, ("sea", 1), taken=["sea-2"]) == ["sea", None, "sea-3"]
    assert ids(("sea", 1, "A"), ("sea", 1, "B")) == ["sea", "sea"]  # another voice beside it
    assert ids(("sea", 1, "A"), None, ("sea", 1, "B")) == ["sea", None, "sea-2"]
    assert ids(("sea", 1, "A"), ("air", 1, "A"), ("sea", 1, "B")) == ["sea", "air", "sea-2"]
    assert ids(("sea", 1, "A", 2, False), ("sea", 1, "A", 2, True)) == ["sea", "sea"]


# What is told of a grid.


def codes_of(found):
    return [f.code for f in found]


def track_of(*pieces):
    made = tuple(Piece(*p) for p in pieces)
    return Tracked(made, np.concatenate([p.moments() for p in made]))


@pytest.mark.parametrize(
    ("bpm", "score", "told"),
    [
        (60.0, 0.26, True), (60.0, 0.25, False), (240.0, 0.26, True), (61.7, 0.26, True), (62.0, 0.26, False),
        (90.0, 0.71, True), (90.0, 0.69, False), (121.0, 0.9, False), (124.0, 0.9, True),
    ],
)  # fmt: skip
def test_a_rival_tempo_is_named(bpm, score, told):
    tempos = [Candidate(120.0, 1.0), Candidate(bpm, score)]
    found = grids._octave_findings(tempos, track_of((0.0, 120.0, 40)).pieces)
    assert bool(found) is told
    if told:
        assert found[0].facts == {"bpm": 120.0, "rivals_bpm": [bpm]}
        assert f"may also be counted at {bpm:.2f} bpm instead of 120.00" in found[0].message
    heard = track_of((0.0, 120.0, 40), (20.0, bpm, 8)).pieces
    assert grids._octave_findings(tempos, heard) == []
    short = track_of((0.0, 120.0, 40), (20.0, bpm, 7)).pieces
    assert bool(grids._octave_findings(tempos, short)) is told


def test_a_tempo_six_per_cent_off_is_another():
    assert grids._differs(100, 105.99) == []
    (told,) = grids._differs(100, 106.1)
    assert told.message.startswith("You say 100 bpm, but the beat heard is 106.100 bpm")
    assert codes_of(grids._differs(100, 93.9)) == [Code.TEMPO_DIFFERS]


def test_what_is_told_of_pieces():
    assert grids._piece_findings(track_of((0.0, 120.0, 40))) == []
    (breaks,) = grids._piece_findings(track_of((0.0, 120.0, 20), (11.5, 120.2, 20)))
    assert (breaks.code, "starts again at 11.500 s, always at 120.000 bpm" in breaks.message) == (
        Code.BEAT_BREAKS,
        True,
    )
    (changes,) = grids._piece_findings(track_of((0.0, 120.0, 20), (10.0, 150.0, 20)))
    assert "between 120.00 and 150.00 bpm, in 2 steady pieces" in changes.message
    assert changes.facts == {"pieces": [[0.0, 120.0, 20], [10.0, 150.0, 20]]}
    (slows,) = grids._piece_findings(track_of((0.0, 120.0, 20), (10.0, 110.0, 1), (10.6, 90.0, 1)))
    assert "From 10.000 s the beat goes from 110 to 90 bpm; its last 2 beats" in slows.message
    assert grids._main_bpm(track_of((0.0, 100.0, 10), (9.0, 120.0, 8), (20.0, 120.0, 8)).pieces) == 120


def test_what_is_told_of_weak_evidence():
    from tests.song.drawn import drawn

    beats = np.arange(1, 39) * 0.5
    clear, tracked = drawn(beats, length_s=20), track_of((0.5, 120.0, 38))

    def told(rival=0.0, third=0.0, onsets=clear, is_told=False):
        return codes_of(grids._evidence_findings(onsets, Steady(120, 0.5, rival, third), tracked, is_told))

    assert told() == []
    assert told(0.6, 0.6) == []
    assert told(0.61) == [Code.HALF_BEAT_UNSURE]
    assert told(0.0, 0.61) == [Code.THIRD_BEAT_UNSURE]
    assert told(0.9, 0.9, is_told=True) == []
    weak = drawn(beats, length_s=20)
    weak.high[:] = 10
    assert told(onsets=weak) == [Code.WEAK_PULSE]
    few = drawn(beats[::2], length_s=20)
    assert codes_of(grids._tempo_unsure(few, tracked, 120.0)) == [Code.TEMPO_UNSURE]  # 19 of 38
    assert grids._tempo_unsure(few, tracked, 120.0)[0].facts["share"] == 0.5
    most = drawn(beats[:23], length_s=20)  # 23 of 38 are 0.605
    assert grids._tempo_unsure(most, tracked, 120.0) == []
    assert grids._confidence(clear, tracked) == 1.0


def test_where_bars_may_begin_and_a_downbeat_beside_the_beat():
    rivals = [BarCandidate(1.0 + n, COMMON_TIME, n, 5.0 - n) for n in range(6)]
    told = grids._bars_unknown(rivals, 0.02)
    assert told.message.endswith("Candidates, likeliest first: 1.020 s, 2.020 s, 3.020 s, 4.020 s.")
    assert len(told.facts["candidates_s"]) == 6
    assert "Candidates" not in grids._bars_unknown([], 0).message
    tracked = track_of((1.0, 60.0, 8))
    assert grids._bar_findings(tracked, [], 3.09, 0.0) == []
    (off,) = grids._bar_findings(tracked, [], 3.11, 0.5)
    assert off.message == "The downbeat at 3.610 s lies 0.11 s from the nearest beat found."
    (again,) = grids._bar_findings(tracked, [4.0, 9.0], 3.0, 0.25)
    assert again.facts == {"restarts_s": [4.25, 9.25]}
    assert grids._shifted(tracked).beats[:2].tolist() == [1.5, 2.5]


def test_the_preview_is_the_song_under_quiet_clicks(tmp_path, monkeypatch):
    import wave

    from timing.song.beats import preview

    monkeypatch.setattr(preview, "blocks", lambda path: [np.full(22_050 * 2, 0.5, np.float32)])
    grid = BeatGrid(60.0, (0.5, 1.0, 1.99, 5.0), (1.0,), COMMON_TIME, (), 1.0, ())
    write_preview(Path("x"), grid, tmp_path / "p.wav")
    with wave.open(str(tmp_path / "p.wav")) as file:
        assert (file.getnchannels(), file.getframerate(), file.getnframes()) == (1, 22_050, 44_100)
        got = np.frombuffer(file.readframes(44_100), "<i2").astype(float)
    peak = 10 ** (-12 / 20) * 32767
    assert got[100] == pytest.approx(0.6 * peak, abs=1)
    assert got.max() <= peak + 1
    for at, hertz in ((0.5, 1000), (1.0, 1500)):
        click = got[int(at * 22_050) : int(at * 22_050) + 661] - 0.6 * peak
        assert np.abs(click).max() == pytest.approx(0.4 * peak * 0.94, rel=0.06)
        spectrum = np.abs(np.fft.rfft(click, 22_050))
        assert abs(int(spectrum.argmax()) - hertz) < 60
        assert np.abs(got[int(at * 22_050) + 662] - 0.6 * peak) <= 1
