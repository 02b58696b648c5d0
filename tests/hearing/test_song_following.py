"""Lines in a mix: the middle is kept, and lines are found in it with and without anchors, with and without beats.

Synthesised speech and singing stand in for a singer, with an accompaniment of tones or a small band: what real
singing does is measured in the benchmark.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace

import numpy as np
import pytest

import timing
from tests.recording.material import LINES, pronounce_english, utterance_of
from tests.recording.sounds import write_wav
from timing.episode.sung_lines import _heard
from timing.hearing.recogniser import moment
from timing.hearing.song_following import Pin, SungScriptedLine, _fixed, _rooms, align_song
from timing.hearing.song_readings import FollowedLine, _worse_by
from timing.hearing.song_search import Fixed
from timing.model import Origin, SongCue
from timing.model.settings import SongSettings
from timing.sound.centre import centre
from timing.store.store import Store

RATE_HZ = 16_000


def test_the_middle_is_kept_and_the_sides_are_not():
    at = np.arange(2 * 44100) / 44100
    middle, left, right = (np.sin(2 * np.pi * f * at) * 6000 for f in (440, 1000, 1700))
    out = centre(np.stack([middle + left, middle + right], 1).astype(np.int16), 44100)
    level = np.abs(np.fft.rfft(out * np.hanning(len(out))))
    hertz = np.fft.rfftfreq(len(out), 1 / 44100)
    kept = {f: level[np.abs(hertz - f) < 5].max() for f in (440, 1000, 1700)}
    assert kept[1000] < kept[440] / 30
    assert kept[1700] < kept[440] / 30


def test_the_middle_of_two_equal_sides_is_the_same_sound():
    at = np.arange(44100) / 44100
    tone = (np.sin(2 * np.pi * 440 * at) * 8000).astype(np.int16)
    out = centre(np.stack([tone, tone], 1), 44100)
    assert np.abs(out[4096:-4096].astype(int) - tone[4096:-4096]).max() < 40


@pytest.fixture
def mix(say, tmp_path):
    """Four lines in the middle of a wide accompaniment; returns (path, texts, true word starts)."""
    texts, parts, truth, at = LINES[2:5], [], [], 0.0
    for text in texts:
        samples, words = say(text, "rms")
        gap = np.zeros(RATE_HZ)
        parts += [gap, samples]
        truth.append([at + 1 + w.start for w in words])
        at += 1 + len(samples) / RATE_HZ
    voice = np.concatenate([*parts, np.zeros(RATE_HZ)])
    when = np.arange(len(voice)) / RATE_HZ
    chords = [sum(np.sin(2 * np.pi * f * when) for f in notes) * 900 for notes in ((262, 330, 392), (294, 370, 440))]
    stereo = np.stack([voice + chords[0], voice + chords[1]], 1)
    return write_wav(tmp_path / "song.wav", np.clip(stereo, -32768, 32767), RATE_HZ), texts, truth


@pytest.mark.parametrize("anchored", [True, False])
def test_lines_are_found_in_the_songs_own_clock(mix, anchored):
    path, texts, truth = mix
    spans = [(t[0] + 0.8, t[-1] + 1.2) if anchored else (None, None) for t in truth]
    lines = [SungScriptedLine(str(n), utterance_of(t), *s) for n, (t, s) in enumerate(zip(texts, spans, strict=True))]
    found = align_song(path, lines, pronounce_english)
    errors = [
        float(word.start) - start
        for n, starts in enumerate(truth)
        for word, start in zip(found[str(n)].words, starts, strict=True)
    ]
    assert np.mean(np.abs(errors) <= 2 / 24) >= 0.9


def test_a_pin_holds_and_the_rest_is_followed_around_it(mix):
    # Words of the second line are pinned 0.4 s late, the end of one too: they stay there, the others are where they
    # were, and no word of the line lies before the one before it.
    path, texts, truth = mix
    late = Fraction(round(truth[1][1] * 1000) + 400, 1000)
    end = late + Fraction(1, 5)
    lines = [SungScriptedLine(str(n), utterance_of(t)) for n, t in enumerate(texts)]
    lines[1] = replace(lines[1], pins=(Pin(1, late, end),))
    found = align_song(path, lines, pronounce_english)
    words = found["1"].words
    assert (words[1].start, words[1].end) == (late, end)
    assert words[1].syllables[0].origin is Origin.PINNED
    assert words[2].syllables[0].origin is Origin.MEASURED
    assert words[0].start < words[0].end <= late
    assert words[2].start >= end
    assert abs(float(words[-1].start) - truth[1][-1]) < 2 / 24
    for n in (0, 2):
        errors = [float(w.start) - t for w, t in zip(found[str(n)].words, truth[n], strict=True)]
        assert np.mean(np.abs(errors) <= 2 / 24) >= 0.9


def test_a_text_of_several_lines_is_followed_in_the_mix(mix):
    path, texts, truth = mix
    line = timing.align(path, "\n".join(texts), sung=True)
    errors = [float(w.start) - t for w, t in zip(line.words, [t for own in truth for t in own], strict=True)]
    assert np.mean(np.abs(errors) <= 2 / 24) >= 0.9


def test_silence_is_no_song(tmp_path):
    path = write_wav(tmp_path / "song.wav", np.zeros((RATE_HZ, 2)), RATE_HZ)
    with pytest.raises(timing.InputError, match="is silent"):
        timing.align(path, "sleepy waves", sung=True)


def fitted_line():
    song = SimpleNamespace(beats=(Fraction(1), Fraction(2)), file="song.wav")
    return SimpleNamespace(song=song, lines=(SimpleNamespace(start=Fraction(1), end=Fraction(3), words=()),))


def test_a_changed_pronunciation_is_listened_for_again(tmp_path, monkeypatch):
    (tmp_path / "song.wav").write_bytes(b"any sound")
    calls = []
    monkeypatch.setattr("timing.hearing.song_following.align_song", lambda *given: calls.append(given) or {})
    line = SimpleNamespace(utterance=utterance_of("sleepy waves"), cue=SongCue("x", 1))
    store = Store(tmp_path / "store")

    def hear(pronounce, **settings):
        _heard(fitted_line(), SongSettings("x", vocal="song.wav", **settings), [line], tmp_path, pronounce, store, [()])
        return len(calls)

    assert hear(pronounce_english) == 1
    assert hear(pronounce_english) == 1
    assert hear(lambda _: [("M", "OW")]) == 2
    (tmp_path / "band.wav").write_bytes(b"any other sound")
    assert hear(pronounce_english, instrumental="band.wav") == 3


def test_lines_whose_bars_are_assumed_are_looked_for_everywhere(tmp_path, monkeypatch):
    (tmp_path / "song.wav").write_bytes(b"any sound")
    calls = []
    monkeypatch.setattr("timing.hearing.song_following.align_song", lambda *given: calls.append(given) or {})
    for cue in (SongCue("x", 1), None):
        line = SimpleNamespace(utterance=utterance_of("sleepy waves"), cue=cue)
        settings = SongSettings("x", vocal="song.wav")
        _heard(fitted_line(), settings, [line], tmp_path, pronounce_english, Store(), [()])
    assert [given[1][0].approx_start_s for given in calls] == [1.0, None]


@pytest.mark.parametrize(("steps", "is_held"), [(11, True), (10, False)])
def test_pins_that_leave_a_word_no_room_are_not_held(steps, is_held):
    # "sea" is S and IY, at least 3 and 8 steps of a hundredth of a second each: 11.
    tokens = [[SimpleNamespace(word=n, pronunciations=[("S", "IY")]) for n in range(2)]]
    line = SungScriptedLine("1", utterance_of("sea sea"), pins=(Pin(0, moment(5)), Pin(1, moment(5 + steps))))
    held = _fixed([line], tokens, 100)
    assert held == ({0: [Fixed(0, 0, 5), Fixed(1, 0, 16)]} if is_held else {})


@pytest.mark.parametrize(("end", "is_held"), [(88, True), (89, False)])
def test_a_pin_leaves_room_for_the_words_behind_it(end, is_held):
    # 100 steps in all: behind the end of the first "sea" another one has 12 steps, or 11, of which it needs 11.
    tokens = [[SimpleNamespace(word=n, pronunciations=[("S", "IY")]) for n in range(2)]]
    line = SungScriptedLine("1", utterance_of("sea sea"), pins=(Pin(0, None, moment(end + 1)),))
    assert bool(_fixed([line], tokens, 100)) is is_held


def test_the_pins_of_one_line_are_dropped_and_those_of_another_held():
    tokens = [[SimpleNamespace(word=0, pronunciations=[("S", "IY")])] for _ in range(3)]
    pins = [Pin(0, moment(20)), Pin(0, moment(80)), Pin(0, moment(60))]
    lines = [SungScriptedLine(str(n), utterance_of("sea"), pins=(pin,)) for n, pin in enumerate(pins)]
    assert list(_fixed(lines, tokens, 100)) == [0]  # the second and the third contradict each other


def test_a_line_told_elsewhere_may_be_sung_there_and_where_it_was_expected():
    # Expected from 10.3 to 12.3 s, its third word of four at 11.3: told at 5.3, all of it lies 6 s earlier, with the
    # usual 1.3 s of room before it. The last line may last until the song ends.
    line = SungScriptedLine("1", utterance_of("sea sea sea sea"), 10.3, 12.3, (Pin(2, Fraction(53, 10)),))
    assert _rooms([line], 4000) == [(300, 4000)]
    assert _rooms([replace(line, pins=())], 4000) == [(900, 4000)]
    # A line behind it is expected from 30.3 s on. Told that it ends at 40.3, it lies 28 s later than expected, and so
    # may the first line end 1.3 s later than that.
    behind = SungScriptedLine("2", utterance_of("sea"), 30.3, 31.3)
    ends = [_rooms([replace(line, pins=pins), behind], 9000)[0][1] for pins in ((), (Pin(3, None, Fraction(403, 10)),))]
    assert ends == [3160, pytest.approx(4160, abs=1)]  # steps, rounded down


@pytest.mark.parametrize(
    ("moved_s", "worse_by", "expected"),
    [
        (0.2, 2.1, False), (0.21, 2.1, True), (0.21, 2.0, False), (0.4, 2.0, False), (0.41, -5.0, True),
        (0.2, None, False), (0.21, None, True),  # one of a few lines
        (0.0, 10.0, False), (0.0, 10.1, True),
    ],
)  # fmt: skip
def test_a_line_that_other_readings_move_is_doubted_unless_its_words_fit_as_well_as_the_others(
    moved_s, worse_by, expected
):
    line = FollowedLine((), (), moved_s, worse_by)
    assert line.is_doubted is expected
    assert line.has_other_words is (worse_by == 10.1)


def test_by_how_much_words_fit_worse_than_the_songs_others():
    # Means -10, -11, -12, -13.5 and -14; their median is -12.
    fits = [[-9.0, -11.0], [-11.0], [-12.0], [-13.5], [-14.0]]
    assert _worse_by(fits) == [-2, -1, 0, 1.5, 2]
    assert _worse_by(fits[1:]) == [None] * 4  # of so few lines the median says little


@pytest.mark.parametrize(("steps", "is_held"), [(11, True), (10, False)])
def test_a_pinned_syllable_leaves_room_for_those_before_it(steps, is_held):
    # "water" is W AO, at least 3 and 8 steps, and T ER: its second syllable begins with T.
    tokens = [[SimpleNamespace(word=0, pronunciations=[("W", "AO", "T", "ER")])]]
    pins = (Pin(0, moment(5)), Pin(0, moment(5 + steps), None, 1))
    line = SungScriptedLine("1", utterance_of("water"), pins=pins)
    assert _fixed([line], tokens, 100) == ({0: [Fixed(0, 0, 5), Fixed(0, 1, 16)]} if is_held else {})
