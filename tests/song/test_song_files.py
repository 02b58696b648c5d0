"""What a song gives to others: MIDI, cuts, the preview, the pinned lyric, the tempo command."""

import json
import re
from fractions import Fraction

import numpy as np
import pytest
from click.testing import CliRunner

from tests.song.band import play, save, steady
from tests.song.test_fit import fit, sung
from timing.commands.tempo import command
from timing.export.midi import song_midi
from timing.model import LineKind, Plan, PlanLine, Totals
from timing.model.clock import FrameRate
from timing.model.metre import Metre
from timing.model.settings import EpisodeSettings, SongSettings
from timing.song.cuts import cut_findings

ZERO = Fraction(0)


def plan_of(fitted):
    lines = tuple(
        PlanLine(
            str(n), LineKind.SUNG, "", ln.origin, ln.start, ln.end, 0, 1, ln.length, ln.length, ln.words,
            song=fitted.song.id,
        )
        for n, ln in enumerate(fitted.lines, 1)
    )  # fmt: skip
    totals = Totals(ZERO, ZERO, ZERO, ZERO)
    rate = FrameRate.parse(24)
    return Plan("t", "en_US", rate, 1, Fraction(1), lines, (), (fitted.song,), totals, EpisodeSettings(), "abcdef")


def read_smf(data):
    """Return (division, {track: [(tick, kind, bytes)]}): a reader of its own, by the text of the specification."""
    assert data[:8] == b"MThd\x00\x00\x00\x06"
    kind, count, division = (int.from_bytes(data[i : i + 2], "big") for i in (8, 10, 12))
    assert kind == 1
    at, tracks = 14, []
    for _ in range(count):
        assert data[at : at + 4] == b"MTrk"
        end = at + 8 + int.from_bytes(data[at + 4 : at + 8], "big")
        at, tick, status, events = at + 8, 0, 0, []
        while at < end:
            delta, at = read_vlq(data, at)
            tick += delta
            if data[at] == 0xFF:
                meta = data[at + 1]
                length, at = read_vlq(data, at + 2)
                events.append((tick, meta, data[at : at + length]))
                at += length
            else:
                if data[at] & 0x80:
                    status, at = data[at], at + 1
                events.append((tick, status, data[at : at + 2]))
                at += 2
        assert events[-1][1] == 0x2F
        tracks.append(events)
    assert at == len(data)
    return division, tracks


def read_vlq(data, at):
    value = 0
    while True:
        value = value << 7 | data[at] & 0x7F
        at += 1
        if not data[at - 1] & 0x80:
            return value, at


def test_a_song_as_midi_is_read_back_by_the_specification():
    fitted = fit(sung("the@4 | tide@1 goes@2 öut_"), sung("wa-ter"))
    division, (head, voice) = read_smf(song_midi(plan_of(fitted), "out-and-in"))
    assert (0, 0x58, b"\x04\x02\x18\x08") in head  # 4/4
    assert [(tick, int.from_bytes(data, "big")) for tick, kind, data in head if kind == 0x51] == [(0, 625000)]  # 96 bpm
    lyrics = [(tick, data.decode("utf-8")) for tick, kind, data in voice if kind == 0x05]
    assert [text for _, text in lyrics] == ["the ", "tide ", "goes ", "öut ", "wa-", "ter "]
    assert [Fraction(tick, division) for tick, _ in lyrics][:3] == [3, 4, 5]
    notes_on = [tick for tick, kind, _ in voice if kind == 0x90]
    assert notes_on == [tick for tick, _ in lyrics]
    assert len([1 for _, kind, _ in voice if kind == 0x80]) == len(notes_on)


def test_midi_of_a_compound_metre_counts_quarters():
    fitted = fit(sung("| tide goes"), song=SongSettings("row", bpm=Fraction(60), metre=Metre(6, 8)))
    _, (head, _) = read_smf(song_midi(plan_of(fitted), "row"))
    # 60 dotted quarters a minute: a quarter lasts two thirds of a second.
    assert [int.from_bytes(data, "big") for _, kind, data in head if kind == 0x51] == [666667]


def test_midi_of_an_unknown_song():
    with pytest.raises(KeyError):
        song_midi(plan_of(fit(sung("go"))), "none")


