"""What the commands print of things made by hand: every figure worked out beside it, at the limits where words change."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.export.plans import clip_of, line, plan_of
from timing.commands import check, findings, lines, listen, options, say, song_block, song_order, tempo
from timing.commands.series import clips_of, lines_of
from timing.delivery.verdict import Check
from timing.model import Finding, LineKind, Origin, TimedLine, Where
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.model.learnt import LearntPace, LearntTakes
from timing.model.metre import Metre
from timing.model.settings import ClipProfile, EpisodeSettings
from timing.plain.errors import InputError, SettingsError
from timing.recording.results import Heard, Instead, Take
from timing.recording.three_lists import LeftOver, ThreeLists, Unsure

RATE = FrameRate(F(24))
PLAIN = ClipProfile()  # 3 to 8 s, 0.25 s before and 0.35 s after


def spoken(count, **more):
    """One line of words of 0.4 s, one syllable each, from 0.25 s on."""
    return line("1", " ".join(["sea"] * count) + ".", "0.25", RATE, **more)


# --- say -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "rows"),
    [
        # 4 words: 1.6 s, 38.4 frames (6 to 44.4); with handles 2.2 s; 0.8 s of 3 are free: two of 0.4 s
        (4, ["1.6 s (1.6 to 1.6), 38 frames · 4 syllables, 2.5 a second · dialogue",
             "ask for 3 s: it needs 2.2 s with handles (0.25 s before, 0.35 s after)",
             "it fits one generation; those 3 s hold about 2 more syllables"]),
        (5, ["2.0 s (2.0 to 2.0), 48 frames · 5 syllables, 2.5 a second · dialogue",
             "ask for 3 s: it needs 2.6 s with handles (0.25 s before, 0.35 s after)",
             "it fits one generation; those 3 s hold about 1 more syllable"]),
        (6, ["2.4 s (2.4 to 2.4), 58 frames · 6 syllables, 2.5 a second · dialogue",
             "ask for 3 s: it needs 3.0 s with handles (0.25 s before, 0.35 s after)",
             "it fits one generation, with no room for another syllable"]),
        (1, ["0.4 s (0.4 to 0.4), 10 frames · 1 syllable, 2.5 a second · dialogue",
             "ask for 3 s: it needs 1.0 s with handles (0.25 s before, 0.35 s after)",
             "it fits one generation; those 3 s hold about 5 more syllables"]),
    ],
)  # fmt: skip
def test_say_tells_what_a_line_needs_and_what_else_fits(count, rows):
    one = spoken(count, speaker=None)
    told = say.report(one, (clip_of(one, RATE, PLAIN),), "dialogue", PLAIN)
    assert told == [one.text, *rows]


def test_say_tells_how_much_to_cut_of_a_line_that_is_too_long():
    # 20 words are 8 s; 7.4 s of 8 are left between the handles: 0.6 s too much, a syllable and a half, so two
    one = spoken(20, speaker=None)
    half = clip_of(one, RATE, PLAIN)
    clips = tuple(replace(half, ask=F(5), text=f"part {n}") for n in (1, 2))
    told = say.report(one, clips, "dialogue", PLAIN)
    assert told[2:] == [
        "too long for one generation (8 s): ask for 5 + 5 s, or cut about 2 syllables",
        "cut here: part 1 / part 2",
    ]
    assert (
        "cut about 1 syllable" in say.report(spoken(19, speaker=None), clips, "dialogue", PLAIN)[2]
    )  # 7.6 s: 0.2 s too much
    high = replace(one, high=one.length * F(11, 10))  # fitted by the high end, 8.8 s: 1.4 s of 0.44 s each, four
    assert "cut about 4 syllables" in say.report(high, clips, "dialogue", PLAIN)[2]


def test_say_tells_why_no_length_holds_a_line_and_what_it_did_not_say():
    finding = Finding(FindingCode.NO_LENGTH_HOLDS_IT, "no length holds it", {})
    one = replace(spoken(4), speaker="CRAB", directions=("sadly", "softly"), text="sea (sigh) sea", findings=(finding,))
    clip = replace(clip_of(one, RATE, PLAIN), ask=None, findings=(finding,))
    assert say.report(one, (clip,), "dialogue", PLAIN)[2:] == [
        "no length holds it",
        "note: CRAB was read as the speaker's name and is not said",
        "note: said (sadly), (softly)",
        "note: in brackets, so not said: (sigh); write it between dashes if it is",
        "note: no length holds it",
    ]


@pytest.mark.parametrize(
    ("typed", "lengths"),
    [("3,5,8", (3, 5, 8)), ("3;5", (3, 5)), ("3-5", (3, 4, 5)), ("2.5-4", (F("2.5"), F("3.5"))), ("4-4", (4,)), ("5,", (5,))],
)  # fmt: skip
def test_a_menu_as_typed(typed, lengths):
    assert say.menu(typed).lengths == lengths
    assert say.menu(None) == ClipProfile()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("5-3", "5 is more than 3; turn them round"), ("1-1002", "has no lengths"), ("x", "is no list of seconds"),
        ("3-4-5", "is no list of seconds"), ("0.6", "leave no room"), ("0,3", "every length must be more than 0"),
    ],
)  # fmt: skip
def test_a_wrong_menu_is_a_sentence(typed, said):
    with pytest.raises(SettingsError, match=said):
        say.menu(typed)
    assert len(say.menu("1-1001").lengths) == 1001


# --- lines ---------------------------------------------------------------------------------------------------------


def test_the_table_of_lines_adds_up():
    # two lines of 4 and 5 words: 1.6 and 2 s, clips from 0 to 2.2 s and from 3.75 to 6.35 s; asks 3 s each, 7 takes
    one, two = spoken(4), replace(line("2", "sea sea sea sea sea", 4, RATE), speaker="BRAM", low=F(1), high=F(3))
    plan = plan_of([one, two], EpisodeSettings())
    rows = lines.table(plan)
    assert rows[1] == "1     TANSY         4             1.6  C01     3      sea sea sea sea."
    assert rows[2] == "2     BRAM          5  ~2.0 (1.0-3.0)  C02     3      sea sea sea sea sea"
    assert "3.6 s of the seconds above are pauses where a line is cut: in no clip's speech." in rows  # totals have none
    assert rows[-2:][0].startswith("with retakes 42 s (7 takes each)")
    # 6.35 s are 152.4 frames; the hole from 2.2 s (frame 53) to 3.75 s (frame 90) has 37, 1.5 s
    assert rows[-1] == "The episode runs 0:06.3, 152 frames; 37 of them (1.5 s) have no clip."
    other = replace(plan.clips[1], takes=3)
    assert "(3 to 7 takes each)" in lines.table(replace(plan, clips=(plan.clips[0], other)))[-2]
    flagged = replace(one, findings=(Finding(FindingCode.TOO_LONG, "too long", {}),))
    assert "1.6 !C01" in lines.table(replace(plan, lines=(flagged, two)))[1]
    exact = replace(plan.totals, speech=F("3.6") - F(1, 20))
    assert any("0.1 s of the seconds above" in r for r in lines.table(replace(plan, totals=exact)))
    exact = replace(plan.totals, speech=F("3.6") - F(49, 1000))
    assert not any("are pauses" in r for r in lines.table(replace(plan, totals=exact)))
    money = replace(plan.totals, cost=F("4.2"), unpriced=F(3))
    assert any("cost 4.20 and 3 s without a price." in r for r in lines.table(replace(plan, totals=money)))


def test_a_passage_is_named_by_its_kind_and_lines_timed_by_clips_are_told():
    wave = line("3", "A wave.", 8, RATE, LineKind.PICTURE)
    back = replace(spoken(4), delivered="clips/C01.mp4")
    rows = lines.table(plan_of([back, wave]))
    assert rows[2].startswith("3     (picture)                   2.0  C03     3      A wave.")
    assert "Measured in the clips that came back: line 1." in rows
    both = lines.table(plan_of([back, replace(line("2", "sea", 4, RATE), delivered="clips/C02.mp4")]))
    assert "Measured in the clips that came back: lines 1, 2." in both


# --- findings ------------------------------------------------------------------------------------------------------


def test_of_many_sentences_of_a_kind_two_are_shown_and_one_more_is_no_rest(capsys):
    def told(count, most=2):
        found = [(f"line {n}", Finding(FindingCode.TOO_LONG, f"sentence {n}", {})) for n in range(count)]
        findings.print_findings(found, most=most)
        return capsys.readouterr().err.splitlines()

    assert told(3) == ["3 findings:", f"too-long (3): {FindingCode.TOO_LONG.meaning}"] + [
        f"  line {n}: sentence {n}" for n in range(3)
    ]
    assert told(4)[2:] == [
        "  line 0: sentence 0",
        "  line 1: sentence 1",
        "  also lines 2, 3; all of them in full: timing lines … --findings too-long",
    ]
    assert len(told(9, None)) == 11
    assert told(1)[0] == "1 finding:"


def test_one_sentence_about_several_places_is_told_once_and_the_worst_kind_first(capsys):
    long, shared = (Finding(code, "so it is", {}) for code in (FindingCode.TOO_LONG, FindingCode.SHARED))
    placed = Finding(FindingCode.SHARED, "here", {}, Where("s.txt", 3))
    findings.print_findings([("C04", shared), ("line 2", long), ("line 7", long), ("line 7", long), ("", placed)])
    told = capsys.readouterr().err.splitlines()
    assert told[0] == "4 findings:"
    assert told[2] == "  lines 2, 7: so it is"
    assert told[3].startswith("shared (2)")
    assert told[4:] == ["  C04: so it is", "  s.txt:3: here"]
    findings.print_findings([("line 2", long), ("C04", shared)], "shared")
    assert capsys.readouterr().err.splitlines()[0] == "1 finding:"


def test_texts_are_cut_to_the_columns_they_have():
    assert options.clipped("tide", 4) == "tide"
    assert options.clipped("tides", 4) == "tid…"
    assert options.clipped("a  b", 5) == "a b  "
    assert options.width("a\u0301海") == 3  # an accent of its own takes no column, a wide letter two (UAX 11)
    assert options.clipped("海海海", 4) == "海… "
    assert options.clipped("海海", 4) == "海海"


def test_what_was_learnt_is_told_with_its_counts():
    assert lines_of({"a": LearntPace(1.0, 1)}) == "1 line (a 1)"
    assert clips_of({"a": LearntTakes(F(2), 1)}) == "1 clip (a 1)"
    assert clips_of({"a": LearntTakes(F(2), 1), "b": LearntTakes(F(3), 2)}) == "3 clips (a 1, b 2)"


# --- songs ----------------------------------------------------------------------------------------------------------


def grid(**more):
    plain = {
        "bpm": 104.0, "metre": Metre(4, 4), "beats_s": (0.5, 1.0), "downbeats_s": (), "findings": (),
        "pieces": ((0.5, 104.0, 64),), "confidence": 0.9,
    }  # fmt: skip
    return SimpleNamespace(**{**plain, **more})


def test_a_grid_in_words():
    assert tempo.in_words(grid()) == ["steady 104.000 bpm, 4/4, first beat at 0.500 s"]
    guessed = (Finding(FindingCode.METRE_GUESSED, "guessed", {}),)
    assert tempo.in_words(grid(downbeats_s=(2.6134,), findings=guessed)) == [
        "steady 104.000 bpm, 4/4 (a guess), first bar at 2.613 s"
    ]
    long = tempo.LONG_PIECE
    pieces = ((0.0, 90.0, long), (30.0, 91.0, long - 1), (40.0, 95.5, long + 3))
    assert tempo.in_words(grid(pieces=pieces)) == [
        "not steady, 4/4, first beat at 0.500 s:",
        f"  from 0.000 s  90.000 bpm for {long} beats",
        f"  from 40.000 s  95.500 bpm for {long + 3} beats",
        f"  besides {long - 1} beats at no one tempo",
    ]
    after = tempo.in_words(grid(pieces=(pieces[0], (30.0, 91.0, 1))))
    assert after[-1] == "  after that 1 beat at no one tempo"
    assert len(tempo.in_words(grid(pieces=(pieces[0], pieces[2])))) == 3


@pytest.mark.parametrize(("metre", "count"), [(Metre(4, 4), 4), (Metre(6, 8), 2), (Metre(3, 4), 3)])
def test_as_many_first_beats_are_offered_as_a_bar_has_beats(metre, count):
    bars = [SimpleNamespace(first_s=s) for s in (-0.01, 0.61, 1.2, 1.8, 2.4)]
    rows = tempo._candidates(SimpleNamespace(bars=bars, grid=grid(metre=metre)), Path("my song.ogg"))
    assert rows[1] == "     0.000 s   --downbeat 0.000"
    assert rows[2] == "     0.610 s   --downbeat 0.610"
    assert len(rows) == count + 3
    assert rows[-2] == 'listen: timing tempo "my song.ogg" --preview clicks.wav'


@pytest.mark.parametrize(
    ("typed", "bpm"), [("96", 96), ("96,5", F("96.5")), ("96.5", F("96.5")), ("x96", None), ("96.", None)]
)
def test_a_tempo_is_typed_in_place_of_a_file(typed, bpm):
    assert tempo.typed_tempo([Path(typed)]) == bpm
    assert tempo.typed_tempo([Path("96"), Path("97")]) is None


def test_a_song_to_paste():
    measured = SimpleNamespace(grid=grid(bpm=104.0004, downbeats_s=(2.6134, 4.9)))
    assert song_block.block(measured, Path("songs/My Song!.ogg"), None, None) == [
        "[song.my-song]", 'file = "songs/My Song!.ogg"', "bpm = 104.000", 'metre = "4/4"', "downbeat_s = 2.613",
        "# where the singing begins is found by its words: give the script too, with --in",
    ]  # fmt: skip
    told = song_block.block(measured, Path("elsewhere/a.ogg"), "sea", 5.0)
    assert told[1] == 'file = "elsewhere/a.ogg"'
    assert told[-2:] == [
        'vocal = "elsewhere/a.ogg"   # its singing begins at 5.00 s',
        "# in the script, before its first line: [[song sea, bar 2]]",
    ]
    bare = song_block.block(SimpleNamespace(grid=grid()), Path("!.ogg"), None, 5.0)
    assert (bare[0], bare[4], bare[-1]) == (
        "[song.song]", "# downbeat_s = …   one of the first beats above",
        'vocal = "!.ogg"   # its singing begins at 5.00 s',
    )  # fmt: skip


@pytest.mark.parametrize(
    ("moment", "bar"),
    # bars of 2 s from 2 s on; later than 0.6 of a bar is a pick-up to the next one
    [(3.19, 1), (3.21, 2), (4.0, 2), (2.0, 1), (1.21, 1), (1.2, None), (7.3, 4), (0.1, None)],
)
def test_the_bar_in_which_a_line_is_written(moment, bar):
    assert song_block.bar_of(moment, (2.0, 4.0, 6.0)) == bar
    assert song_block.bar_of(moment, (2.0,)) is None


def test_which_song_is_meant():
    assert song_order.chosen(None, ["a"]) == "a"
    assert song_order.chosen("b", ["a", "b"]) == "b"
    for name, sung, said in ((None, [], "is sung"), (None, ["a", "b"], "which song"), ("c", ["a"], 'a song "c"')):
        with pytest.raises(InputError, match=said):
            song_order.chosen(name, sung)


def test_tempos_to_order_are_a_table_with_the_wish_and_the_least_marked():
    def order(bpm, frames, generate, **more):
        plain = {
            "tempo": SimpleNamespace(bpm=F(bpm), frames=frames, of="beat"), "song": F("41.5"),
            "lines": (("1", F("2.5")), ("2", F(5))), "asks": ((F(3), 2), (None, 1)), "generate": F(generate),
            "cost": None, "too_fast": 0,
        }  # fmt: skip
        return SimpleNamespace(**{**plain, **more})

    rows = song_order.table("sea", F(96), RATE, [order(90, 16, 84), order(96, 0, 91, cost=F("9.1"), too_fast=2)])
    assert rows == [
        'song "sea" at tempos near 96 bpm, 24 frames a second',
        "bpm     frames     song s  a line s   clips x ask s      whole episode, cost",
        "90.000  16 a beat  41.50   2.50-5.00  2 x 3, 1 too long  84 s  <- least",
        "96.000  not whole  41.50   2.50-5.00  2 x 3, 1 too long  91 s, 9.10  <- as wished, 2 lines too fast to draw",
    ]


@pytest.mark.parametrize("wish", [19, 401])
def test_a_wish_that_is_no_tempo_is_refused(wish):
    with pytest.raises(InputError, match=f"{wish} is no tempo; give 20 to 400"):
        song_order.orders(SimpleNamespace(), None, F(wish))


# --- check ----------------------------------------------------------------------------------------------------------


def test_a_row_of_a_clip_that_came_back():
    plain = Check(
        "clips/C04.mp4", "C04", rate=F(24000, 1001), frames=120, asked_frames=121, head_frames=6.04, tail_frames=-0.04,
        shift_frames=1.96, drift=0.0123, confidence=0.876, is_best=True,
    )  # fmt: skip
    assert check.check_table([plain])[1] == "*  C04     23.976     120   121   6.0   0.0   2.0    1.2  0.88 C04.mp4"
    doubtful = replace(plain, findings=(Finding(FindingCode.TOO_LONG, "x", {}),), rate=None, drift=None)
    assert check.check_table([doubtful])[1][:18] == " ! C04     sound  "
    assert " short " in check.check_table([doubtful])[1]
    unknown = Check("clips/x.mp4", None)
    head, row = check.check_table([unknown])[:2]
    assert (row.split(), row.index("x.mp4")) == (["?", "-", "x.mp4"], head.index("file"))
    assert "has no sound or video yet" in check.check_table([])[0]


def test_a_converted_voice_in_words():
    plan = plan_of([spoken(4)])

    def told(**more):
        plain = {"file": "clips/C01 voice.wav", "delay": F(1, 48), "drift": 0.0012, "likeness": 0.914, "is_used": True}
        voice = SimpleNamespace(**{**plain, **more})
        return " ".join(check.voice_rows(plan, [SimpleNamespace(voice=voice, of="clips/C01.mp4")])[1:])

    # a 48th of a second is 20.8 ms, half a frame of 24
    assert " ".join(told().split()) == (
        "voice: C01 voice.wav of C01.mp4: delay +21 ms (+0.5 frames), drift +0.12 %, likeness 0.91"
    )
    assert "likeness 0.91, not used" in " ".join(told(is_used=False).split())
    assert "drift too short to tell" in " ".join(told(drift=None).split())
    assert told(likeness=None).endswith(": not used")
    assert check.voice_rows(plan, []) == []


# --- listen -----------------------------------------------------------------------------------------------------------


def heard_line(seconds, confidence=0.8, **more):
    words = line("1", "sea", 0, RATE, a_word=seconds).words
    length = words[-1].end
    return TimedLine(words, Origin.MEASURED, length, length, confidence, "recordings/memo.m4a", F(5), **more)


def take(line_id, start, end, **more):
    plain = {"is_complete": True, "confidence": 0.9, "is_chosen": True}
    return Take(line_id, "recordings/memo.m4a", F(start), F(end), **{**plain, **more})


def test_readings_are_a_table_with_the_one_that_counts_marked():
    lines_ = [replace(line(str(n), f"sea {n}", 4 * n, RATE), song="tide" if n == 5 else None) for n in range(1, 6)]
    lines_[3] = replace(lines_[3], delivered=("clips/C04.mp4",))
    doubt = Finding(FindingCode.UNCLEAR, "x", {})
    heard = Heard(
        {"1": heard_line("2.2"), "2": heard_line("1.8", None, findings=(doubt,))},
        (take("1", 3, 4, is_chosen=False), take("1", 5, "7.2"), take("1", 9, 10, is_chosen=False, is_complete=False), take("2", 12, 13)),
        ("3", "4", "5"),
    )  # fmt: skip
    rows = listen.listen_table(lines_, heard, {"1": F(2), "2": F(2)})
    assert [row.split() for row in rows[1:5]] == [
        ["1.00", "recordings/memo.m4a@3.0"],
        # 2.2 s are a tenth more than the estimate; as sure as its words, which fit less than the reading
        ["1", "2.20", "+10", "%", "80", "%", "*recordings/memo.m4a@5.0", "sea", "1"],
        ["begun", "recordings/memo.m4a@9.0"],
        ["2", "1.80", "-10", "%", "!*recordings/memo.m4a@12.0", "sea", "2"],
    ]
    assert rows[5:] == [
        "", "Not found in any recording, so estimated: 3.",
        "", "Not found in any recording, timed by the clips that came back: 4.",
        "", "Sung, so laid on the song's beat: 5.",
        "", "2 of 5 lines measured, 4.0 s.",
    ]  # fmt: skip
    pinned = replace(heard_line("2.2", 0.95), origin=Origin.PINNED)
    assert " 95 % " in listen.listen_table(lines_[:1], replace(heard, lines={"1": pinned}), {})[2]


def test_what_is_to_be_decided_is_told_with_the_row_to_write():
    this, that = take("1", 3, 4), take("1", "5.5", 7)
    unsure = (
        Unsure("1", this, "a later reading has a fault", that), Unsure("2", this, "it may be line 3", or_line="3"),
        Unsure("4", this, "it may be something that nobody wrote"),
    )  # fmt: skip
    left = (
        LeftOver("recordings/memo.m4a", F(10), F("12.25"), "1", "3", ("2", "5")),
        LeftOver("recordings/memo.m4a", F(20), F(21), None, "3", ()), LeftOver("recordings/memo.m4a", F(30), F(31), None, None, ()),
    )  # fmt: skip
    lists = ThreeLists(("5", "6"), unsure, left)
    where = Where("recordings/memo.txt", 2)
    obeyed = (("19", Label(F(1), F(2), "19: It goes", where)), ("19", Label(F(1), F(1), "goes", where)))
    row = "    recordings/memo.txt:  "
    assert listen.told(lists, Heard({}, obeyed=obeyed), 7) == [
        "", "as you wrote (2)", "  recordings/memo.txt:2: line 19, 1.000 to 2.000 s", "  recordings/memo.txt:2: “goes” in line 19, 1.000 s",
        "", "placed (2 of 7): 5, 6", "unsure (3): write the row that is right, and it is settled",
        "  line 1: a later reading has a fault", f"{row}3.000\t4.000\t1", f"{row}5.500\t7.000\t1",
        "  line 2: it may be line 3", f"{row}3.000\t4.000\t2", f"{row}3.000\t4.000\t3",
        "  line 4: it may be something that nobody wrote", f"{row}3.000\t4.000\t4",
        "left over (3): speech that was given to no line",
        "  recordings/memo.m4a 10.0 to 12.2 s, after line 1 and before line 3",
        "    if it is line 2, recordings/memo.txt:  10.000\t12.250\t2", "    if it is line 5, recordings/memo.txt:  10.000\t12.250\t5",
        "  recordings/memo.m4a 20.0 to 21.0 s, before line 3", "  recordings/memo.m4a 30.0 to 31.0 s",
    ]  # fmt: skip
    assert listen.told(ThreeLists((), (), ()), Heard({}), 7) == [
        "",
        "placed (0 of 7): none",
        "unsure (0)",
        "left over (0)",
    ]


def test_what_was_heard_as_plain_values():
    rival = Instead("3", F(1), F(2), 0.25)
    heard = Heard({"1": heard_line(F(4, 3))}, (take("1", 5, F(19, 3), rivals=(rival,)),), ("2",))
    both = [line("1", "sea", 1, RATE), line("2", "sea", 4, RATE)]
    values = listen.as_values(both, heard, {"1": F(1)}, ThreeLists(("1",), (), ()))
    first, second = values["lines"]
    assert (first["take"], first["take_start_s"], first["seconds"], first["estimate_s"], first["confidence"]) == (
        "recordings/memo.m4a", 5.0, 1.333333, 1.0, 0.8,
    )  # fmt: skip
    (reading,) = first["takes"]
    assert (reading["start_s"], reading["end_s"], reading["complete"], reading["chosen"]) == (5.0, 6.333333, True, True)
    assert reading["instead"] == [{"line": "3", "start_s": 1.0, "end_s": 2.0, "confidence": 0.25}]
    assert (second["take"], second["seconds"], second["takes"], second["findings"]) == (None, None, [], [])
    assert (values["unread"], values["placed"], values["left_over"]) == (["2"], ["1"], [])
