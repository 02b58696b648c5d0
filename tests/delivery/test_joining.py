"""How the parts of a line are joined where their clips meet: made verdicts, so that every figure is known beforehand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from timing.clips.plan import plan_clips
from timing.clips.replan import replan_clips
from timing.delivery.verdict import Check
from timing.delivery.words import clip_utterance
from timing.episode.clips_back import _timed
from timing.episode.placing import Draft
from timing.model import Clip, Origin, Plan, PlanLine, TimedLine, TimedSyllable, TimedWord
from timing.pipeline import plan_source

WORD, GAP = Fraction(1, 5), Fraction(1, 20)  # every word of a made delivery, and the silence after it
HEAD, TAIL = Fraction(1, 8), Fraction(1, 10)

LONG = "The sea goes out in the morning, and it comes back in the evening, because the moon is pulling at the water."


def planned(folder: Path, script: str, toml: str = "") -> Plan:
    (folder / "script.txt").write_text(script)
    (folder / "episode.toml").write_text(toml)
    return plan_source(folder)


def verdict(plan: Plan, clip: Clip, pause_after: int | None = None, pause: Fraction = Fraction(0)) -> Check:
    """A whole delivery of evenly spoken words, HEAD before the first and TAIL after the last."""
    words, at = [], HEAD
    for n, word in enumerate(clip_utterance(plan, clip).words):
        step = WORD / len(word.syllables)
        made = tuple(
            TimedSyllable(s.text, at + k * step, at + (k + 1) * step, Origin.MEASURED, s.stress, s.phones, s.said)
            for k, s in enumerate(word.syllables)
        )
        words.append(TimedWord.of(word, made, 0.9))
        at += WORD + (pause if n == pause_after else GAP)
    length = words[-1].end - words[0].start
    line = TimedLine(tuple(words), Origin.MEASURED, length, length, 0.9)
    return Check(f"clips/{clip.id}.mp4", clip.id, confidence=0.9, is_best=True, heard=line, tail=TAIL)


def draft(line: PlanLine) -> Draft:
    """The line as it was before it was placed."""
    timed = TimedLine(tuple(w.moved(-line.start) for w in line.words), line.origin, line.low, line.high, take=line.take)
    return Draft(line.id, None, line.text, timed)  # type: ignore[arg-type]  # its script line is not looked at


def test_all_parts_delivered_make_a_measured_line_that_no_file_holds_alone(tmp_path: Path) -> None:
    plan = planned(tmp_path, f"TANSY: {LONG}\n", "[profile.default]\nlengths = [3, 4, 5]\n")
    clips = [c for c in plan.clips if c.line == "1"]
    assert len(clips) > 1
    line = plan.line("1")
    (made,) = _timed(plan, [draft(line)], {c.id: verdict(plan, c) for c in clips})
    assert made.timed is not None
    assert made.delivered == tuple(f"clips/{c.id}.mp4" for c in clips)
    assert (made.timed.origin, made.timed.take) == (Origin.MEASURED, None)
    assert made.timed.low == made.timed.high == made.timed.length
    for a, b in zip(clips, clips[1:], strict=False):
        before, after = made.timed.words[a.words[1] - 1], made.timed.words[b.words[0]]
        asked = line.words[b.words[0]].start - line.words[a.words[1] - 1].end
        # The earlier clip holds on for the pause as planned, as far as it can; the later one is shown from its first
        # frame, so that the picture goes on where it was left: what it has before its first sound comes on top.
        assert after.start - before.end == min(asked, TAIL) + HEAD


def test_a_part_that_is_missing_keeps_its_estimate_and_its_share_of_the_range(tmp_path: Path) -> None:
    plan = planned(tmp_path, f"TANSY: {LONG}\n", "[profile.default]\nlengths = [3, 4, 5]\n")
    clips = [c for c in plan.clips if c.line == "1"]
    line = plan.line("1")
    (made,) = _timed(plan, [draft(line)], {clips[0].id: verdict(plan, clips[0])})
    assert made.timed is not None
    assert made.timed.origin is Origin.ESTIMATED
    origins = [w.syllables[0].origin for w in made.timed.words]
    first = clips[0].words[1]
    assert set(origins[:first]) == {Origin.MEASURED}
    assert set(origins[first:]) == {Origin.ESTIMATED}
    rest = line.words[-1].end - line.words[first].start
    fixed = made.timed.words[first].start
    later = [made.timed.words[c.words[1] - 1].end - made.timed.words[c.words[0]].start for c in clips[1:]]
    assert made.timed.words[-1].end - fixed == rest
    assert made.timed.low < made.timed.length < made.timed.high
    assert made.timed.high - made.timed.length == pytest.approx(
        float(sum(later)) * float(line.high / line.length - 1), rel=1e-9
    )


def test_lines_that_share_a_clip_keep_the_silence_between_them(tmp_path: Path) -> None:
    plan = planned(tmp_path, "TANSY: My toes are wet.\n\nTANSY: The moon has no arms.\n", "share_short_lines = true\n")
    (clip,) = plan.clips
    check = verdict(plan, clip, pause_after=3, pause=Fraction(9, 10))
    drafts = _timed(plan, [draft(n) for n in plan.lines], {clip.id: check})
    assert [d.gap for d in drafts] == [None, Fraction(9, 10)]
    assert [d.timed.take_start for d in drafts if d.timed] == [HEAD, HEAD + 4 * WORD + 3 * GAP + Fraction(9, 10)]
    assert [len(d.timed.words) for d in drafts if d.timed] == [4, 5]


def test_clips_over_new_times_keep_ids_words_and_lengths_asked_for(tmp_path: Path) -> None:
    plan = planned(tmp_path, f"TANSY: {LONG}\n\nBRAM: My toes are wet.\n\n[[2 s]]\nA wave.\n\nTANSY: Look at it!\n")
    asked = plan_clips(plan.lines, plan.settings)
    assert replan_clips(asked, plan.lines, plan.settings).clips == asked.clips
    by = Fraction(7, 2)
    later = tuple(
        replace(n, start=n.start + by, end=n.end + by, words=tuple(w.moved(by) for w in n.words)) for n in plan.lines
    )
    moved = replan_clips(asked, later, plan.settings)
    for a, b in zip(asked.clips, moved.clips, strict=True):
        assert (a.id, a.words, a.ask, a.speech, a.end - a.start) == (b.id, b.words, b.ask, b.speech, b.end - b.start)
        assert b.start_frame - a.start_frame == 84
