"""A label beside a song: it holds, and what it says nothing of is listened for again around it.

Synthesised speech stands in for a singer's stem; the moments of its words are known. The singer sings the first line
twice, the script has it once: which of the two is meant is a person's to say.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from tests.recording import flite
from tests.recording.material import LINES
from tests.recording.sounds import write_wav
from timing.episode.sung_lines import _pins_said, _Said
from timing.hearing.song_following import Pin
from timing.model import Origin, TimedLine, TimedSyllable, TimedWord
from timing.model.findings import FindingCode
from timing.model.labels import Label, syllables_meant
from timing.pipeline import make_plan
from timing.plain.json_text import json_bytes
from timing.script.source import open_source

RATE_HZ = 16_000
TWO_FRAMES = 2 / 24
FIRST, SECOND = LINES[2], LINES[3]


@pytest.fixture(scope="module")
def episode(tmp_path_factory):
    """An episode whose song has FIRST, FIRST, SECOND; returns its folder and the words' true (start, end)."""
    if not flite.is_installed():
        pytest.skip("the flite synthesiser is not installed")
    folder = tmp_path_factory.mktemp("episode")
    parts, truth, at = [], [], 0.0
    for text in (FIRST, FIRST, SECOND):
        samples, words = flite.say(text, "rms")
        parts += [np.zeros(RATE_HZ), samples]
        truth.append([(at + 1 + w.start, at + 1 + w.end) for w in words])
        at += 1 + len(samples) / RATE_HZ
    (folder / "songs").mkdir()
    write_wav(folder / "songs" / "tide.wav", np.concatenate([*parts, np.zeros(RATE_HZ)]), RATE_HZ)
    song = 'file = "songs/tide.wav"\nvocal = "songs/tide.wav"\nbpm = 120\ndownbeat_s = 0\n'
    (folder / "episode.toml").write_text("[song.tide]\n" + song, "utf-8")
    script = f"INT. ROCK - DAY\n\nBRAM\n[[song tide]]\n~ {FIRST}\n~ {SECOND}\n"
    (folder / "script.fountain").write_text(script, "utf-8")
    return folder, truth


def planned(folder, *rows):
    labels = folder / "songs" / "tide.txt"
    if rows:
        labels.write_text("".join(f"{start:.6f}\t{end:.6f}\t{text}\n" for start, end, text in rows), "utf-8")
    else:
        labels.unlink(missing_ok=True)
    plan = make_plan(open_source(folder), keep_ids=True).plan
    start = plan.songs[0].start
    first, second = ([(w.start - start, w.end - start) for w in line.words] for line in plan.lines if line.song)
    return plan, first, second


def sung(plan, line_id):
    return next(line for line in plan.lines if line.song and line.id == line_id)


def away(words, truth):
    return max(abs(float(start) - known) for (start, _), (known, _) in zip(words, truth, strict=True))


def test_a_line_that_was_lost_is_followed_where_a_row_says_that_it_is_sung(episode):
    folder, truth = episode
    before, lost, second = planned(folder)
    assert [f.code for f in sung(before, "1").findings] == [FindingCode.SINGING_NOT_FOUND]
    assert away(second, truth[2]) < TWO_FRAMES
    for there in (truth[0], truth[1]):
        row = (there[0][0], there[-1][1], "1: whatever")
        after, moved, same = planned(folder, row)
        assert [moved[0][0], moved[-1][1]] == pytest.approx([row[0], row[1]], abs=1e-6)
        assert away(moved, there) < TWO_FRAMES < away(lost, there)
        line = sung(after, "1")
        assert (line.origin, line.words[2].syllables[0].origin, line.findings) == (Origin.PINNED, Origin.MEASURED, ())
        assert same == second
    again, *_ = planned(folder)
    assert json_bytes(again.to_json(), indent=1) == json_bytes(before.to_json(), indent=1)


def test_a_moved_word_holds_to_the_microsecond_and_the_others_lie_where_they_are_sung(episode):
    folder, truth = episode
    _, same, second = planned(folder)
    start, end = (float(m) for m in second[3])
    told = (round(start + (end - start) / 2, 6), round(end + 0.05, 6), SECOND.split()[3])
    plan, other, moved = planned(folder, told)
    assert moved[3] == tuple(Fraction(f"{m:.6f}") for m in told[:2])
    assert all(one[1] <= after[0] for one, after in pairwise(moved))
    others = [n for n in range(len(moved)) if n not in (3, 4)]
    assert away([moved[n] for n in others], [truth[2][n] for n in others]) < TWO_FRAMES
    assert other == same
    assert [w.syllables[0].origin for w in sung(plan, "2").words[2:5]] == [
        Origin.MEASURED, Origin.PINNED, Origin.MEASURED,
    ]  # fmt: skip


