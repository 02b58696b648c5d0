"""Sung lines bound to a song's bars."""

from fractions import Fraction
from pathlib import Path

import pytest

from tests.song.band import play, save, steady
from tests.song.words import line
from timing.model import Origin, SongCue, Utterance, Where
from timing.model.clock import FrameRate
from timing.model.metre import Metre
from timing.model.settings import SongSettings
from timing.plain.errors import ScriptError, SettingsError
from timing.song.fit import SungLine, fit_song
from timing.song.lyrics.lyrics import LyricMarks, parse_lyric

AT_24 = FrameRate.parse(24)
OUT_AND_IN = SongSettings("out-and-in", bpm=Fraction(96))


def sung(text, cue=None, number=1):
    lyric = parse_lyric(text, Where("script.fountain", number))
    import re

    plain = " ".join(re.sub(r"@[\d:.+/]*|_+|\||=\d+", "", text).replace("~", " ").split())
    return SungLine(line(plain), lyric.marks, cue, lyric.where)


def fit(*lines, song=OUT_AND_IN, folder=Path()):
    return fit_song(song, folder, lines, AT_24)


def test_lines_follow_one_another_in_bars_and_fall_on_whole_frames_at_96_bpm():
    fitted = fit(sung("| tide goes out"), sung("| tide comes in"))
    assert fitted.lines[0].syllables[0].bar == 1
    assert fitted.lines[1].syllables[0].bar == 3
    assert fitted.song.downbeats[2] == fitted.lines[1].start
    for beat in fitted.song.beats:
        assert (beat * 24).denominator == 1  # M. Mayerson's arithmetic: 1440 / 96 = 15 frames a beat
    assert fitted.song.bars == 4
    assert fitted.song.end == 4 * 4 * Fraction(60, 96)


def test_a_pick_up_moves_bar_1_and_nothing_is_negative():
    fitted = fit(sung("the@4 | tide goes out"))
    assert fitted.song.first_downbeat == Fraction(5, 2)
    first = fitted.lines[0].syllables[0]
    assert (first.bar, first.beat, first.start) == (0, 4, Fraction(15, 8))
    assert fitted.song.position_of(first.start) == (0, 4)


def test_in_compound_metre_the_pick_up_beat_is_counted_in_felt_beats():
    song = SongSettings("row", bpm=Fraction(60), metre=Metre(6, 8))
    fitted = fit(sung("the@2+2/3 | tide goes out"), song=song)
    first = fitted.lines[0].syllables[0]
    assert (first.bar, first.beat) == (0, Fraction(8, 3))
    assert fitted.song.position_of(first.start) == (0, Fraction(8, 3))


def test_a_cue_moves_on_and_the_next_line_follows_it():
    fitted = fit(sung("| tide goes out"), sung("| tide comes in", SongCue("out-and-in", 9)), sung("| round we go"))
    assert [next(s.bar for s in ln.syllables) for ln in fitted.lines] == [1, 9, 11]


def test_the_rhythm_of_an_earlier_line():
    fitted = fit(sung("| tide@1 goes@1:2.5 out@2:3"), sung("moon comes in =1"))
    one, two = ([(s.bar, s.beat) for s in ln.syllables] for ln in fitted.lines)
    assert [(bar + 2, beat) for bar, beat in one] == two


@pytest.mark.parametrize(
    ("text", "message"), [("in =2", "earlier one only"), ("in and out =1", "has 2 notes and this one has 3")]
)
def test_a_rhythm_that_cannot_be_taken_over(text, message):
    with pytest.raises(ScriptError, match=message) as caught:
        fit(sung("go out"), sung(text, number=5))
    assert "script.fountain:5" in str(caught.value)


def test_the_last_syllable_of_a_line_leaves_room_for_the_next_pick_up():
    fitted = fit(sung("| tide goes out@2:3_"), sung("the@4 | tide comes in"))
    assert fitted.lines[0].end <= fitted.lines[1].start


def test_everything_moves_together():
    fitted = fit(sung("the@4 | tide goes out"))
    moved = fitted.moved(Fraction(7, 3))
    assert moved.song.first_downbeat - fitted.song.first_downbeat == Fraction(7, 3)
    assert moved.lines[0].start - fitted.lines[0].start == Fraction(7, 3)
    assert moved.song.position_of(moved.lines[0].start) == fitted.song.position_of(fitted.lines[0].start)