def test_cuts_that_could_flash_and_cuts_off_the_beat_are_findings():
    song = fit(sung("| go"), sung("| on")).song
    assert cut_findings(song, song.beats) == []
    fast = [song.beats[2] + Fraction(n, 10) for n in range(8)]
    assert {f.code for f in cut_findings(song, fast)} == {"cut-off-beat", "cuts-flash"}
    slow = [b + Fraction(3, 10) for b in song.beats[:3]]
    assert {f.code for f in cut_findings(song, slow)} == {"cut-off-beat"}


@pytest.fixture(scope="module")
def song_file(tmp_path_factory):
    return save(play(steady(104, 16)), tmp_path_factory.mktemp("song") / "song.wav")


def run(*arguments):
    return CliRunner().invoke(command, [str(a) for a in arguments], standalone_mode=False)


def test_tempo_says_the_grid_in_words_and_asks_for_the_downbeat(song_file):
    result = run(song_file, "--bpm", 104)
    assert result.exception is None
    assert re.match(r"steady 10[34]\.\d{3} bpm", result.output)
    assert re.search(r"--downbeat (0\.49|0\.50)", result.output)
    assert "--preview" in result.output
    told = run(song_file, "--bpm", 104, "--metre", "4/4", "--downbeat", "0.5")
    assert re.search(r"first bar at (0\.49|0\.50)", told.output)
    assert "--downbeat" not in told.output


def test_tempo_as_json(song_file):
    found = json.loads(run(song_file, "--bpm", 104, "--metre", "4/4", "--downbeat", "0.5", "--json").output)
    assert found["bpm"] == pytest.approx(104, abs=0.02)
    assert len(found["downbeats_s"]) == 16
    # M. Mayerson's arithmetic: 1440 / 104 frames a beat.
    assert found["frames_a_beat"] == pytest.approx(1440 / 104, abs=0.01)


def test_the_preview_is_quiet_and_clicks_on_the_beats(song_file, tmp_path):
    import soundfile

    result = run(song_file, "--bpm", 104, "--preview", tmp_path / "p.wav")
    assert "headphones" in result.output
    clicked, rate = soundfile.read(tmp_path / "p.wav")
    assert 20 * np.log10(np.abs(clicked).max()) <= -12
    plain, _ = soundfile.read(song_file)
    scale = np.dot(clicked, plain[: len(clicked)]) / np.dot(plain, plain)
    rest = np.abs(clicked - scale * plain[: len(clicked)])
    on = [rest[int(b * rate) : int((b + 0.02) * rate)].max() for b in steady(104, 16)[:40]]
    off = [rest[int((b + 0.2) * rate) : int((b + 0.25) * rate)].max() for b in steady(104, 16)[:40]]
    assert min(on) > 5 * max(off)


@pytest.mark.parametrize("options", [["--metre", "4"], ["--metre", "x/y"], ["--rate", "5"], ["--bpm", "1000"]])
def test_wrong_options_are_said_plainly(song_file, options):
    from timing.plain.errors import InputError

    result = run(song_file, *options)
    assert isinstance(result.exception, InputError)


def test_a_folder_or_several_files_are_answered_with_what_to_give(song_file, tmp_path):
    from timing.plain.errors import InputError

    said = run(song_file.parent).exception
    assert isinstance(said, InputError)
    assert str(said) == f"{song_file.parent}: is a folder; give one song's file, for example {song_file}"
    assert "no sound file in it" in str(run(tmp_path).exception)
    said = run(song_file, song_file).exception
    assert isinstance(said, InputError)
    assert str(said) == f"one song at a time, not 2 files; begin with: timing tempo {song_file}"


def test_a_tempo_that_the_song_goes_over_to_is_no_rival(tmp_path):
    first = 0.5 + np.arange(64) * 60 / 100
    beats = np.concatenate([first, first[-1] + 60 / 100 + np.arange(64) * 60 / 120])
    result = run(save(play(beats, hats=False), tmp_path / "c.wav"))
    assert "bpm for 64 beats" in result.output
    assert not re.search(r"may also be counted at 1[12]\d\.", result.output)
