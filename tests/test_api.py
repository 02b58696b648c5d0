"""The Python functions: what may be given, and that whatever cannot be used is one sentence in one family of errors."""

from __future__ import annotations

import importlib.util
from fractions import Fraction
from pathlib import Path

import pytest

import timing
from tests.song.band import play, save, steady


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: timing.estimate("hi", pace=-1), "a pace is between"),
        (lambda: timing.estimate("hi", pace=float("nan")), "a pace is a number"),
        (lambda: timing.estimate("hi", pace="quick"), "a pace is a number"),
        (lambda: timing.set_to_beat("Out and in", "abc"), "a tempo in bpm is a number"),
        (lambda: timing.set_to_beat("Out and in", 9000), "between 20 and 400"),
        (lambda: timing.set_to_beat("Out and in", 96, bars=1.5), "whole number"),
        (lambda: timing.set_to_beat("Out and in", 96, metre="waltz"), "3/4"),
        (lambda: timing.set_to_beat("Out and in", 96, first=1), r"\(bar, beat\)"),
        (lambda: timing.syllabify("two words"), "one word"),
        (lambda: timing.find_tempo(Path(__file__).parent), "is a folder"),
        (lambda: timing.find_tempo("song.wav", bpm="x"), "a tempo is a number"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(call, words):
    with pytest.raises(timing.InputError, match=words) as caught:
        call()
    assert isinstance(caught.value, timing.TimingError)
    assert "\n" not in str(caught.value)


def test_a_metre_may_be_written_as_on_paper(tmp_path):
    save(play(steady(100, 8, start=0.3)), tmp_path / "song.wav")
    as_text = timing.find_tempo(tmp_path / "song.wav", bpm="100", metre="4/4")
    assert as_text == timing.find_tempo(tmp_path / "song.wav", bpm=Fraction(100), metre=(4, 4))
    assert timing.set_to_beat("Out and in", "96", "3/4") == timing.set_to_beat("Out and in", 96, (3, 4))


def test_ids_are_kept_wherever_the_plan_is_written(tmp_path):
    script, out = tmp_path / "tide.txt", tmp_path / "renders"
    script.write_text("TANSY: Where does the sea go?\nBRAM: Out.\n", "utf-8")
    timing.write(timing.plan(script, out), out)
    script.write_text("BRAM: Out.\n", "utf-8")
    assert [line.id for line in timing.plan(script, out).lines] == ["2"]


def test_a_file_of_the_users_is_replaced_only_when_allowed(tmp_path):
    script, out = tmp_path / "tide.txt", tmp_path / "out"
    script.write_text("TANSY: Where does the sea go?\n", "utf-8")
    out.mkdir()
    (out / "clips.csv").write_text("mine", "utf-8")
    plan = timing.plan(script)
    with pytest.raises(timing.OutputError):
        timing.write(plan, out)
    assert (out / "clips.csv").read_text("utf-8") == "mine"
    timing.write(plan, out, force=True)
    assert (out / "clips.csv").read_text("utf-8") != "mine"


def test_every_promised_name_is_there_and_the_types_travel_with_the_package():
    """PEP 561: a package that brings its types has a file py.typed."""
    for name in timing.__all__:
        assert getattr(timing, name)
    assert (Path(importlib.util.find_spec("timing").origin).parent / "py.typed").is_file()
