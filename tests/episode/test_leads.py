"""A wait at the head of a speech is seen in that speech's clip; figures worked out by hand from the default profile.

The default profile: head 0.25 s, tail 0.35 s, whole seconds from 3 to 8; 0.6 s between two speeches; 24 frames a second.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from timing import plan
from timing.clips.savings import make_savings
from timing.export.requests import request_text
from timing.model import Plan


def planned(tmp_path: Path, script: str, settings: str = "") -> Plan:
    (tmp_path / "script.txt").write_text(script, "utf-8")
    (tmp_path / "episode.toml").write_text(settings, "utf-8")
    return plan(tmp_path)


def test_a_clip_begins_with_the_wait_before_its_words(tmp_path: Path) -> None:
    made = planned(tmp_path, "TANSY: Where? [[1 s]]\nBRAM: [[wait 2 s]] It goes out. [[1.5 s]]\n")
    assert [line.shown_kind for line in made.lines] == ["spoken", "spoken"]
    first, second = made.clips
    # 0.25 + 2 + 1.5 + 0.35 = 4.1, for which 5 s are asked; the words begin 2.25 s into the clip.
    assert (second.head, second.need, second.ask) == (Fraction(9, 4), Fraction(41, 10), 5)
    assert "speech: 1.5 s, from 2.25 s to 3.75 s" in request_text(made, second)
    # Tansy ends at 0.25 + 1 = 1.25; Bram begins 0.6 + 2 s later, 3.85 s, which is frame 92.4, so on frame 92.
    assert second.speech_start == Fraction(92, 24)
    # Her clip ends at 1.6 s (frame 38.4), his begins 2.25 s before his words (frame 38): nothing is black between.
    assert (first.end_frame, second.start_frame) == (38, 38)


@pytest.mark.parametrize("speech", ["BRAM (V.O.): [[wait 2 s]] It goes out. [[1.5 s]]", "BRAM: It goes out. [[1.5 s]]"])
def test_who_is_not_seen_waits_in_no_clip(tmp_path: Path, speech: str) -> None:
    made = planned(tmp_path, f"TANSY: Where? [[1 s]]\n{speech}\n")
    assert made.clips[1].need == Fraction(21, 10)  # 0.25 + 1.5 + 0.35


def test_a_wait_that_fits_no_generation_is_told_and_held_on_the_clock(tmp_path: Path) -> None:
    """0.25 + wait + 0.35 must be under 8 s: 7.3 s are, 7.4 s are not."""
    for wait, head, told in (("7.3", Fraction(151, 20), []), ("7.4", Fraction(1, 4), ["no-picture"])):
        made = planned(tmp_path, f"TANSY: Where? [[1 s]]\nBRAM: [[wait {wait} s]] Out. [[0.1 s]]\n")
        assert made.clips[1].head == head
        assert [f.code for f in made.lines[1].findings if f.code == "no-picture"] == told
        # 1.25 + 0.6 + the wait, on a frame
        assert made.clips[1].speech_start == Fraction(round((Fraction("1.85") + Fraction(wait)) * 24), 24)


def test_a_shared_generation_begins_with_the_wait_of_its_first_line(tmp_path: Path) -> None:
    """By hand: 2.25 + 1 + 0.35 and 0.25 + 1 + 0.35 ask for 4 and 3 s apart, together 2.25 + 1 + 0.6 + 1 + 0.35 for 6."""
    script = "TANSY: [[wait 2 s]] Out. [[1 s]]\nTANSY: In. [[1 s]]\n"
    made = planned(tmp_path, script, "share_short_lines = true\n")
    (clip,) = made.clips
    assert clip.ask == 6
    # The first sound on frame 54 (2.25 s), the second line 1.6 s later on frame 92 (92.4), its end at 92 + 24 = 116.
    assert clip.need == Fraction("2.25") + Fraction(116 - 54, 24) + Fraction("0.35")
    assert clip.findings[0].facts["begins_s"]["1"] == 2.25


def test_a_wait_is_no_handle_that_could_be_shorter(tmp_path: Path) -> None:
    """0.25 + 2 + 3.4 + 0.35 = 6.0 s fit 6; with 3.5 s of speech 7 are asked for and 0.1 s could go from the handles."""
    prices = "[profile.default]\nlengths = [3, 5, 6, 7]\ncost_per_s = 1\n"
    for seconds, shaved in (("3.4", []), ("3.5", [("C01", Fraction(1, 10))]), ("4.3", [])):
        made = planned(tmp_path, f"TANSY: [[wait 2 s]] Out it goes. [[{seconds} s]]\n", prices)
        shaves = [(s.clip, s.less) for s in make_savings(made).handles]
        assert shaves == shaved, seconds  # at 4.3 s 0.9 s would have to go, more than the handles have
