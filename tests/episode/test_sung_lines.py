"""Songs of an episode: one that is missing, one whose bars nobody gave, one with its instrumental beside it."""

from __future__ import annotations

import pytest

from tests.song import band
from timing.model.findings import FindingCode
from timing.pipeline import plan_source


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "songs").mkdir()
    band.save(band.play(band.steady(100, 16, start=0.5)), tmp_path / "songs" / "there.wav")
    (tmp_path / "episode.toml").write_text(
        '[song.gone]\nfile = "songs/gone.wav"\nbpm = 96\n'
        '[song.there]\nfile = "songs/there.wav"\nbpm = 100\ndownbeat_s = 0.5\n',
        "utf-8",
    )
    return tmp_path


def script(folder, *cues):
    verses = [f"BRAM\n{cue}\n~ Out and in, the sea goes\n" for cue in cues]
    (folder / "script.fountain").write_text("INT. ROCK - DAY\n\n" + "\n".join(verses), "utf-8")
    return plan_source(folder)


def codes(plan):
    return [f.code for song in plan.songs for f in song.findings] + [f.code for f in plan.findings]


def test_a_missing_song_does_not_stop_the_others(folder):
    plan = script(folder, "[[song gone, bar 1]]", "[[song there, bar 3]]")
    gone, there = plan.songs
    # 96 bpm: 2.5 s a bar; a line has two bars.
    assert (gone.bpm, gone.origin.value) == (96, "fitted")
    assert there.origin.value == "measured"
    (told,) = [f for s in plan.songs for f in s.findings if f.code is FindingCode.SONG_FILE_UNUSABLE]
    assert told.facts == {"song": "gone"}
    assert "gone.wav" in told.message
    assert str(folder) not in told.message


def test_a_song_without_a_bar_says_that_its_place_is_assumed(folder):
    assert FindingCode.BARS_ASSUMED in codes(script(folder, "[[song there]]"))
    assert FindingCode.BARS_ASSUMED not in codes(script(folder, "[[song there, bar 3]]"))


def test_an_instrumental_of_another_song_is_said(folder):
    band.save(band.play(band.steady(83, 16, start=0.5), seed=9), folder / "songs" / "other.wav")
    settings = (folder / "episode.toml").read_text("utf-8")
    (folder / "episode.toml").write_text(settings + 'instrumental = "songs/other.wav"\n', "utf-8")
    plan = script(folder, "[[song there, bar 3]]")
    (told,) = [f for s in plan.songs for f in s.findings if f.code is FindingCode.SONG_FILE_UNUSABLE]
    assert "other.wav is not the instrumental of there.wav" in told.message