def test_words_after_one_that_was_moved_far_follow_it(episode):
    # One word of the lost line, told where it is sung the second time, is enough: the others are heard around it.
    folder, truth = episode
    there = truth[1]
    rows = [(there[0][0] - 0.5, there[-1][1] + 0.5, "1"), (there[4][0], there[4][0], FIRST.split()[4])]
    _, moved, _ = planned(folder, *rows)
    assert away(moved[1:-1], there[1:-1]) < TWO_FRAMES


def test_a_row_that_leaves_no_room_to_sing_in_counts_all_the_same(episode):
    # All the words of a line in 0.3 s: at three hundredths of a second a sound nobody can be followed in.
    folder, _ = episode
    _, _, second = planned(folder)
    plan, pressed, same = planned(folder, (1.0, 1.3, "1: in no time"))
    assert (pressed[0][0], pressed[-1][1]) == (1, Fraction(13, 10))
    assert same == second
    assert not [f for f in plan.findings if f.code is FindingCode.LABEL_UNUSED]


def test_rows_that_say_what_was_heard_move_nothing(episode):
    folder, _ = episode
    _, first, second = planned(folder)
    words = SECOND.split()
    rows = [(float(a), float(b), text) for (a, b), text in zip(second, words, strict=True)]
    plan, *same = planned(folder, (float(second[0][0]), float(second[-1][1]), "2"), *rows)
    assert same == [first, second]
    assert {s.origin for s in sung(plan, "2").syllables} == {Origin.PINNED}


def half_seconds(*words):
    """A line of syllables, half a second each, one after another from 0."""
    at, found = Fraction(0), []
    for text in words:
        syllables = []
        for piece in text.split("-"):
            syllables.append(TimedSyllable(piece, at, at + Fraction(1, 2), Origin.MEASURED))
            at += Fraction(1, 2)
        found.append(TimedWord(text.replace("-", ""), text.replace("-", ""), tuple(syllables)))
    return TimedLine(tuple(found), Origin.MEASURED, at, at)


def row(start, end, text="row"):
    return Label(Fraction(str(start)), Fraction(str(end)), text)


@pytest.mark.parametrize(
    ("edges", "rows", "pins"),
    [
        # The line's own row: where its first word begins and its last one ends.
        (row(0.1, 3.4), [], [Pin(0, Fraction("0.1")), Pin(3, None, Fraction("3.4"))]),
        # A word's row: both its edges; a row without length only where it begins.
        (None, [row(0.6, 1.4, "water")], [Pin(1, Fraction("0.6"), Fraction("1.4"))]),
        (None, [row(0.6, 0.6, "water")], [Pin(1, Fraction("0.6"))]),
        # A syllable's row: where it begins; the last one's end is its word's.
        (None, [row(0.6, 0.9, "wa")], [Pin(1, Fraction("0.6"))]),
        (None, [row(1.1, 1.4, "ter")], [Pin(1, None, Fraction("1.4")), Pin(1, Fraction("1.1"), None, 1)]),
        (None, [row(1.1, 1.1, "ter")], [Pin(1, Fraction("1.1"), None, 1)]),
        # A word and its last syllable: the word begins as its row says, and ends as its syllable's does.
        (
            None,
            [row(0.6, 1.5, "water"), row(1.1, 1.4, "ter")],
            [Pin(1, Fraction("0.6"), Fraction("1.4")), Pin(1, Fraction("1.1"), None, 1)],
        ),
        # A word at the line's edge: its own row counts, and where that has no end the line's.
        (
            row(0, 3.5),
            [row(0.2, 0.4, "the"), row(2.1, 2.1, "again")],
            [Pin(0, Fraction("0.2"), Fraction("0.4")), Pin(3, Fraction("2.1"), Fraction("3.5"))],
        ),
    ],
)
def test_what_rows_say_of_a_line_are_its_pins_in_the_order_in_which_it_is_sung(edges, rows, pins):
    line = half_seconds("the", "wa-ter", "sings", "a-gain")
    assert list(_pins_said(line, _Said(edges, syllables_meant(line, rows)[0]))) == pins


def test_the_row_of_a_line_of_one_word_says_both_its_edges():
    said = _Said(row(0.1, 0.9), {})
    assert list(_pins_said(half_seconds("wa-ter"), said)) == [Pin(0, Fraction("0.1"), Fraction("0.9"))]
