"""The block to paste for a finished song says what episode.toml understands, and where the known words begin."""

from __future__ import annotations

import json
import tomllib

import numpy as np
import pytest
from click.testing import CliRunner

from tests.recording.material import LINES
from tests.recording.sounds import RATE_HZ, write_wav
from tests.song import band
from timing.cli import cli
from timing.script.source import open_source


def tempo(*arguments):
    made = CliRunner().invoke(cli, ["tempo", *map(str, arguments)])
    assert made.exit_code == 0, made.output
    return made.stdout


def pasted(text):
    return text[text.index("[song.") :]


def test_the_block_is_read_back_as_it_was_measured(tmp_path):
    (tmp_path / "songs").mkdir()
    song = band.save(band.play(band.steady(104, 8, start=0.7)), tmp_path / "songs" / "Out & In.wav")
    text = pasted(tempo(song, "--bpm", 104, "--metre", "4/4", "--downbeat", 0.7))
    (tmp_path / "episode.toml").write_text(text, "utf-8")
    (tmp_path / "script.txt").write_text("TANSY: The sea.\n", "utf-8")
    (settings,) = open_source(tmp_path).settings.songs.values()
    assert (settings.id, settings.file, str(settings.metre)) == ("out-in", "songs/Out & In.wav", "4/4")
    assert float(settings.bpm) == pytest.approx(104, abs=0.05)
    assert float(settings.downbeat) == pytest.approx(0.7, abs=0.012)


def test_without_a_downbeat_the_block_leaves_it_open(tmp_path):
    song = band.save(band.play(band.steady(104, 8, start=0.7)), tmp_path / "song.wav")
    text = pasted(tempo(song, "--bpm", 104))
    assert "downbeat_s" not in tomllib.loads(text)["song"]["song"]
    assert "# downbeat_s" in text


def test_the_singing_begins_where_the_first_known_word_is_heard(say, tmp_path):
    # Two lines in the middle of a wide band at 120 bpm; bars of 2 s from 0.5 s on, the first line from about 5 s: bar 3.
    played = band.play(band.steady(120, 12, start=0.5))
    played = np.interp(
        np.arange(int(len(played) * RATE_HZ / band.RATE)) * band.RATE / RATE_HZ, np.arange(len(played)), played
    )
    voice, at, starts = np.zeros(len(played)), 4.8, []
    for text in LINES[2:4]:
        samples, words = say(text, "rms")
        voice[int(at * RATE_HZ) : int(at * RATE_HZ) + len(samples)] = samples
        starts.append(at + words[0].start)
        at += len(samples) / RATE_HZ + 1
    first = starts[0]
    wide = np.stack([voice + 3000 * played, voice + 3000 * np.roll(played, 90)], 1)
    song = write_wav(tmp_path / "song.wav", np.clip(wide, -32768, 32767), RATE_HZ)
    (tmp_path / "script.fountain").write_text(f"INT. ROCK\n\nBRAM\n~ {LINES[2]}\n~ {LINES[3]}\n", "utf-8")
    script = tmp_path / "script.fountain"
    found = json.loads(tempo(song, "--bpm", 120, "--metre", "4/4", "--downbeat", 0.5, "--in", script, "--json"))
    assert found["singing_begins_s"] == pytest.approx(first, abs=2 / 24)
    assert f"[[song song-1, bar {int((first - 0.5) // 2) + 1 + (((first - 0.5) / 2) % 1 > 0.6)}]]" in found["block"]
