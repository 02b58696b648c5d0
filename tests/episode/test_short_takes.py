"""Clips that came back with less before or after their words than was asked for: no black frame in the cut.

Three flashes a second are the limit (WCAG 2.3.1), and an edit shows nothing where a file has nothing: what the cut
shows of a file lies in it. The takes are made verdicts, so that every figure is known beforehand.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from unittest import mock

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from timing.clips.plan import SHORTEST_GAP, Handles
from timing.delivery.verdict import Check
from timing.delivery.words import clip_utterance
from timing.episode.clips_back import CameBack, _timed
from timing.export.cutting import cut_tracks
from timing.export.delivery import targets
from timing.model import Clip, Delivered, LineKind, Origin, Plan, TimedLine, TimedSyllable, TimedWord
from timing.pipeline import plan_source

WORD = Fraction(1, 4)  # every word of a made take, one directly after the other

SCRIPT = """TANSY: Where does the sea go{inside}when it goes out so far?

[[3 s]]
A wave.

BRAM: It went out for a walk.{behind}

TANSY: All of it? At once?
"""


def take(plan: Plan, clip: Clip, head: Fraction, tail: Fraction) -> Check:
    words, at = [], head
    for word in clip_utterance(plan, clip).words:
        step = WORD / len(word.syllables)
        made = tuple(
            TimedSyllable(s.text, at + k * step, at + (k + 1) * step, Origin.MEASURED, s.stress, s.phones, s.said)
            for k, s in enumerate(word.syllables)
        )
        words.append(TimedWord.of(word, made, 0.9))
        at += WORD
    length = words[-1].end - words[0].start
    line = TimedLine(tuple(words), Origin.MEASURED, length, length, 0.9)
    return Check(f"clips/{clip.id}.mp4", clip.id, confidence=0.9, is_best=True, heard=line, tail=tail)


def cut_of(
    script: str, toml: str, back: Sequence[int], head: Fraction, tail: Fraction
) -> tuple[Plan, dict[str, Check]]:
    """Return the plan whose spoken clips at these places came back."""
    made: dict[str, Check] = {}

    def came_back(plan, drafts, *rest):
        spoken = [c for c in plan.clips if c.kind is LineKind.SPOKEN]
        made.update({c.id: take(plan, c, head, tail) for n, c in enumerate(spoken) if n in back})
        took = tuple(
            Delivered(i, c.file, 1, "delivered", True, c.heard.start) for i, c in made.items() if c.heard is not None
        )
        reach = {i: Handles(c.heard.start, c.tail) for i, c in made.items() if c.heard and c.tail is not None}
        return CameBack(_timed(plan, drafts, made), took, handles=reach)

    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "clips").mkdir()
        (Path(folder) / "script.txt").write_text(script, "utf-8")
        (Path(folder) / "episode.toml").write_text(toml, "utf-8")
        with (
            mock.patch("timing.pipeline.with_deliveries", came_back),
            mock.patch("timing.pipeline.sound_strips", return_value=()),
        ):
            return plan_source(folder), made


def check_cut(plan: Plan, made: dict[str, Check]) -> None:
    told = {f.facts["before"] for c in plan.clips for f in c.findings if f.code == "no-picture"}
    assert plan.clips[0].start_frame == 0, "the cut opens with black"
    for a, b in pairwise(plan.clips):
        hole = b.start_frame - a.end_frame
        assert hole == 0 or b.id in told or hole / plan.rate.fps >= SHORTEST_GAP - 1 / plan.rate.fps, (a.id, hole)
        assert a.speech_end <= a.end
        assert b.start <= b.speech_start
    (native, *_) = targets(plan)
    for event in (e for track in cut_tracks(plan, native) for e in track):
        if (check := made.get(event.clip.id)) and check.heard and check.tail is not None:
            frames = plan.rate.frame_at(check.heard.words[-1].end + check.tail)
            assert event.source + event.length <= frames + 1, f"{event.clip.id} shows more than its file has"


def test_a_take_with_a_short_head_opens_the_cut_with_its_first_frame() -> None:
    """By hand: asked with 0.3 s of head, 0.1 s came: 2.4 frames of 24, so the words begin 2 frames in."""
    toml = "[profile.x]\nhead_s = 0.3\ntail_s = 0.4\n"
    plan, made = cut_of("TANSY: My toes are wet.\n", toml, [0], Fraction(1, 10), Fraction(1, 5))
    (clip,) = plan.clips
    assert clip.start_frame == 0
    assert plan.lines[0].start_frame == 2
    check_cut(plan, made)


def test_a_picture_follows_a_take_where_its_file_ends() -> None:
    """By hand: 0.3 s of head are 7 frames of 24; 4 words of 6 frames; 0.125 s of tail are 3: the picture at 34."""
    toml = "[profile.x]\nhead_s = 0.3\ntail_s = 0.4\n"
    script = "TANSY: My toes are wet.\n\n[[2 s]]\nA wave.\n"
    plan, made = cut_of(script, toml, [0], Fraction(1, 2), Fraction(1, 8))
    assert [c.end_frame for c in plan.clips] == [34, 34 + 48]
    check_cut(plan, made)


@pytest.mark.parametrize("short", ["tail", "head"])
def test_a_pause_between_two_takes_is_as_long_as_they_can_show(short: str) -> None:
    """The usual 0.6 s less what neither file holds; with a second between them it is a pause and stays."""
    script = "TANSY: My toes are wet.\n\nBRAM: The tide is in.\n"
    head, tail = (Fraction(1, 8), Fraction(1, 4)) if short == "head" else (Fraction(1, 4), Fraction(1, 8))
    plan, made = cut_of(script, "", [0, 1], head, tail)
    assert plan.lines[1].start_frame - plan.lines[0].end_frame == 9  # 0.375 s of 24 frames
    check_cut(plan, made)
    wide, _ = cut_of(script, "[gaps]\nline_s = 1\n", [0, 1], head, tail)
    assert wide.lines[1].start_frame - wide.lines[0].end_frame == 24


@settings(max_examples=40, deadline=None)
@given(
    delivery=st.sampled_from(["dialogue", "young", "strong", "slow", "narration"]),
    asked=st.sampled_from([("0", "0"), ("0.25", "0.35"), ("0.3", "0.7"), ("1", "0.1")]),
    head=st.fractions(0, 1, max_denominator=100),
    tail=st.fractions(0, 1, max_denominator=100),
    inside=st.sampled_from([" ", " [[pause 0.5 s]] ", " [[pause 1.3 s]] "]),
    behind=st.sampled_from(["", " [[pause 0.3 s]]"]),
    rate=st.sampled_from(["12", "23.976", "24", "25", "29.97", "30", "48", "50", "60"]),
    gap=st.sampled_from(["0", "0.2", "0.6", "2"]),
    lengths=st.sampled_from(["[2, 3]", "[4, 6, 8]"]),
    back=st.sets(st.integers(0, 4)),
)
@example("young", ("0.25", "0.35"), Fraction(1, 20), Fraction(1, 20), " ", "", "24", "0.6", "[4, 6, 8]", {0, 1, 2})
@example("dialogue", ("0.3", "0.7"), Fraction(1, 48), Fraction(0), " ", " [[pause 0.3 s]]", "25", "0.6", "[2, 3]", {1})
def test_no_take_opens_or_interrupts_the_cut_with_black(
    delivery, asked, head, tail, inside, behind, rate, gap, lengths, back
) -> None:
    toml = (
        f'rate = "{rate}"\n[gaps]\nline_s = {gap}\n[cast.TANSY]\ndelivery = "{delivery}"\n'
        f"[profile.x]\nlengths = {lengths}\nhead_s = {asked[0]}\ntail_s = {asked[1]}\n"
    )
    check_cut(*cut_of(SCRIPT.format(inside=inside, behind=behind), toml, sorted(back), head, tail))