def test_a_song_without_a_tempo_is_assumed_aloud():
    fitted = fit(sung("go out"), song=SongSettings("x"))
    assert [f.code for f in fitted.findings] == ["tempo-assumed"]
    assert fitted.song.origin is Origin.ESTIMATED


def test_a_line_that_does_not_fit_says_so():
    fitted = fit(sung(" ".join(["la"] * 50)))
    assert "line-does-not-fit-bars" in [f.code for f in fitted.lines[0].findings]
    longer = fit(sung("| go | on | and | on"))
    assert "line-longer-than-its-bars" in [f.code for f in longer.lines[0].findings]


def test_a_stress_beside_the_beat_is_a_finding():
    fitted = fit(sung("the@1:3 wa@1:3.5-ter@2:1"))
    assert "stress-off-beat" in [f.code for f in fitted.lines[0].findings]
    clean = fit(sung("the@1:4 wa@2:1-ter@2:2"))
    assert "stress-off-beat" not in [f.code for f in clean.lines[0].findings]


def test_a_recording_gives_its_own_beats_and_bars(tmp_path):
    beats = steady(104, 24, start=0.7)
    save(play(beats), tmp_path / "song.wav")
    song = SongSettings("x", "song.wav", Fraction(104), downbeat=Fraction(f"{beats[16]:.2f}"), first_bar=5)
    fitted = fit(sung("| tide goes out"), sung("| tide comes in", SongCue("x", 9)), song=song, folder=tmp_path)
    assert fitted.song.origin is Origin.MEASURED
    assert float(fitted.song.first_downbeat) == pytest.approx(0.7, abs=0.012)
    assert float(fitted.lines[0].start) == pytest.approx(0.7, abs=0.012)
    assert float(fitted.lines[1].start) == pytest.approx(beats[32], abs=0.012)
    assert not fitted.findings
    with pytest.raises(SettingsError, match="only 4 bars lie before it"):
        fit(
            sung("go"),
            song=SongSettings("x", "song.wav", Fraction(104), downbeat=song.downbeat, first_bar=9),
            folder=tmp_path,
        )


def test_a_pick_up_cannot_begin_before_the_file(tmp_path):
    beats = steady(100, 16, start=0.1)
    save(play(beats), tmp_path / "song.wav")
    song = SongSettings("x", "song.wav", Fraction(100), downbeat=Fraction(1, 10))
    fitted = fit(sung("the tide goes out"), song=song, folder=tmp_path)
    assert fitted.lines[0].start >= 0
    pinned = fit(sung("the@4 | tide goes out"), song=song, folder=tmp_path)
    assert pinned.lines[0].start == 0
    assert "pick-up-before-song" in [f.code for f in pinned.lines[0].findings]
    with pytest.raises(ScriptError, match="before the song's file begins"):
        fit(sung("go"), sung("the | tide", SongCue("x", -3)), song=song, folder=tmp_path)


def test_words_after_the_end_of_the_recording_are_told(tmp_path):
    beats = steady(100, 16, start=0.1)
    save(play(beats), tmp_path / "song.wav")
    song = SongSettings("x", "song.wav", Fraction(100), downbeat=Fraction(1, 10))
    fine, late = fit(
        sung("| tide goes out"), sung("| tide comes in", SongCue("x", 40)), song=song, folder=tmp_path
    ).lines
    assert not fine.findings
    (finding,) = late.findings
    # steady() makes 16 bars
    assert (finding.code, finding.facts["bar"], finding.facts["last_bar"]) == ("after-the-song", 40, 16)


def test_syllables_too_short_to_draw_are_a_finding():
    fitted = fit(sung(" ".join(["la"] * 50)))
    assert "sung-too-fast" in [f.code for f in fitted.lines[0].findings]
    assert "sung-too-fast" not in [f.code for f in fit(sung("go out and in")).lines[0].findings]


def test_a_line_without_words_is_an_error():
    with pytest.raises(ScriptError, match="no words to sing"):
        fit(SungLine(Utterance("", ()), LyricMarks(), None, Where("script.fountain", 3)))
