"""Every page says in the same words where a line's timing came from."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.sheet import plans
from timing.model import LineKind, Origin
from timing.model.settings import SayEntry
from timing.pipeline import plan_source
from timing.sheet.origin import NOT_READ, timed_by, unread_words

# Greek "the sea goes out" and Arabic "hello to the sea": ordinary words (from memory).
GREEK, ARABIC = "Η θάλασσα φεύγει.", "مرحبا بالبحر"


@pytest.mark.parametrize(
    ("origin", "take", "words"),
    [
        (Origin.ESTIMATED, None, "estimated from the words"),
        (Origin.MEASURED, "recordings/3 bram.ogg", "measured from the recording 3 bram.ogg, some words estimated"),
        (Origin.FITTED, None, "on the beat"),
        (Origin.PINNED, None, "as noted in the script"),
        (Origin.PINNED, "recordings/3 bram.ogg", "as labelled by hand in 3 bram.ogg"),
    ],
)
def test_a_line_says_where_its_timing_came_from(origin: Origin, take: str | None, words: str) -> None:
    plan = plans.talk_plan()
    assert timed_by(plan, replace(plan.lines[0], origin=origin, take=take)) == words


def test_a_wait_says_whether_the_script_gives_its_length(tmp_path: Path) -> None:
    (tmp_path / "script.txt").write_text(
        "TANSY: Where?\n(wait for an answer)\nBRAM: So?\n(wait 4 seconds for an answer)\n"
    )
    plan = plan_source(tmp_path)
    waits = [line for line in plan.lines if line.kind is LineKind.PICTURE]
    assert [(timed_by(plan, line), str(line.origin)) for line in waits] == [
        ("length assumed", "estimated"),
        ("length noted in the script", "pinned"),
    ]


def test_a_line_measured_throughout_does_not_speak_of_estimates() -> None:
    plan = plans.talk_plan()
    line = plan.lines[0]
    heard = tuple(
        replace(word, syllables=tuple(replace(s, origin=Origin.MEASURED) for s in word.syllables))
        for word in line.words
    )
    line = replace(line, words=heard, origin=Origin.MEASURED, take="recordings/a.wav")
    assert timed_by(plan, line) == "measured from the recording a.wav"
    assert timed_by(plan, line, names_file=False) == "measured from the recording"


@pytest.mark.parametrize("text", [GREEK, ARABIC])
def test_words_in_letters_the_language_does_not_use_are_not_timed(text: str) -> None:
    plan = plans.talk_plan([("TANSY", text)])
    assert len(unread_words(plan, plan.lines[0])) == len(text.split())
    assert timed_by(plan, plan.lines[0]) == NOT_READ
    mixed = plans.talk_plan([("TANSY", f"*Sea is {text}")])
    assert timed_by(mixed, mixed.lines[0]) == "estimated from the words, some words not read"


def test_a_language_reads_its_own_letters_and_the_user_may_say_how_others_sound() -> None:
    plan = plans.talk_plan([("TANSY", "θάλασσα")])
    assert unread_words(replace(plan, language="el_GR"), plan.lines[0]) == ()
    say = {"θάλασσα": SayEntry("θάλασσα", sounds_like="thalassa")}
    assert unread_words(replace(plan, settings=replace(plan.settings, say=say)), plan.lines[0]) == ()


def test_figures_and_signs_belong_to_every_language() -> None:
    plan = plans.talk_plan([("TANSY", "30 & 5!")])
    assert unread_words(plan, plan.lines[0]) == ()
