"""What a folder's files make of its lines: songs, pinned lengths, paces and sentences where something cannot be."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from timing.model import LineKind, Origin
from timing.pipeline import plan_source
from timing.plain.errors import InputError, SettingsError


def planned(folder, script, toml="", name="script.txt"):
    (folder / name).write_text(script, "utf-8")
    (folder / "episode.toml").write_text(toml, "utf-8")
    return plan_source(folder)


def songs(plan):
    return [line.song for line in plan.lines if line.kind is LineKind.SUNG]


VERSE = "TANSY:\n~ Out and in the sea goes\n\nBRAM: Hm.\n\nTANSY:\n~ In and out the sea goes\n"
ONE, TWO = "[song.tide]\nbpm = 96\n", "[song.tide]\nbpm = 96\n[song.rock]\nbpm = 90\n"


@pytest.mark.parametrize(
    ("script", "toml", "wanted"),
    [
        (VERSE, ONE, ["tide", "tide"]),  # the only song that there is
        (VERSE, "", ["song-1", "song-2"]),  # none is known: what stands apart is another song
        (VERSE, TWO, ["song-1", "song-2"]),  # two are, and nothing says which
        ("[[song rock]]\n\n" + VERSE, TWO, ["rock", "rock"]),  # a song that is known goes on
        ("[[song ROCK]]\n\n" + VERSE, TWO, ["rock", "rock"]),
        (VERSE.replace("BRAM: Hm.", "[[song rock]]"), TWO, ["song-1", "rock"]),
        (VERSE.replace("\nBRAM: Hm.\n\nTANSY:\n", ""), "", ["song-1", "song-1"]),
        ("[[song sea]]\n\n" + VERSE, "", ["sea", "song-1"]),  # no song is known: any name will do
    ],
)
def test_whose_lines_are_whose_songs(tmp_path, script, toml, wanted):
    assert songs(planned(tmp_path, script, toml)) == wanted


@pytest.mark.parametrize(
    ("script", "toml", "said"),
    [
        ("[[song tied]]\n\n" + VERSE, ONE, r'script.txt:4: episode.toml has no song "tied"; did you mean "tide"'),
        (
            "A wave. [[2 bars]]\n\nTANSY: Hm.\n",
            "",
            r"script.txt:1: a length in bars needs a song; write seconds or frames",
        ),
        ("TANSY:\n~ " + "la " * 151 + "\n", "", "this sung line has 151 syllables; 150 are the most: divide it"),
        ("TANSY: Hm.\n", 'language = "klingonese"', "episode.toml: language: .*not a language"),
    ],
)
def test_what_cannot_be_is_a_sentence_with_its_place(tmp_path, script, toml, said):
    with pytest.raises((InputError, SettingsError), match=said):
        planned(tmp_path, script, toml)


def test_a_line_without_a_word_is_a_picture_and_said_so(tmp_path):
    plan = planned(tmp_path, "TANSY: 🦀\n\nBRAM: Hm.\nTANSY:\n~ 🐚\n")
    first, _, last = plan.lines
    assert (first.kind, last.kind) == (LineKind.PICTURE, LineKind.PICTURE)
    told = [f.message for n in (first, last) for f in n.findings if f.code == "nothing-spoken"]
    assert told == ["no word of “🦀” is spoken: planned as picture", "no word of “🐚” is sung: planned as picture"]


def test_a_pinned_length_is_its_seconds_or_its_frames(tmp_path):
    plan = planned(tmp_path, "TANSY: Out and in. [[4 s]]\nBRAM: Out and in. [[36 frames]]\nTANSY: Hm.\n")
    assert [(n.length, n.origin) for n in plan.lines][:2] == [(4, Origin.PINNED), (F(3, 2), Origin.PINNED)]
    assert plan.lines[2].origin is Origin.ESTIMATED


def test_a_speaker_is_as_fast_as_the_cast_says(tmp_path):
    def length(toml):
        return planned(tmp_path, "TANSY: Out and in the sea goes, and in again.\n", toml).lines[0].length

    usual = length("")
    assert float(length("[cast.tansy]\npace = 1.5\n") / usual) == pytest.approx(1.5, abs=1e-3)
    # narration is 1.14 times the rules' length, dialogue 0.91
    assert float(length('[cast.TANSY]\ndelivery = "narration"\n') / usual) == pytest.approx(1.14 / 0.91, abs=1e-3)


@pytest.mark.parametrize(("lines", "is_used"), [(2, False), (3, True)])
def test_a_learnt_pace_counts_from_three_lines_on(tmp_path, lines, is_used):
    folder = tmp_path / "storm"
    folder.mkdir()
    (tmp_path / "series.toml").write_text("", "utf-8")
    script = "TANSY: Out and in the sea goes, and in again.\n"
    usual = planned(folder, script).lines[0].length
    (tmp_path / "learnt.toml").write_text(f"[pace.TANSY]\nbay = {{ lines = {lines}, pace = 1.2 }}\n", "utf-8")
    # three lines beside the three that a delivery counts for: half of the way in the logarithm, root of 1.2
    wanted = 1.2**0.5 if is_used else 1.0
    assert float(plan_source(folder).lines[0].length / usual) == pytest.approx(wanted, abs=1e-3)


@pytest.mark.parametrize(("clips", "takes", "wanted"), [(2, "4.5", 7), (3, "4.5", 5), (3, "4", 4)])
def test_learnt_takes_count_from_three_clips_on_and_are_whole(tmp_path, clips, takes, wanted):
    folder = tmp_path / "storm"
    folder.mkdir()
    (tmp_path / "series.toml").write_text("", "utf-8")
    (tmp_path / "learnt.toml").write_text(f"[takes.default]\nbay = {{ clips = {clips}, takes = {takes} }}\n", "utf-8")
    assert planned(folder, "TANSY: Out and in.\n").clips[0].takes == wanted


def test_findings_name_files_from_the_folder_and_captions_are_held_against_readers_only_when_asked(tmp_path):
    script = "TANSY: " + "Strengths splashed through scratched screeching. " * 3 + "(the tide one more time)\n"
    plan = planned(tmp_path, script)
    wheres = {f.where.path for n in plan.lines for f in n.findings if f.where}
    assert wheres <= {"script.txt"}
    codes = {f.code.value for n in plan.lines for f in n.findings}
    assert "caption-fast" not in codes
    fast = planned(tmp_path, script, "caption_speed = true\n[cast.TANSY]\npace = 0.4\n")
    assert "caption-fast" in {f.code.value for n in fast.lines for f in n.findings}


def test_a_bare_language_is_said_once_while_something_is_estimated(tmp_path):
    codes = [f.code.value for f in planned(tmp_path, "TANSY: De zee slaapt.\n", 'language = "nl"').findings]
    assert codes.count("language-assumed") == 1
    codes = [f.code.value for f in planned(tmp_path, "TANSY: De zee slaapt. [[2 s]]\n", 'language = "nl"').findings]
    assert "language-assumed" not in codes
