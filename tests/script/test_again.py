"""A chorus is written once: every time it is sung it has lines, ids and pins of its own."""

import pytest

from timing.memory.line_ids import KnownLine, assign_ids
from timing.script import parse_script

SONG = """Song: Out and In

Verse 1
The sea goes out,

Chorus
Out and in@3,
in and out!

Verse 2
The sea comes in,

Chorus

Verse 3
The moon goes round,

(Repeat chorus)
"""


def known(text):
    return [KnownLine(line.kind.value, line.speaker, line.text) for line in parse_script(text, "song.txt").lines]


def with_ids(lines, ids):
    return [KnownLine(x.kind, x.speaker, x.text, i) for x, i in zip(lines, ids, strict=True)]


def test_every_time_it_is_sung_a_line_has_its_own_id():
    assert assign_ids([], known(SONG)) == [str(n) for n in range(1, 10)]


@pytest.mark.parametrize(
    ("old", "new", "ids"),
    [
        ("The sea goes out,\n", "The sea goes out,\nfar away,\n", ["1", "1A", "2", "3", "4", "5", "6", "7", "8", "9"]),
        ("The moon goes round,\n", "The moon turns round,\n", ["1", "2", "3", "4", "5", "6", "7", "8", "9"]),
        ("(Repeat chorus)\n", "(Repeat chorus)\n\n[[again chorus]]\n", [str(n) for n in range(1, 12)]),
        ("in and out!", "in and then out!", ["1", "2", "3", "4", "5", "6", "7", "8", "9"]),
    ],
    ids=["a verse grows", "a verse is reworded", "once more at the end", "the chorus itself"],
)
def test_the_others_keep_theirs_when_the_song_changes(old, new, ids):
    before = with_ids(known(SONG), assign_ids([], known(SONG)))
    changed = SONG.replace(old, new)
    assert changed != SONG
    assert assign_ids(before, known(changed)) == ids


def test_a_verse_that_goes_with_its_chorus_takes_one_whole_chorus_with_it():
    before = with_ids(known(SONG), assign_ids([], known(SONG)))
    ids = assign_ids(before, known(SONG.replace("Verse 2\nThe sea comes in,\n\nChorus\n\n", "")))
    assert ids in (["1", "2", "3", "7", "8", "9"], ["1", "5", "6", "7", "8", "9"])  # the two readings of the change


def test_pins_come_back_and_a_song_note_sets_only_the_first_line_to_its_bar():
    script = parse_script(SONG.replace("(Repeat", "[[song out-and-in, bar 25]]\n(Repeat"), "song.txt")
    again = [line for line in script.lines if line.again]
    assert [line.text for line in again] == ["Out and in@3,", "in and out!"] * 2
    assert [line.cue.bar if line.cue else None for line in again] == [None, None, 25, None]


def test_what_was_found_in_a_chorus_is_said_once():
    script = parse_script(SONG.replace("in and out!", "in and out (and in)!"), "song.txt")
    assert [f.code for line in script.lines for f in line.findings] == ["singer-unknown", "aside-spoken"]
