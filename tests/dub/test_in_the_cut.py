"""An edition of an episode that is cut: windows on the cut's clock. Frames at 24 a second, worked out by hand.

Of the three speeches of ``tests/cut`` (0.4 s a word) the cut shows C02, then C03, then C02 again; C01 is left out. A
clip's first sound lies 6 frames into it, so "It comes back in." (1.6 s) is heard from frame 6, 0.25 s, and from frame
126, 5.25 s, "Twice a day." (1.2 s) from frame 66, 2.75 s.
"""

from __future__ import annotations

import pytest

from tests.cut.test_follow import event, in_cut, three_speeches
from tests.dub.editions import edition_of
from timing.commands.dub import table
from timing.dub.outputs import edition_files
from timing.model.dub import Edition, Verdict

LONG = "Es kommt zweimal am Tag wieder herein, und niemand hat ihm jemals gesagt, dass es das tun soll."
WORDS = {"1": "Das Meer geht hinaus.", "2": LONG, "3": "Zweimal am Tag."}


@pytest.fixture(scope="module")
def edition() -> Edition:
    cut = "TITLE: Tide\nFCM: NON-DROP FRAME\n"
    cut += event(1, "C02", 0, 0, 53) + event(2, "C03", 0, 60, 43) + event(3, "C02", 0, 120, 53)
    return edition_of(in_cut(three_speeches(), cut), WORDS)


def test_windows_lie_where_the_cut_shows_them(edition: Edition) -> None:
    found = {dub.id: (float(dub.window.start), float(dub.window.end)) for dub in edition.lines}
    assert found == {"2": (0.25, 1.85), "3": (2.75, 3.95), "2 (2)": (5.25, 6.85)}
    assert [float(dub.window.free) for dub in edition.lines[:2]] == pytest.approx([0.9, 1.3])


def test_a_line_that_the_cut_leaves_out_is_neither_judged_nor_missed(edition: Edition) -> None:
    assert "1" not in {dub.id for dub in edition.lines}
    assert edition.without_text == ()


def test_a_clip_that_is_shown_twice_needs_one_new_clip(edition: Edition) -> None:
    twice = [dub for dub in edition.lines if dub.id.startswith("2")]
    assert [dub.verdict for dub in twice] == [Verdict.TOO_LONG, Verdict.TOO_LONG]
    assert [bool(dub.new_clips) for dub in twice] == [True, False]


def test_captions_and_labels_run_as_the_cut_does(edition: Edition) -> None:
    files = edition_files(edition)
    captions = files["captions.srt"].decode()
    assert captions.startswith("1\n00:00:00,250 --> ")
    assert "00:00:02,750 --> " in captions
    assert files["labels.txt"].decode().startswith("0.250000\t1.850000\t2: ")


def test_the_table_says_that_it_follows_the_cut_and_what_is_not_in_it(edition: Edition) -> None:
    """C01 holds line 1."""
    assert edition.not_in_cut == ("1",)
    assert f"Windows and order are those of the real cut, {edition.cut_file}; not in it: 1." in table(edition)
