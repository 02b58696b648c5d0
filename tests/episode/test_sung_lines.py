"""Songs of an episode: one that is missing, one whose bars nobody gave, one with its instrumental beside it."""

from __future__ import annotations

import pytest

from tests.song import band
from timing.episode.labels_out import label_files
from timing.model.findings import FindingCode
from timing.pipeline import plan_source
from timing.plain.errors import InputError


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


def test_rows_beside_a_song_that_is_sung_twice_are_for_the_performance_they_name(folder):
    # 100 bpm: a bar lasts 2.4 s from 0.5 s on. The song begins again for the second line, which is line 2 of the script.
    (folder / "songs" / "there.txt").write_text("0.9\t3\t1\n1.2\t4\t2\n2.9\t2.9\tbar 2\n9\t9\tmackerel\n", "utf-8")
    plan = script(folder, "[[song there, bar 1]]", "[[song there, bar 1]]")
    assert [song.id for song in plan.songs] == ["there", "there-2"]
    spans = [(float(n.start - s.start), float(n.end - s.start)) for n, s in zip(plan.lines, plan.songs, strict=True)]
    assert spans == [(0.9, 3.0), (1.2, 4.0)]
    assert [f.facts["text"] for f in plan.findings if f.code is FindingCode.LABEL_UNUSED] == ["mackerel"]


def test_labels_of_a_song_that_is_sung_twice_moved_beside_it_change_nothing(folder):
    text = "INT. ROCK - DAY\n\nBRAM\n[[song there, bar 1]]\n~ Out and in, the sea goes\n\nTANSY\nLook!\n\n"
    text += "BRAM\n[[song there, bar 1]]\n~ In and out it comes again, the\n"
    (folder / "script.fountain").write_text(text, "utf-8")
    before = plan_source(folder)
    (name, content), = label_files(before, folder).items()  # fmt: skip
    assert name == "labels/songs/there.txt"
    assert content.count(b"bar 2\n") == 1
    (folder / "songs" / "there.txt").write_bytes(content)
    after = plan_source(folder)
    assert [[(s.start, s.end) for s in n.syllables] for n in after.lines] == [
        [(s.start, s.end) for s in n.syllables] for n in before.lines
    ]
    assert [f.message for f in after.findings] == [f.message for f in before.findings]


def test_one_bar_told_twice_at_two_moments_is_an_error(folder):
    (folder / "songs" / "there.txt").write_text("2.9\t2.9\tbar 2\n2.9\t2.9\tbar 2\n3\t3\tbar 2\n", "utf-8")
    with pytest.raises(InputError, match=r"there\.txt:3: bar 2 has a row already \(songs/there\.txt:1\)"):
        script(folder, "[[song there, bar 1]]")
