"""Which sung lines take the times that were heard, and which stay on their bars.

The following itself is put aside: each line is heard as long after (or before) its place on the bars as a test says.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import count

import pytest

from tests.life.fakes import timed
from timing.model import Finding, Origin
from timing.model.findings import FindingCode
from timing.pipeline import plan_source

LOST = FindingCode.SINGING_NOT_FOUND
SCRIPT = """Title: Tide

BRAM:
[[song tide, bar 1]]
~ Out and in, the sea goes
[[song tide, bar 3]]
~ {}and out it comes again
"""


@pytest.fixture
def sung(tmp_path, monkeypatch):
    """Return a function: seconds by which each of two lines is heard late (None: not at all) -> (plan, those lines)."""
    (tmp_path / "songs").mkdir()
    (tmp_path / "songs" / "stem.wav").write_bytes(b"any sound")
    (tmp_path / "episode.toml").write_text('[song.tide]\nbpm = 60\nvocal = "songs/stem.wav"\n', "utf-8")
    number = count()

    def plan(*late, moved_s=None, pin="In ", slow=Fraction(1)):
        (tmp_path / "script.txt").write_text(SCRIPT.format(pin), "utf-8")

        def align_song(_path, lines, *_):
            heard = {}
            for line, by in zip(lines, late, strict=False):
                if by is not None:
                    own = timed(line.utterance, slow if line.id == "0" else Fraction(1)).moved(
                        on_bars[line.id] + Fraction(by)
                    )
                    doubt = Finding(FindingCode.UNCLEAR, "doubted", {"moved_s": moved_s, "away_s": 0.0})
                    heard[line.id] = replace(own, findings=(doubt,) if moved_s is not None else ())
            return heard

        monkeypatch.setattr("timing.hearing.song_following.align_song", align_song)
        made = plan_source(tmp_path, tmp_path / f"out-{next(number)}")  # nothing is kept from one to the next
        start = made.songs[0].start
        return made, [(line, line.start - start) for line in made.lines if line.song]

    on_bars = {}
    on_bars.update({str(n): at for n, (_, at) in enumerate(plan()[1])})
    return plan


def is_lost(line):
    return LOST in [f.code for f in line.findings] and line.origin is Origin.FITTED


def test_a_line_heard_a_second_and_a_half_from_its_bars_is_believed_and_one_farther_off_is_not(sung):
    _, ((_, first), (_, second)) = sung(None, None)
    _, ((near, at), (far, stays)) = sung("1.5", "1.51")
    assert (near.origin, at - first, near.take) == (Origin.MEASURED, Fraction(3, 2), "songs/stem.wav")
    assert is_lost(far)
    assert (stays, far.take) == (second, None)
    assert not is_lost(near)


def test_where_other_readings_move_a_line_by_more_than_three_tenths_it_stays_on_its_bars(sung):
    _, ((_, first), _) = sung(None, None)
    _, ((line, at), _) = sung("0.25", moved_s=0.3)
    assert (line.origin, at) == (Origin.MEASURED, first + Fraction(1, 4))
    _, ((line, at), _) = sung("0.25", moved_s=0.31)
    assert is_lost(line)
    assert at == first


def test_a_line_that_was_not_heard_stays_on_its_bars(sung):
    _, ((line, _), (other, _)) = sung(None, "0")
    assert is_lost(line)
    assert other.origin is Origin.MEASURED


@pytest.mark.parametrize(
    ("late", "pin", "goes_back"), [(0, "In ", False), ("-0.01", "In ", True), ("-0.01", "In@1:1 ", False)]
)
def test_a_line_heard_before_the_one_before_it_has_ended_goes_back_to_its_bars_unless_it_is_pinned(
    sung, late, pin, goes_back
):
    _, ((_, first), (_, second)) = sung(None, None, pin=pin)
    # Drawn out until the second line begins on its bars: six syllables of a fifth of a second each, times ``slow``.
    slow = (second - first) / (6 * Fraction(1, 5))
    _, ((before, _), (after, at)) = sung("0", late, pin=pin, slow=slow)
    assert before.length == second - first
    assert is_lost(after) is goes_back
    assert at == second + (0 if goes_back else Fraction(late))


def test_a_heard_syllable_says_in_which_bar_and_on_which_beat_it_is_sung(sung):
    # A beat lasts a second, bar 1 begins where the song's clock does: what is heard at 1.5 s is on beat 2.5.
    plan, ((line, _), _) = sung("0.5", None)
    song = plan.songs[0]
    for syllable in line.syllables:
        beats = syllable.vowel_start - song.first_downbeat
        assert (syllable.bar, syllable.beat) == (1 + beats // 4, 1 + beats % 4)
