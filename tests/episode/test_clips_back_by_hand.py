"""Clips that came back, laid over the plan: every moment worked out by hand.

Planned words last 0.4 s each, those of a made take 0.25 or 0.3 s.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from tests.export.plans import line, plan_of
from timing.clips.plan import plan_clips
from timing.delivery.verdict import Check
from timing.episode.clips_back import _accepted_findings, _changed_directions, _is_accepted, _marks, _state, _timed
from timing.episode.placing import Draft
from timing.memory.clips import Earlier, Entry, Memory, Wording, wording_of
from timing.model import (
    Finding,
    LineKind,
    Origin,
    ScriptLine,
    TimedLine,
    TimedSyllable,
    TimedWord,
    Where,
    WordFault,
    WordMark,
)
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.settings import ClipProfile, EpisodeSettings

RATE = FrameRate(F(24))


def plan_of_words(count, pause=F(0), line_id="1"):
    """One line of so many words, split into two parts of one length, ``pause`` between them; and its draft."""
    one = line(line_id, " ".join(["sea"] * count), 1, RATE)
    half = count // 2
    words = (*one.words[:half], *(w.moved(pause) for w in one.words[half:]))
    one = replace(one, words=words, end=words[-1].end)
    settings = EpisodeSettings(profiles={"default": ClipProfile(lengths=(F(5), F(8)))})
    plan = replace(plan_of([one], settings), clips=plan_clips([one], settings).clips)
    timed = TimedLine(
        tuple(w.moved(-one.start) for w in words), Origin.ESTIMATED, one.length * F(9, 10), one.length * F(6, 5)
    )
    script = ScriptLine(LineKind.SPOKEN, one.text, Where("s", 1), "TANSY")
    return plan, Draft(line_id, script, one.text, timed)


def take(clip, count, start, a_word, **more):
    words = tuple(
        TimedWord(
            "sea",
            "sea",
            (TimedSyllable("sea", F(start) + n * F(a_word), F(start) + (n + 1) * F(a_word), Origin.MEASURED),),
        )
        for n in range(count)
    )
    heard = TimedLine(words, Origin.MEASURED, F(1), F(1), 0.9)
    return Check(
        f"clips/{clip}.mp4", clip, heard=heard, **{"confidence": 0.9, "tail": F(1, 5), "is_best": True, **more}
    )


def laid(plan, draft, *checks):
    (made,) = _timed(plan, [draft], {c.clip: c for c in checks})
    return made


FIRST = take("C01.1", 10, "0.5", "0.25")
SECOND = take("C01.2", 10, "0.1", "0.3", tail=F(3, 10), confidence=0.7)


@pytest.mark.parametrize(
    ("pause", "tail", "begins"),
    [
        # the first part's words end at 2.5 s; the second is shown from its first frame, its words 0.1 s later
        ("0", "0.2", "2.6"),
        ("1", "0.2", "2.8"),  # of the second's planned pause the first file shows the 0.2 s that it has
        ("0.15", "0.2", "2.75"),
        # what it has is not known: as planned. Of the second of pause the first part shows 0.6 s, and 0.15 s that it
        # asks for anyway; the second begins 0.25 s before its words
        ("1", None, "3.35"),
    ],
)
def test_two_parts_that_came_back_are_joined(pause, tail, begins):
    plan, draft = plan_of_words(20, F(pause))
    assert [c.id for c in plan.clips] == ["C01.1", "C01.2"]
    first = replace(FIRST, tail=None if tail is None else F(tail))
    made = laid(plan, draft, first, SECOND)
    words = made.timed.words
    assert (words[0].start, words[9].end, words[10].start, words[19].end) == (0, F("2.5"), F(begins), F(begins) + 3)
    assert (made.timed.low, made.timed.high, made.timed.origin) == (F(begins) + 3, F(begins) + 3, Origin.MEASURED)
    assert (made.timed.confidence, made.timed.take, made.timed.take_start) == (0.7, None, None)
    assert made.delivered == ("clips/C01.1.mp4", "clips/C01.2.mp4")
    assert made.reach == (F(1, 2), F(3, 10))  # before the first sound of the one, after the last of the other


def test_a_part_that_is_not_back_keeps_its_estimate_and_its_range():
    plan, draft = plan_of_words(20)
    # 2.5 s measured and 4 s estimated, from 0.9 to 1.2 times as long
    made = laid(plan, draft, FIRST)
    assert [w.start for w in made.timed.words][9:12] == [F("2.25"), F("2.5"), F("2.9")]
    assert (made.timed.low, made.timed.high, made.timed.end) == (F("6.1"), F("7.3"), F("6.5"))
    assert (made.timed.origin, made.delivered) == (Origin.ESTIMATED, ("clips/C01.1.mp4",))
    # the second part asks for 5 s and needs 4.35 s: 0.65 s more than its tail
    assert made.reach == (F(1, 2), 1)
    made = laid(plan, draft, SECOND)
    assert (made.timed.words[10].start, made.timed.low, made.timed.high) == (F("4.1"), F("6.7"), F("7.9"))
    # the first part asks for 5 s and needs 0.25 + 4 + 0.35 s
    assert made.reach == (F("0.65"), F(3, 10))


def test_a_whole_line_of_one_clip_has_its_file_and_its_place_there():
    plan, draft = plan_of_words(4)
    made = laid(plan, draft, take("C01", 4, "0.5", "0.25"))
    assert (made.timed.start, made.timed.end, made.timed.take, made.timed.take_start) == (
        0,
        1,
        "clips/C01.mp4",
        F(1, 2),
    )
    pinned = laid(plan, draft, take("C01", 4, "0.5", "0.25", is_pinned=True))
    assert pinned.timed.origin is Origin.PINNED
    assert laid(plan, draft) is draft
    assert laid(plan, draft, take("C09", 4, "0.5", "0.25")).timed is draft.timed


def shared():
    """Lines of three and four words in one clip; the take has half a second between them."""
    lines = [line("1", "sea sea sea", 1, RATE), line("2", "sea sea sea sea", 4, RATE)]
    plan = plan_of(lines)
    clip = replace(plan.clips[0], lines=("1", "2"))
    drafts = [
        Draft(
            n.id,
            ScriptLine(LineKind.SPOKEN, n.text, Where("s", 1)),
            n.text,
            TimedLine(n.words, Origin.ESTIMATED, F(1), F(2)),
        )
        for n in lines
    ]
    one = take("C01", 3, "0.5", "0.25").heard.words + take("C01", 4, "1.75", "0.25").heard.words
    check = replace(take("C01", 1, "0", "1"), heard=TimedLine(one, Origin.MEASURED, F(1), F(1), 0.9))
    return replace(plan, clips=(clip,)), drafts, check


def test_lines_of_one_clip_keep_the_silence_that_it_has_between_them():
    plan, drafts, check = shared()
    first, second = _timed(plan, drafts, {"C01": check})
    assert (first.gap, first.timed.take_start, first.timed.length) == (None, F(1, 2), F(3, 4))
    assert (second.gap, second.timed.take_start, second.timed.length, second.timed.start) == (F(1, 2), F("1.75"), 1, 0)
    assert first.delivered == second.delivered == ("clips/C01.mp4",)


def test_words_that_are_wrong_are_marked_in_their_lines():
    plan, _, check = shared()

    def marks(*findings):
        made = tuple(Finding(code, "x", {"words": words}) for code, words in findings)
        return _marks(plan, plan.clips[0], replace(check, findings=made))

    assert marks((FindingCode.NOT_SAID, [0, 3, 6, 7, -1])) == (
        WordMark("1", 0, WordFault.MISSING), WordMark("2", 0, WordFault.MISSING), WordMark("2", 3, WordFault.MISSING),
    )  # fmt: skip
    both = marks((FindingCode.CUT_OFF_END, [6]), (FindingCode.SAID_DIFFERENTLY, [6, 1]), (FindingCode.TOO_LONG, [2]))
    assert both == (WordMark("1", 1, WordFault.DIFFERENT), WordMark("2", 3, WordFault.CUT_OFF))


# --- what a person decided -------------------------------------------------------------------------------------------


def memory_of(plan, **more):
    return Memory({"C01": Entry(wording_of(plan, plan.clips[0]), **{"files": {"clips/C01.mp4": "a"}, **more})})


def test_a_take_is_accepted_by_its_name_or_with_its_clip():
    plan, _ = plan_of_words(4)
    clip, check = plan.clips[0], take("C01", 4, "0", "0.25")
    old = replace(check, findings=(Finding(FindingCode.OUTDATED, "x", {}),))
    by_state, by_name = memory_of(plan, state="accepted"), memory_of(plan, state="accepted", accepted="x.mp4")
    for memory, file, chosen, wanted, state in (
        (by_state, check, {}, True, "accepted"), (by_state, old, {}, False, "asked"), (memory_of(plan), check, {}, False, "delivered"),
        (by_name, check, {}, False, "delivered"), (by_name, check, {"C01": check.file}, True, "accepted"),
        (by_state, check, {"C01": "clips/other.mp4"}, False, "delivered"), (Memory(), check, {}, False, "delivered"),
    ):  # fmt: skip
        assert _is_accepted(memory, plan, clip, file, chosen) is wanted
        assert _state(memory, plan, clip, file, chosen) == state


def test_choices_that_fit_nothing_are_told(tmp_path):
    plan, _ = plan_of_words(4)
    missing = _accepted_findings(plan, memory_of(plan, accepted="gone.mp4"), {}, tmp_path)
    assert [(f.code, f.facts) for f in missing] == [(FindingCode.ACCEPTED_MISSING, {"clip": "C01", "file": "gone.mp4"})]
    assert _accepted_findings(plan, memory_of(plan, accepted="a.mp4"), {"C01": "clips/a.mp4"}, tmp_path) == ()
    before = Earlier(Wording("TANSY: other words"), "accepted", accepted="old.mp4")
    told = _accepted_findings(plan, memory_of(plan, earlier=(before,)), {}, tmp_path)
    assert [(f.code, f.facts["file"]) for f in told] == [(FindingCode.ACCEPTED_FOR_OTHER_WORDS, "old.mp4")]
    again = memory_of(plan, accepted="new.mp4", earlier=(before,))
    assert _accepted_findings(plan, again, {"C01": "clips/new.mp4"}, tmp_path) == ()


def test_a_changed_direction_is_told_beside_what_came_back():
    plan, _ = plan_of_words(4)
    clip, check = plan.clips[0], take("C01", 4, "0", "0.25")
    (told,) = _changed_directions(plan, clip, check, memory_of(plan, directions=("softly", "slowly")))
    assert told.message == (
        "C01 came back for (softly), (slowly), the script now says no direction: listen whether clips/C01.mp4 still fits"
    )
    assert told.facts == {"clip": "C01", "file": "clips/C01.mp4"}
    assert _changed_directions(plan, clip, check, memory_of(plan)) == []
    assert _changed_directions(plan, clip, check, memory_of(plan, directions=("softly",), files={})) == []
    assert _changed_directions(plan, clip, check, Memory()) == []
