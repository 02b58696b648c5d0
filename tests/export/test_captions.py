"""Captions: read back by independent libraries (webvtt-py, srt), grammar of the W3C text, limits of the guides."""

from __future__ import annotations

import io
import itertools
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
import srt
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.export.plans import line, plan_of, small_plan
from timing.export.captions import (
    ROW_CHARACTERS,
    caption_findings,
    captions_srt,
    captions_vtt,
    make_captions,
)
from timing.model import LineKind, Plan
from timing.model.clock import FrameRate
from timing.pipeline import plan_source

FOLDER = Path()
RATE = FrameRate(Fraction(24))
WORDS = st.lists(
    st.sampled_from("sea crab, the a limpet. oh! hermit, extraordinarily and in".split()), min_size=1, max_size=30
)

# The grammar of W3C WebVTT, section "Syntax", as one expression: signature, blank line, blocks.
TIMESTAMP = r"(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}"
CUE = rf"(?:(?!.*-->)[^\n]+\n)?{TIMESTAMP}[ \t]+-->[ \t]+{TIMESTAMP}(?:[ \t][^\n]*)?\n(?:(?!.*-->)[^\n]+\n)+"
WEBVTT = re.compile(rf"\ufeff?WEBVTT(?:[ \t][^\n]*)?\n\n+(?:(?:NOTE(?:[ \t\n](?:(?!.*-->)[^\n]+\n)*)|{CUE})\n*)*")


def read_back(plan: Plan) -> tuple[list[srt.Subtitle], list[webvtt.Caption]]:
    text = captions_srt(plan, FOLDER)["captions.srt"].decode()
    vtt = captions_vtt(plan, FOLDER)["captions.vtt"].decode()
    assert WEBVTT.fullmatch(vtt), vtt
    return list(srt.parse(text, ignore_errors=False)), list(webvtt.from_buffer(io.StringIO(vtt)))


def test_both_files_are_read_back_by_other_libraries_with_equal_times() -> None:
    plan = small_plan()
    subtitles, cues = read_back(plan)
    made = make_captions(plan)
    assert len(subtitles) == len(cues) == len(made)
    for subtitle, cue, caption in zip(subtitles, cues, made, strict=True):
        assert round(subtitle.start.total_seconds() * 1000) == caption.start_ms
        assert round(subtitle.end.total_seconds() * 1000) == caption.end_ms
        assert round(cue.start_in_seconds * 1000) in (caption.start_ms, caption.start_ms // 1000 * 1000)
        assert subtitle.content == caption.text


def test_signs_of_the_format_are_escaped_and_voices_named() -> None:
    text = captions_vtt(small_plan(), FOLDER)["captions.vtt"].decode()
    assert "<v TANSY>The sea goes out &amp; in</v>" in text or "&lt;twice&gt;" in text
    assert "<v BRAM>" in text


def test_sung_rows_stand_between_note_signs() -> None:
    assert any(c.rows == ("♪ Out and in, out and in ♪",) for c in make_captions(small_plan()))


def test_a_plan_without_speech_has_no_captions() -> None:
    assert captions_srt(plan_of([line("1", "A wave.", 0, RATE, LineKind.PICTURE)]), FOLDER) == {}


def test_an_off_screen_speaker_is_named() -> None:
    plan = plan_of([line("1", "Hello.", 1, RATE, directions=("O.S.",)), line("2", "Hi.", 4, RATE, speaker="BRAM")])
    assert [c.rows for c in make_captions(plan)] == [("TANSY: Hello.",), ("Hi.",)]


def test_two_voices_at_once_share_a_caption_with_names() -> None:
    plan = plan_of([line("1", "Wait for me!", 1, RATE), line("2", "Wait for us!", 1, RATE, speaker="BRAM")])
    assert [c.rows for c in make_captions(plan)] == [("TANSY: Wait for me!", "BRAM: Wait for us!")]


def test_rows_do_not_end_between_article_and_noun_and_break_at_the_clause() -> None:
    plan = plan_of([line("1", "When the moon goes by, the sea comes in.", 1, RATE)])
    assert [c.rows for c in make_captions(plan)] == [("When the moon goes by,", "the sea comes in.")]


def test_a_short_caption_stays_as_long_as_the_guide_asks() -> None:
    # DCMP Captioning Key: 40 frames of 30 at least.
    caption = make_captions(plan_of([line("1", "No!", 1, RATE), line("2", "Yes.", 9, RATE)]))[0]
    assert caption.end_ms - caption.start_ms == pytest.approx(1333, abs=42)


def test_a_gap_between_captions_is_a_second_or_none() -> None:
    # BBC Subtitle Guidelines 4.5.
    plan = plan_of([line("1", "One two three four five.", 1, RATE), line("2", "Six seven.", "3.8", RATE)])
    first, second = make_captions(plan)
    assert first.end_ms == second.start_ms


def test_fast_speech_is_a_finding_and_slow_speech_is_none() -> None:
    # DCMP: children's films at 150 words a minute. Eight words in 8 x 0.2 s are 300.
    fast = plan_of(
        [line("1", "One two three four. Five six seven.", 1, RATE, a_word="0.2"), line("2", "No.", "2.5", RATE)]
    )
    assert "caption-fast" in {f.code for f in caption_findings(fast)["1"]}
    slow = plan_of([line("1", "One two three four.", 1, RATE, a_word="0.7")])
    assert caption_findings(slow) == {}


@settings(max_examples=150, deadline=None)
@given(
    texts=st.lists(
        st.tuples(WORDS, st.integers(0, 40), st.sampled_from(["0.1", "0.3", "0.7"])), min_size=1, max_size=6
    ),
    rate=st.sampled_from(["24", "23.976", "25", "12", "60"]),
)
def test_captions_hold_every_word_once_and_never_overlap(texts: list[tuple[list[str], int, str]], rate: str) -> None:
    at_rate = FrameRate.parse(rate)
    at, lines = Fraction(0), []
    for n, (tokens, gap, a_word) in enumerate(texts, 1):
        at += Fraction(gap, 10)
        lines.append(line(str(n), " ".join(tokens), at, at_rate, a_word=a_word))
        at = lines[-1].end
    plan = plan_of(lines, replace(small_plan().settings, rate=at_rate))
    captions = make_captions(plan)
    for before, after in itertools.pairwise(captions):
        assert before.end_ms <= after.start_ms
    assert all(c.start_ms < c.end_ms for c in captions)
    said = " ".join(" ".join(tokens) for tokens, _, _ in texts)
    assert " ".join(" ".join(c.text for c in captions).split()) == said
    for caption in captions:
        assert all(len(row) <= ROW_CHARACTERS for row in caption.rows)
    read_back(plan)


def test_sung_rows_keep_the_row_length_with_their_note_signs(tmp_path):
    (tmp_path / "s.fountain").write_text("TANSY\n~ turn the page and turn the light\n", "utf-8")
    plan = plan_source(tmp_path / "s.fountain")
    (caption,) = make_captions(plan)
    assert [len(row) <= 32 for row in caption.rows] == [True, True]  # DCMP: 32 characters a row in educational media
    assert "caption-long" not in [f.code for f in plan.lines[0].findings]


def test_the_same_words_at_once_are_written_once(tmp_path):
    (tmp_path / "s.txt").write_text("TANSY: Hi.\nBRAM: Hi.\nTANSY and BRAM: The tide is in!\n", "utf-8")
    caption = make_captions(plan_source(tmp_path / "s.txt"))[-1]
    assert caption.text.replace("\n", " ") == "TANSY and BRAM: The tide is in!"
