"""Totals, cuts that come close, what is generated at all, and cuts that are kept; by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from tests.export.plans import line, plan_of
from timing.clips.plan import ClipPlan
from timing.clips.split import Part
from timing.episode.assembly import assemble, close_cuts, has_clip, place
from timing.episode.kept_cuts import kept_cuts, kept_together
from timing.episode.placing import Draft
from timing.memory.clips import Earlier, Entry, Memory, Wording
from timing.model import LineKind, NotedLength, Passage, Script, ScriptLine, Where
from timing.model.clock import FrameRate
from timing.model.settings import ClipProfile, EpisodeSettings
from timing.plain.errors import ScriptError

RATE = FrameRate(F(24))


@pytest.mark.parametrize(
    ("moments", "told"),
    [
        # the first picture is no cut; six within a second are the most (three flashes of two cuts each: WCAG 2.3.1)
        ([F(n, 10) for n in range(7)], None),
        ([F(n, 10) for n in range(8)], (7, 0.1)),
        ([F(n, 6) for n in range(20)], None),  # six in every second: the seventh is a whole second later
        ([F(n, 6) - F(n, 1000) for n in range(8)], (7, 0.166)),
        ([F(0)] * 9, None), ([], None), ([F(5)], None),
        ([F(0), *(10 + F(n, 10) for n in range(9))], (9, 10.0)),
    ],
)  # fmt: skip
def test_cuts_that_come_close_together(moments, told):
    found = [(f.facts["cuts"], f.facts["from_s"]) for f in close_cuts(moments)]
    assert found == ([told] if told else [])


def test_what_has_a_clip():
    one = line("1", "sea", 1, RATE)
    wave = line("2", "A wave.", 1, RATE, LineKind.PICTURE)
    wait, sound = replace(wave, passage=Passage.WAIT), replace(wave, passage=Passage.SOUND)
    assert [has_clip(n) for n in (one, wave, replace(wait, speaker="TANSY"))] == [True, True, True]
    none = (replace(one, over="1"), wait, sound, replace(wave, is_dual=True))
    assert not any(has_clip(n) for n in none)


def test_totals_of_a_plan():
    priced, bare = ClipProfile("a", (F(3), F(5)), takes=2, cost_per_s=F(1, 2)), ClipProfile("b", (F(4),), takes=3)
    settings = EpisodeSettings(profiles={"a": priced, "b": bare}, default_profile="a")
    lines = (line("1", "sea sea sea sea sea", 1, RATE), line("2", "sea sea", 3, RATE, profile="b"))
    clips = plan_of(lines, settings).clips
    plan = assemble(Script((), "s.txt", "x"), settings, lines, (), ClipPlan(clips, {}))
    totals = plan.totals
    # 2 s and 0.8 s of speech; seen from 0.75 to 3.35 s and from 2.75 to 4.15 s; 3 s twice, 4 s three times
    assert (totals.speech, totals.screen, totals.ask, totals.generate) == (F("2.8"), F("3.4"), 7, 18)
    assert (totals.cost, totals.unpriced) == (3, 12)  # 3 s at a half, twice; 4 s three times without a price
    assert (plan.length, plan.frames, plan.title) == (F("4.15"), 100, "s")  # 99.6 frames
    none = assemble(
        Script((), "s.txt", "x"), settings, lines, (), ClipPlan(tuple(replace(c, ask=None) for c in clips), {})
    )
    assert (none.totals.cost, none.totals.ask, none.totals.unpriced) == (None, 0, 0)
    assert assemble(Script((), "s.txt", "x", title="Sea"), settings, lines, (), ClipPlan(clips, {})).title == "Sea"


@pytest.mark.parametrize(("hours", "is_refused"), [(24, False), (25, True)])
def test_an_episode_lasts_a_day_at_most(hours, is_refused):
    script = ScriptLine(LineKind.PICTURE, "A wave.", Where("s.txt", 3), length=NotedLength(F(hours * 3600), "s"))
    drafts = [Draft("1", script, "A wave.")]
    if not is_refused:
        assert place(drafts, {}, EpisodeSettings())[0][0].length == 86_400
        return
    with pytest.raises(
        ScriptError, match=r"s.txt:3: the episode would last 25 hours, and 24 are the most; line 1 alone"
    ):
        place(drafts, {}, EpisodeSettings())


# --- cuts that are kept -------------------------------------------------------------------------------------------------

ONE = line("1", "The sea goes out tonight.", 1, RATE)


def asked(text, **more):
    return Entry(Wording(f"TANSY: {text}"), **{"ask": F(3), "files": {"clips/x.mp4": "a"}, **more})


def kept(**clips):
    names = {name.replace("_", "."): entry for name, entry in clips.items()}
    return kept_cuts(Memory(names), [ONE]).get("1")


def test_a_line_keeps_the_cuts_that_it_came_back_with():
    whole, first, second = asked("the sea goes out tonight"), asked("the sea goes"), asked("out tonight", ask=F(5))
    assert kept(C01=whole) == (Part(0, 5, F(3)),)
    assert kept(C01_1=first, C01_2=second) == (Part(0, 3, F(3)), Part(3, 5, F(5)))
    assert kept(C01=asked("the sea went out tonight")) is None  # other words
    assert kept(C01_1=first) is None  # not all of it
    assert kept(C01_1=first, C01_2=asked("out")) is None
    assert kept(C01=replace(whole, wording=Wording("BRAM: the sea goes out tonight"))) is None
    assert kept(C01=replace(whole, files={})) is None  # nothing came back
    assert kept(C01=replace(whole, files={}, accepted="x.mp4")) == (Part(0, 5, F(3)),)
    assert kept(C01=replace(whole, ask=F(0))) == (Part(0, 5, None),)


def test_of_several_ways_the_accepted_then_the_current_then_the_fuller_one():
    whole, first, second = asked("the sea goes out tonight"), asked("the sea goes"), asked("out tonight")
    whole_way, parts = (Part(0, 5, F(3)),), (Part(0, 3, F(3)), Part(3, 5, F(3)))
    assert kept(C01=whole, C01_1=first, C01_2=second) == parts  # two of them are back
    assert kept(C01=replace(whole, state="accepted"), C01_1=first, C01_2=second) == whole_way
    assert kept(C01=whole, C01_1=replace(first, state="dropped"), C01_2=replace(second, state="dropped")) == whole_way
    assert kept(C01=whole, C01_1=first, C01_2=replace(second, accepted="x.mp4")) == parts
    # words that a clip had earlier count too
    old = asked(
        "something else",
        earlier=(Earlier(Wording("TANSY: the sea goes out tonight"), "delivered", F(8), {"clips/x.mp4": "a"}),),
    )
    assert kept(C01=old) == (Part(0, 5, F(8)),)


def test_lines_that_came_back_as_one_clip_stay_together():
    lines = [
        line("1", "The sea goes.", 1, RATE), line("2", "Out it goes.", 4, RATE), line("3", "Tonight.", 7, RATE),
        replace(line("4", "Hm.", 9, RATE), speaker="BRAM"),
    ]  # fmt: skip

    def together(text, **more):
        return kept_together(Memory({"C01": asked(text, **more)}), lines)

    assert together("the sea goes out it goes") == {"1": 2}
    assert together("the sea goes out it goes tonight") == {"1": 3}
    assert together("the sea goes") == {}
    assert together("the sea goes out it") == {}
    assert together("the sea goes out it goes tonight hm") == {}  # another speaker's
    assert together("the sea goes out it goes", files={}) == {}
    assert together("the sea goes out it goes", files={}, accepted="x.mp4") == {"1": 2}
