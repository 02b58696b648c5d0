"""A reprise: a song performed twice has two places on the clock, in the plan and in everything that is written."""

import io
from fractions import Fraction

import pytest

from timing.pipeline import plan_source, write_plan
from timing.song.performances import Sung, performances

SONG = "[song.sea]\nbpm = 120\nmetre = '4/4'\ntitle = 'Out and In'\n"
REPRISE = """TANSY
[[song sea, bar 1]]
~ Out and in the sea goes

BRAM
And then it all comes back to us again.

TANSY
[[song sea, bar 1]]
~ Out and in the sea goes
"""


def episode(folder, script, toml=SONG):
    (folder / "script.fountain").write_text(script, "utf-8")
    (folder / "episode.toml").write_text(toml, "utf-8")
    return plan_source(folder)


def test_a_reprise_is_sung_after_what_stands_before_it(tmp_path):
    plan = episode(tmp_path, REPRISE)
    first, between, again = plan.lines
    assert first.end <= between.start < between.end <= again.start
    assert again.length == first.length
    assert [s.id for s in plan.songs] == ["sea", "sea-2"]
    one, two = plan.songs
    assert one.end <= two.start
    assert two.bpm == one.bpm == 120
    # by hand: bar 1, beat 1 of the reprise is where the second performance begins
    assert [(s.bar, s.beat) for s in again.syllables] == [(s.bar, s.beat) for s in first.syllables]
    assert again.syllables[0].start - two.first_downbeat == first.syllables[0].start - one.first_downbeat


def test_everything_that_is_written_has_both_performances(tmp_path):
    import mido

    plan = episode(tmp_path, REPRISE)
    write_plan(plan, tmp_path / "out", tmp_path)
    captions = (tmp_path / "out" / "captions.srt").read_text("utf-8")
    assert captions.count("Out and in the sea goes") == 2
    notes = []
    for name in ("song-sea.mid", "song-sea-2.mid"):
        file = mido.MidiFile(file=io.BytesIO((tmp_path / "out" / name).read_bytes()))
        notes.append(sum(m.type == "note_on" and m.velocity > 0 and m.channel != 9 for t in file.tracks for m in t))
    assert notes[0] == notes[1] == len(plan.lines[0].syllables)


def test_a_song_goes_on_over_a_speech_where_its_bars_go_forward(tmp_path):
    before, _, after = REPRISE.rpartition("bar 1")
    plan = episode(tmp_path, f"{before}bar 9{after}")
    assert [s.id for s in plan.songs] == ["sea"]
    # bar 9 of a song in 4/4 at 120 begins 8 x 2 s after bar 1; a pick-up may come a beat before it
    assert plan.lines[2].syllables[0].start - plan.songs[0].first_downbeat >= Fraction(16) - 1


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        # two voices cued to the same bars at once sing together
        ([Sung("a", 1, "TANSY"), Sung("a", 1, "BRAM")], ["a", "a"]),
        # one voice cannot be in two bars at once
        ([Sung("a", 1, "TANSY"), Sung("a", 1, "TANSY")], ["a", "a-2"]),
        # an id that a song has already is not taken for a reprise
        ([Sung("a", 1), Sung(), Sung("a", 1), Sung("a-2", 1)], ["a", None, "a-3", "a-2"]),
        # three performances, and a line that follows goes on in the last
        ([Sung("a", 1), Sung(), Sung("a", 1), Sung(), Sung("a", 1), Sung("a")], ["a", None, "a-2", None, "a-3", "a-3"]),
        # bars that overlap what is sung already cannot be sung once more: lines of two bars, bar 2 is the first's
        ([Sung("a", 1), Sung(), Sung("a", 2)], ["a", None, "a-2"]),
        ([Sung("a", 1), Sung(), Sung("a", 3)], ["a", None, "a"]),
        ([Sung("a", 1), Sung("b", 1), Sung("a", 1)], ["a", "b", "a-2"]),
    ],
)
def test_which_line_belongs_to_which_performance(lines, expected):
    assert performances(lines) == expected


OVERLAP = """TANSY
[[song sea, bar 1]]
~ @1:1 Out @2:1 and @3:1 in @4:1 the @5:1 sea

{who}
[[song sea, bar {bar}]]
~ In and out a-gain it goes
"""


@pytest.mark.parametrize(("who", "bar", "is_found"), [("TANSY", 3, True), ("TANSY", 7, False), ("BRAM", 3, False)])
def test_bars_that_one_voice_cannot_sing_are_a_finding(tmp_path, who, bar, is_found):
    """By hand: the first line's last mark is beat 1 of bar 5, and its last word is held into that bar.

    So its voice is free from bar 6 on. Bar 3 is not behind the two bars that a line is usually given (bars 1 and 2),
    so the cue is no second performance.
    """
    plan = episode(tmp_path, OVERLAP.format(who=who, bar=bar))
    assert [s.id for s in plan.songs] == ["sea"]
    first, second = plan.lines
    found = [f for f in second.findings if f.code == "bars-overlap"]
    assert bool(found) is is_found
    assert not [f for f in first.findings if f.code == "bars-overlap"]
    if found:
        assert found[0].facts == {"line": first.id, "bar": 3, "free_bar": 6}
        assert found[0].message.startswith("begins in bar 3, while TANSY still sings line 1: one voice")


def test_a_line_that_begins_where_its_voice_ends_is_no_overlap(tmp_path):
    """Two lines one after the other without cues: the second begins where the first ends, or behind it."""
    plan = episode(tmp_path, "TANSY\n[[song sea, bar 1]]\n~ Out and in the sea goes\n~ In and out it goes a-gain\n")
    assert not [f for line in plan.lines for f in line.findings if f.code == "bars-overlap"]
