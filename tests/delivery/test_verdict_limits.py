"""What is said of a take's shift, drift and words: each limit from both sides, figures worked out at 24 frames."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.delivery.test_edge_limits import heard
from tests.export.plans import small_plan
from timing.delivery.check import Checker, _fit, _is_clear, _of_sound, _without
from timing.delivery.sync import Sync
from timing.model import Finding, TimedLine
from timing.model.findings import FindingCode


def told(shift_s: float, drift: float | None = None, error: float | None = None, **more: object) -> list[str]:
    """Return what is said of a take whose speech lasts four seconds."""
    plan = small_plan()
    clip = replace(plan.clips[0], **more) if more else plan.clips[0]  # type: ignore[arg-type]
    half = (drift or 0.0) * 2
    sync = Sync(shift_s, shift_s - half, shift_s + half, drift, error, 0.9)
    return [f.message for f in Checker(plan, Path("nowhere"))._sync_findings(sync, clip)]


def test_a_take_is_late_or_early_from_one_frame_on() -> None:
    """A frame lasts 41.67 ms."""
    assert told(0.0416) == []
    assert told(0.0417) == ["is 1.0 frames late against the recording; slip it by that in the cut"]
    assert told(-0.1) == ["is 2.4 frames early against the recording; slip it by that in the cut"]


def test_a_later_part_that_is_late_makes_the_pause_before_it_longer() -> None:
    part = {"id": "C01.2", "part": (2, 2)}
    assert told(0.1, **part) == ["is 2.4 frames late against the recording; the pause behind C01.1 grows by that"]
    assert told(-0.1, **part) == ["is 2.4 frames early against the recording; slip it by that in the cut"]


@pytest.mark.parametrize(
    ("drift", "error", "is_told"),
    [(0.004, 0.002, True), (0.0039, 0.001, False), (0.006, 0.003, True), (0.006, 0.0031, False), (-0.006, 0.001, True),
     (None, None, False)],
)  # fmt: skip
def test_a_drift_is_told_from_four_in_a_thousand_and_twice_its_error(
    drift: float | None, error: float | None, is_told: bool
) -> None:
    assert bool(told(0, drift, error)) is is_told


def test_a_drift_says_its_way_and_what_it_adds_up_to_and_the_shift_is_then_that_of_the_first_sound() -> None:
    """1 % of four seconds is 40 ms, 0.96 frames; the first sound is 20 ms before the middle's 60: 40 ms, under a frame."""
    assert told(0.06, 0.01, 0.001) == [
        "drifts: it runs 1.0 % slow against the recording, 1.0 frames from first to last sound"
    ]
    assert told(0.06, -0.01, 0.001) == [
        "drifts: it runs 1.0 % fast against the recording, 1.0 frames from first to last sound",
        "is 1.9 frames late against the recording; slip it by that in the cut",  # 60 + 20 ms
    ]


def faulty(count: int, words: int, confidence: float = 0.9) -> TimedLine:
    edges = [f"{n}-{n + 1}" for n in range(words)]
    finding = Finding(FindingCode.SAID_DIFFERENTLY, "", {"words": list(range(count))})
    return replace(heard(*edges, findings=(finding,) if count else ()), confidence=confidence)


@pytest.mark.parametrize(
    ("count", "words", "confidence", "clear"),
    [(0, 4, 0.75, True), (0, 4, 0.749, False), (1, 2, 0.9, True), (2, 8, 0.9, False), (2, 9, 0.9, True), (3, 12, 0.9, False)],
)  # fmt: skip
def test_a_line_is_clear_with_less_than_a_quarter_of_its_words_in_doubt(
    count: int, words: int, confidence: float, clear: bool
) -> None:
    """One doubtful word is always allowed; a quarter itself is too much."""
    assert _is_clear(faulty(count, words, confidence)) is clear


def test_how_well_a_line_fits_is_its_confidence_times_the_words_that_are_right() -> None:
    assert _fit(faulty(1, 4, 0.8)) == pytest.approx(0.6)
    assert not _is_clear(None)


def test_words_known_to_be_said_so_are_taken_out_of_a_finding() -> None:
    finding = Finding(FindingCode.NOT_SAID, "x", {"words": [1, 3], "texts": ["sea,", "moon!"]})
    left = _without(finding, {1})
    assert left is not None
    assert (left.message, left.facts["words"]) == ("“moon”: not said in this take; take another one or ask again", [3])
    assert _without(finding, {1, 3}) is None
    other = Finding(FindingCode.SILENT, "its sound is silent")
    assert _without(other, {1}) is other


def test_clipping_is_told_in_hundredths_of_a_percent() -> None:
    clipped = Finding(FindingCode.CLIPPED, "", {"clipped_share": 0.0123})
    assert _of_sound(clipped).message == "its sound is clipped (1.23 % of samples at the limit); take another one"


def test_a_clips_reference_lies_in_its_recording() -> None:
    """The line begins at 1 s of the episode and 0.5 s of the recording; a part whose speech begins 0.8 s into it
    begins 1.3 s into the recording."""
    plan = small_plan()
    line = replace(plan.lines[0], take="recordings/a.wav", take_start=Fraction(1, 2))
    clip = replace(plan.clips[0], speech_start=line.start + Fraction(4, 5))
    checker = Checker(replace(plan, lines=(line, *plan.lines[1:])), Path("nowhere"))
    assert checker._reference_place(clip) == ("recordings/a.wav", Fraction(13, 10))
    assert checker._reference(clip) is None  # there is no such file
