"""Verdicts at their limits and the arithmetic of shifts and drifts, worked out by hand on made-up sounds and plans."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import numpy as np
import pytest

from tests.export.plans import line, plan_of, small_plan, words
from timing.delivery import check as check_module
from timing.delivery import conversion, sync, voices
from timing.delivery.check import Checker, _faulty, _fit, _is_clear, _of_sound, _rate, _without
from timing.delivery.container import Container
from timing.delivery.conversion import Conversion
from timing.delivery.edges import edge_findings, last_drop_db
from timing.delivery.labelled import clip_meant
from timing.delivery.matching import ClipFile, by_clip, clip_in_name
from timing.delivery.sync import Sync
from timing.delivery.three_lists import three_lists
from timing.delivery.verdict import Check, with_best
from timing.delivery.words import clip_utterance
from timing.model import Finding, LineKind, Origin, TimedLine, Voice
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.labels import Label
from timing.sound.decode import Sound
from timing.store.store import Store

HZ = 16_000
AT_24 = FrameRate(F(24))


def codes(found):
    return [f.code.value for f in getattr(found, "findings", found)]


def heard_of(text, start="0.5", a_word="0.4", confidence=0.9, findings=(), last=None):
    """A line followed in a sound: words of equal length, the last one of another length where it is given."""
    timed = list(words(text, F(start), F(a_word)))
    if last is not None:
        begin = timed[-1].start
        timed[-1] = replace(timed[-1], syllables=(replace(timed[-1].syllables[0], end=begin + F(last)),))
    timed = [replace(w, confidence=confidence) for w in timed]
    length = timed[-1].end - timed[0].start
    return TimedLine(tuple(timed), Origin.MEASURED, length, length, confidence, findings=tuple(findings))


def finding(code, *which, texts=None):
    return Finding(code, "something", {"words": list(which), "texts": texts or [f"w{i}" for i in which]})


# Edges of a clip.


def level_of(*parts):
    """A sound of constant levels: (seconds, dB above one) each."""
    out = np.concatenate([np.full(round(s * HZ), 10 ** (db / 20)) for s, db in parts])
    return Sound(np.round(out).astype(np.int16))


@pytest.mark.parametrize("drop", [31.0, 36.0, 38.0, 44.0])
def test_how_far_a_sound_falls_in_30_ms(drop):
    assert last_drop_db(level_of((1, 80), (0.5, 80 - drop))) == pytest.approx(drop, abs=0.3)


def test_a_fall_counts_45_db_at_most_and_only_in_the_last_that_is_heard():
    assert last_drop_db(level_of((1, 85), (0.5, 20))) == pytest.approx(45, abs=0.1)
    # 20 dB each 20 ms: within any 30 ms one step, or two.
    steps = [(0.02, 85 - 20 * n) for n in range(1, 4)]
    assert last_drop_db(level_of((1, 85), *steps, (0.5, 5))) == pytest.approx(40, abs=0.5)
    # The fall a second before the end is none of the last sound's, which falls by 10 dB only.
    late = level_of((1, 85), (0.5, 5), (0.5, 80), (0.5, 70))
    assert last_drop_db(late) < 11
    assert last_drop_db(level_of((0.1, 80))) == 0
    assert last_drop_db(Sound(np.zeros(HZ, np.int16))) == 0


def test_31_db_below_the_loud_windows_nothing_is_heard():
    # What follows at -31 dB is silence: the fall to it is the last; at -29 dB it is heard, and its own end is.
    assert last_drop_db(level_of((1, 85), (0.3, 54), (0.5, 40))) == pytest.approx(31, abs=0.3)
    assert last_drop_db(level_of((1, 85), (0.3, 56), (0.5, 41))) == pytest.approx(15, abs=0.3)


TEXT = "One two three four"
PLANNED = words(TEXT, F(0), F(2, 5))
FADING = [(0.05, 85 - 8 * n) for n in range(1, 9)]


def cut_off(heard, sound=None, same=False, at_once=False):
    sound = sound or level_of((0.3, 5), (1, 85), *FADING, (0.3, 5))
    return codes(edge_findings(sound, heard, PLANNED, same, at_once))


def test_speech_that_goes_on_within_30_ms_of_an_edge_is_cut_off():
    whole = heard_of(TEXT)
    assert cut_off(whole) == []
    for quiet, ends in ((0.020, True), (0.032, False)):
        starts = level_of((quiet, 5), (1, 85), *FADING, (0.3, 5))
        assert ("cut-off-start" in cut_off(whole, starts)) is ends
        assert cut_off(whole, starts, at_once=True) == []
        assert ("cut-off-end" in cut_off(whole, level_of((0.3, 5), *FADING[::-1], (1, 85), (quiet, 60)))) is ends
    (found,) = edge_findings(level_of((1, 85), *FADING, (0.3, 5)), whole, PLANNED, False)
    assert found.facts == {"words": [0]}
    assert found.message == "begins in the middle of speech: “One” is cut off"
    (found,) = edge_findings(level_of((0.3, 5), (1, 85)), whole, PLANNED, False)
    assert (found.code, found.facts) == ("cut-off-end", {"words": [3]})
    assert found.message == "ends too soon: “four” is cut off"


@pytest.mark.parametrize(("db", "is_loud"), [(-19.5, True), (-20.5, False)])
def test_speech_is_what_is_less_than_20_db_below_the_loud_windows(db, is_loud):
    sound = level_of((0.3, 5), (1, 85), *FADING[:2], (0.6, 85 + db))
    assert (cut_off(heard_of(TEXT), sound) == ["cut-off-end"]) is is_loud


@pytest.mark.parametrize(("drop", "is_cut"), [(36.5, False), (37.5, True)])
def test_a_voice_falls_by_less_than_37_db_in_30_ms(drop, is_cut):
    sound = level_of((0.3, 5), (1, 85), (0.5, 85 - drop))
    assert (cut_off(heard_of(TEXT), sound) == ["cut-off-end"]) is is_cut


def test_a_last_word_that_is_not_there_is_cut_off():
    assert cut_off(heard_of(TEXT, findings=[finding(FindingCode.NOT_SAID, 3)])) == ["cut-off-end"]
    assert cut_off(heard_of(TEXT, findings=[finding(FindingCode.NOT_SAID, 2)])) == []
    assert cut_off(heard_of(TEXT, findings=[finding(FindingCode.SAID_DIFFERENTLY, 3)])) == []


@pytest.mark.parametrize(
    ("last", "confidence", "same", "is_cut"),
    [
        ("0.26", 0.74, False, True),  # under two thirds of 0.4 s, and it fits badly
        ("0.27", 0.74, False, False),
        ("0.26", 0.75, False, False),
        ("0.26", 0.75, True, True),  # the same reading as the recording: short is enough
        ("0.27", 0.75, True, False),
    ],
)
def test_a_short_last_word_that_fits_badly_is_cut_off(last, confidence, same, is_cut):
    assert bool(cut_off(heard_of(TEXT, confidence=confidence, last=last), same=same)) is is_cut


def test_short_is_short_beside_the_rest_of_its_line():
    # The line is said half as fast again slowly: 0.6 s a word. Two thirds of it are 0.4 s. Slower still counts no more.
    assert cut_off(heard_of(TEXT, a_word="0.6", last="0.39"), same=True) == ["cut-off-end"]
    assert cut_off(heard_of(TEXT, a_word="0.6", last="0.41"), same=True) == []
    assert cut_off(heard_of(TEXT, a_word="1.2", last="0.41"), same=True) == []
    assert cut_off(heard_of(TEXT, a_word="0.2", last="0.14"), same=True) == []
    one = heard_of("One", last="0.1", confidence=0.1)
    assert codes(edge_findings(level_of((0.3, 5), (1, 85), *FADING, (0.3, 5)), one, PLANNED[:1], True)) == []


# Shift and drift against a recording.


def checker(plan=None):
    return Checker(plan or small_plan(), Path())


def clip_of(clip_id="C01", plan=None, **more):
    return replace(next(c for c in (plan or small_plan()).clips if c.id == clip_id), **more)


@pytest.mark.parametrize(
    ("shift", "drift", "error", "spread", "found"),
    [
        (0.0, 0.0, 0.001, 0.0, []),
        (0.99 / 24, 0.0, 0.001, 0.0, []),
        (1.0 / 24 + 1e-9, 0.0, 0.001, 0.0, ["shift"]),
        (-1.01 / 24, 0.0, 0.001, 0.0, ["shift"]),
        (0.0, 0.0041, 0.001, 0.02, ["drift"]),
        (0.0, 0.0039, 0.001, 0.02, []),
        (0.0, -0.0041, 0.002, -0.02, ["drift"]),
        (0.0, 0.0041, 0.0021, 0.02, []),  # within twice its error it may be none
        (0.0, 0.01, 0.001, 0.19 / 24, []),  # a fifth of a frame from first to last sound
        (0.0, 0.01, 0.001, 0.21 / 24, ["drift"]),
        (1.2 / 24, 0.01, 0.001, 2 / 24, ["drift"]),  # at its first sound it is 0.2 frames late only
        (0.0, 0.01, 0.001, -4 / 24, ["drift", "shift"]),
    ],
)
def test_what_is_told_of_a_shift_and_a_drift(shift, drift, error, spread, found):
    one = Sync(shift, shift - spread / 2, shift + spread / 2, drift, error, 0.9)
    assert codes(checker()._sync_findings(one, clip_of())) == found


def test_figures_of_a_shift_and_a_drift():
    late, early = (checker()._sync_findings(Sync(s, s, s, None, None, 0.9), clip_of())[0] for s in (0.1, -0.05))
    assert late.message == "is 2.4 frames late against the recording; slip it by that in the cut"
    assert late.facts == {"frames": 2.4}
    assert early.message == "is 1.2 frames early against the recording; slip it by that in the cut"
    assert early.facts == {"frames": -1.2}
    (drift,) = checker()._sync_findings(Sync(0, -0.0125, 0.0125, 0.01234, 0.00456, 0.9), clip_of())
    assert drift.message == "drifts: it runs 1.2 % slow against the recording, 0.6 frames from first to last sound"
    assert drift.facts == {"drift": 0.0123, "error": 0.0046, "frames": 0.6}
    (drift,) = checker()._sync_findings(Sync(0, 0.0125, -0.0125, -0.01234, 0.00456, 0.9), clip_of())
    assert "runs 1.2 % fast" in drift.message
    follows = clip_of(id="C00.2", part=(2, 2))
    (late,) = checker()._sync_findings(Sync(0.1, 0.1, 0.1, None, None, 0.9), follows)
    assert late.message.endswith("the pause behind C00.1 grows by that")
    (early,) = checker()._sync_findings(Sync(-0.1, -0.1, -0.1, None, None, 0.9), follows)
    assert early.message.endswith("slip it by that in the cut")


# The container.


@pytest.mark.parametrize(
    ("frames_off", "rate", "found"),
    [
        (0, F(24), []),
        (1, F(24), []),
        (2, F(24), ["length"]),
        (0, F(24) * F(10001, 10000), []),
        (0, F(24000, 1001), ["rate"]),  # 24 and 23.976 are a thousandth apart
        (0, F(24) * F(10003, 10000), ["rate"]),
    ],
)
def test_rate_and_length_of_a_file(frames_off, rate, found):
    clip = clip_of()
    asked = AT_24.frame_at(clip.ask)
    container = Container(rate, 1, F(asked + frames_off, 24), True)
    check = checker()._container(Check("a.mp4", clip.id, asked_frames=asked), clip, container, None)
    assert codes(check) == found
    assert check.frames == asked + frames_off


def test_a_file_shorter_than_what_the_cut_shows_is_too_short():
    clip = clip_of()
    shown = clip.end_frame - clip.start_frame
    for frames, found in ((shown - 1, ["too-short"]), (shown, [])):
        check = checker()._container(
            Check("a", clip.id, asked_frames=shown), clip, Container(F(24), 1, F(frames, 24), True), None
        )
        assert codes(check) == found
    short = checker()._container(
        Check("a", clip.id, asked_frames=99), clip, Container(F(24), 1, F(shown - 3, 24), True), None
    )
    assert short.findings[0].message == f"has {shown - 3} frames, 3 fewer than the cut shows of it"
    assert short.findings[0].facts == {"frames": shown - 3, "needed": shown}


def test_without_a_picture_the_length_is_that_of_the_sound():
    clip = clip_of()
    asked = AT_24.frame_at(clip.ask)
    sound = Sound(np.zeros(HZ * asked // 24, np.int16))
    made = Check("a.wav", clip.id, asked_frames=asked)
    assert checker()._container(made, clip, Container(None, None, F(99), True), sound).frames == asked
    assert codes(checker()._container(made, clip, Container(None, None, F(99), False), None)) == ["length"]
    unknown = checker()._container(made, clip, Container(None, None, None, False), None)
    assert (unknown.frames, codes(unknown)) == (None, [])


@pytest.mark.parametrize(
    ("stem", "says"),
    [
        ("C01 and C03", "its name holds several clips' ids, C01 and C03; name it after one of them"),
        ("C77", "there is no clip C77 in the script as it is"),
        ("beach", "its name holds no clip's id and its words are no line's"),
    ],
)
def test_a_file_of_no_clip_is_told_by_its_name(stem, says):
    found = checker()._unknown(ClipFile(Path(f"{stem}.mp4"), f"clips/{stem}.mp4", None))
    assert found.code == "unknown-clip"
    assert says in found.message


# What is said in it.


def spoken(heard, *, alike=None, other=None, seconds=3, clip=None, before=(), plan=None, monkeypatch=None, edges=()):
    """The verdict on words that were heard so; ``alike``: likeness with the recording, None where there is none."""
    one = checker(plan)
    clip = clip or clip_of(plan=plan)
    one._align = lambda *_: heard
    one._by_words = lambda *_: other
    one._is_same_reading = lambda found, *_: found is not None and found.likeness >= 0.85
    monkeypatch.setattr(check_module, "edge_findings", lambda *_: list(edges))
    found = None if alike is None else Sync(0, 0, 0, None, None, alike)
    base = Check("a.mp4", clip.id, shift_frames=1.0, drift=0.1, drift_error=0.1, findings=tuple(before))
    return one._spoken(base, clip, Sound(np.ones(int(seconds * HZ), np.int16)), found)


SEA = "The sea goes out & in <twice>."


def test_a_line_heard_as_written_has_its_margins_in_frames(monkeypatch):
    found = spoken(heard_of(SEA, "0.25", "0.25"), monkeypatch=monkeypatch)
    assert codes(found) == []
    assert (found.head_frames, found.tail_frames, found.tail) == (6.0, 24 * 1.0, F(1))  # 7 words: to 2.0 of 3 s
    assert (found.confidence, found.shift_frames) == (0.9, 1.0)
    late = spoken(heard_of(SEA, "0.25", "0.5"), monkeypatch=monkeypatch)
    assert (late.tail, late.tail_frames) == (0, -18.0)  # to 3.75 of 3 s


@pytest.mark.parametrize(("confidence", "wrong"), [(0.59, True), (0.6, False)])
def test_words_that_fit_badly_are_another_lines_unless_it_is_the_same_reading(confidence, wrong, monkeypatch):
    shift = Finding(FindingCode.SHIFT, "is late")
    found = spoken(heard_of(SEA, confidence=confidence), before=[shift], monkeypatch=monkeypatch)
    assert codes(found) == (["wrong-line"] if wrong else ["shift"])
    assert found.shift_frames == (None if wrong else 1.0)
    assert found.heard is not None
    same = spoken(heard_of(SEA, confidence=0.3), alike=0.9, monkeypatch=monkeypatch)
    assert codes(same) == []


def test_another_lines_words_are_named(monkeypatch):
    other = clip_of("C03")
    found = spoken(heard_of(SEA, confidence=0.7), other=other, monkeypatch=monkeypatch)
    assert found.findings[0].message == "does not hold its line: these are the words of C03"
    assert found.findings[0].facts == {"clip": "C03"}
    assert (found.drift, found.drift_error, found.confidence) == (None, None, 0.7)
    clear = spoken(heard_of(SEA, confidence=0.75), other=other, monkeypatch=monkeypatch)
    assert codes(clear) == []  # clear words are not held against others
    assert codes(spoken(heard_of(SEA, confidence=0.7), alike=0.9, other=other, monkeypatch=monkeypatch)) == []
    none = spoken(None, monkeypatch=monkeypatch)
    assert none.findings[0].message == "does not hold its line: no line of the script fits its words well"
    assert none.findings[0].facts == {}
    assert (none.confidence, none.heard, none.tail) == (0.0, None, None)


@pytest.mark.parametrize("code", [FindingCode.CLIPPED, FindingCode.DAMAGED])
def test_words_of_a_spoilt_sound_are_not_blamed(code, monkeypatch):
    said = heard_of(SEA, confidence=0.4, findings=[finding(FindingCode.NOT_SAID, 1)])
    found = spoken(said, before=[Finding(code, "spoilt")], monkeypatch=monkeypatch)
    assert codes(found) == [code.value]
    assert (found.confidence, found.heard) == (0.4, said)


def test_the_word_beside_one_that_is_cut_off_is_not_judged(monkeypatch):
    said = heard_of(SEA, findings=[finding(FindingCode.SAID_DIFFERENTLY, 1, 3, 5, texts=["a", "b", "c"])])
    cut = finding(FindingCode.CUT_OFF_END, 6)
    assert codes(spoken(said, edges=[cut], monkeypatch=monkeypatch)) == ["cut-off-end", "said-differently"]
    told = spoken(said, edges=[cut], monkeypatch=monkeypatch).findings[1]
    assert told.facts == {"words": [1, 3], "texts": ["a", "b"]}
    start = finding(FindingCode.CUT_OFF_START, 0)
    told = spoken(said, edges=[start], monkeypatch=monkeypatch).findings[1]
    assert told.facts["words"] == [3, 5]


def test_what_the_recording_has_as_well_is_not_blamed(monkeypatch):
    plan = small_plan()
    first = plan.lines[0]
    marked = replace(
        first, findings=(finding(FindingCode.NOT_SAID, 2),),
        words=tuple(replace(w, confidence=0.49 if i == 4 else 0.5) for i, w in enumerate(first.words)),
    )  # fmt: skip
    plan = replace(plan, lines=(marked, *plan.lines[1:]))
    assert Checker(plan, Path())._known(clip_of(plan=plan)) == {2, 4}
    assert Checker(plan, Path())._known(clip_of(plan=plan, words=(2, 4))) == {0}
    assert Checker(plan, Path())._known(clip_of(plan=plan, words=(3, 5))) == {1}
    said = heard_of(SEA, findings=[finding(FindingCode.NOT_SAID, 2, 4), finding(FindingCode.EXTRA_WORDS)])
    for alike, found in ((None, ["not-said", "extra-words"]), (0.8, ["extra-words"]), (0.9, [])):
        assert codes(spoken(said, alike=alike, plan=plan, monkeypatch=monkeypatch)) == found


@pytest.mark.parametrize(
    ("likeness", "speech", "sounding", "is_same"),
    [
        (0.85, 1, 2, True),
        (0.84, 1, 2, False),
        (0.9, F(99, 100), 1, False),
        (0.9, 1, F(21, 10), False),
        (0.9, 3, 1, True),
    ],
)
def test_a_sound_is_surely_its_recording_by_its_outline_and_its_length(
    likeness, speech, sounding, is_same, monkeypatch
):
    monkeypatch.setattr("timing.sound.levels.sound_regions", lambda _: ((F(1), 1 + F(sounding)),))
    found = Checker._is_same_reading(
        Sync(0, 0, 0, None, None, likeness), clip_of(speech=F(speech)), Sound(np.ones(9, np.int16))
    )
    assert found is is_same
    assert not Checker._is_same_reading(None, clip_of(), Sound(np.ones(9, np.int16)))


@pytest.mark.parametrize(
    ("confidence", "faulty", "of", "clear"),
    [
        (0.75, 0, 8, True),
        (0.74, 0, 8, False),
        (0.8, 1, 2, True),
        (0.8, 2, 8, False),
        (0.8, 2, 9, True),
        (0.8, 3, 12, False),
    ],
)
def test_words_are_clear_where_fewer_than_a_quarter_or_two_are_wrong(confidence, faulty, of, clear):
    line_heard = heard_of(
        " ".join(["a"] * of), confidence=confidence, findings=[finding(FindingCode.NOT_SAID, *range(faulty))]
    )
    assert _is_clear(line_heard) is clear
    assert _faulty(line_heard) == faulty
    assert _fit(line_heard) == pytest.approx(confidence * (1 - faulty / of))
    assert not _is_clear(None)


def test_a_finding_about_words_keeps_those_that_are_judged():
    given = finding(FindingCode.NOT_SAID, 1, 4, texts=["shells", "sand."])
    kept = _without(given, {1})
    assert kept.message == "“sand”: not said in this take; take another one or ask again"
    assert kept.facts == {"words": [4], "texts": ["sand."]}
    assert _without(given, {1, 4}) is None
    other = Finding(FindingCode.EXTRA_WORDS, "x", {"word": 1})
    assert _without(other, {1}) is other


def test_clipping_is_told_in_per_cent_of_samples():
    found = _of_sound(Finding(FindingCode.CLIPPED, "x", {"clipped_share": 0.01234}))
    assert found.message == "its sound is clipped (1.23 % of samples at the limit); take another one"
    quiet = Finding(FindingCode.QUIET, "x")
    assert _of_sound(quiet) is quiet


def test_a_rate_is_written_as_people_do():
    assert _rate(F(24000, 1001)) == "23.976"
    assert _rate(F(25)) == "25"
    assert "13.7" in _rate(F(137, 10))


def test_where_a_clips_recording_lies():
    plan = small_plan()
    taken = replace(plan.lines[0], take="scratch/a.wav", take_start=F(3))
    plan = replace(plan, lines=(taken, *plan.lines[1:]))
    one = Checker(plan, Path())
    # The line begins at 1 s, this clip's speech at 1.5: half a second into the take.
    assert one._reference_place(clip_of(speech_start=F(3, 2))) == ("scratch/a.wav", F(7, 2))
    assert one._reference_place(clip_of("C03")) is None
    sung = clip_of("C04")
    assert one._reference_place(replace(sung, speech_start=F(25, 2))) == ("songs/out-and-in.ogg", F(1, 2))
    one.source = lambda _: np.arange(1, 10 * HZ + 1, dtype=np.int32)
    wanted = one._reference(clip_of(speech_start=F(1), head=F(1, 2), speech=F(1)))
    assert (wanted[: HZ // 2] == 0).all()
    assert wanted[HZ // 2 :].tolist() == list(range(3 * HZ + 1, 4 * HZ + 1))
    assert one._reference(clip_of(speech_start=F(90))) is None


# Verdicts and lists.


def test_badness_is_findings_then_words_then_sync():
    def badness(*found, **more):
        return Check("a", "C01", findings=tuple(Finding(c, "x") for c in found), **more).badness

    assert badness(confidence=1.0) == 0
    assert badness() == 2
    assert badness(confidence=0.75, shift_frames=-3.0) == pytest.approx(0.5 + 0.3)
    assert badness(FindingCode.WRONG_LINE, FindingCode.NOT_SAID, FindingCode.SHIFT, confidence=1.0) == 135
    assert badness(FindingCode.OUTDATED, confidence=1.0) == 300
    for code in (FindingCode.CUT_OFF_END, FindingCode.CUT_OFF_START):
        assert badness(code, confidence=1.0) == 30
    for code in (FindingCode.SILENT, FindingCode.UNREADABLE):
        assert badness(code, confidence=1.0) == 100


def test_takes_are_counted_and_the_least_bad_is_the_best():
    made = [
        Check("clips/C02.mp4", "C02", confidence=0.9),
        Check("clips/C01 10.mp4", "C01", confidence=0.9),
        Check("clips/C01 2.mp4", "C01", confidence=0.8),
        Check("clips/x.mp4", None),
        Check("clips/C01 11.mp4", "C01", confidence=0.9),
    ]
    found = with_best(made, ["C01", "C02"], {})
    assert [(c.file, c.take, c.is_best) for c in found] == [
        ("clips/C01 2.mp4", 1, False), ("clips/C01 10.mp4", 2, True), ("clips/C01 11.mp4", 3, False),
        ("clips/C02.mp4", 1, True), ("clips/x.mp4", 1, False),
    ]  # fmt: skip
    for name in ("C01 2.mp4", "clips/C01 2.mp4"):
        assert [c.file for c in with_best(made, ["C01", "C02"], {"C01": name}) if c.is_best] == [
            "clips/C01 2.mp4",
            "clips/C02.mp4",
        ]


def test_a_verdict_is_whole_where_its_words_can_be_taken():
    whole = Check("a", "C01", heard=heard_of(SEA))
    assert whole.is_whole
    assert not Check("a", "C01").is_whole
    for code in (FindingCode.CLIPPED, FindingCode.DAMAGED, FindingCode.OUTDATED, FindingCode.WRONG_LINE):
        assert not replace(whole, findings=(Finding(code, "x"),)).is_whole
    assert replace(whole, findings=(Finding(FindingCode.SHIFT, "x"),)).is_whole
    for code in (FindingCode.UNCLEAR, FindingCode.ROUGH):
        unclear = replace(whole, heard=heard_of(SEA, findings=[Finding(code, "x")]))
        assert not unclear.is_whole
        assert replace(unclear, is_pinned=True).is_whole
        assert not replace(unclear, is_pinned=True, findings=(Finding(FindingCode.OUTDATED, "x"),)).is_whole
    assert not Check("a", "C01", is_pinned=True).is_whole


def test_three_lists_by_hand():
    plan = small_plan()
    wrong = Finding(FindingCode.WRONG_LINE, "x", {"clip": "C03"})
    made = [
        Check(
            "clips/C01.mp4",
            "C01",
            frames=48,
            confidence=0.59,
            is_best=True,
            findings=(Finding(FindingCode.SHIFT, "x"),),
        ),
        Check("clips/C01 2.mp4", "C01", frames=48, confidence=0.6),
        Check(
            "clips/C03.mp4", "C03", heard=heard_of(SEA, "0.25", "0.25"), confidence=0.9, findings=(wrong,), is_best=True
        ),
        Check("clips/C03 2.mp4", "C03", confidence=0.1, is_pinned=True),
        Check("clips/C02.mp4", "C02", is_best=True),
        Check("clips/sea.mp4", None, frames=120),
        Check("clips/air.mp4", None),
    ]
    found = three_lists(plan, made)
    assert found.placed == ("C02",)
    assert [(u.file, u.other, u.why) for u in found.unsure] == [
        ("clips/C01.mp4", None, "its words fit badly"), ("clips/C03.mp4", "C03", "its words are those of C03"),
    ]  # fmt: skip
    assert found.unsure[0].rows == (f"0.000\t2.000\t1: {SEA}",)
    assert found.unsure[1].rows[0].startswith("0.250\t2.000\t3: Où va")
    assert [(f.file, f.seconds, f.nearest) for f in found.left_over] == [
        ("clips/sea.mp4", 5.0, ()),
        ("clips/air.mp4", None, ()),
    ]
    no_times = three_lists(plan, [Check("clips/C01.mp4", "C01", confidence=0.1)])
    assert no_times.unsure[0].rows == ()


def test_the_nearest_clips_of_a_left_over_are_three_by_their_length():
    texts = ["a b c d e f g h i j", "a", "a b c d", "a b c d e f", "a b"]
    lines = [line(str(n), text, 10 * n, AT_24) for n, text in enumerate(texts, 1)]
    plan = plan_of(lines)
    asked = {c.id: float(c.ask) for c in plan.clips}
    (left,) = three_lists(plan, [Check("clips/x.mp4", None, frames=round(24 * asked["C04"]))]).left_over
    wanted = sorted(asked, key=lambda i: abs(asked[i] - left.seconds))[:3]
    assert list(left.nearest) == wanted
    assert asked[left.nearest[0]] == asked["C04"]
    (left,) = three_lists(plan, [Check("clips/x.mp4", None, frames=240), Check("clips/C04.mp4", "C04")]).left_over
    assert "C04" not in left.nearest  # something came back for it


def test_a_row_beside_a_file_says_which_clip_it_is():
    plan = small_plan()
    row = Label(F(0), F(1), "3: Où va la mer, Bram?", None)
    assert clip_meant(plan, [row], "C01") == "C03"
    assert clip_meant(plan, [row], "C03") == "C03"
    assert clip_meant(plan, [], "C01") == "C01"
    assert clip_meant(plan, [Label(F(0), F(1), "4: Out and in, out and in", None)], "C01") == "C01"  # sung


def test_files_by_clip_with_their_short_sums(tmp_path):
    (tmp_path / "a.mp4").write_bytes(b"abc")
    files = [ClipFile(tmp_path / "a.mp4", "clips/a.mp4", "C01"), ClipFile(tmp_path / "a.mp4", "clips/b.mp4", None)]
    # SHA-256 of "abc": FIPS 180-2, example B.1.
    assert by_clip(files) == {"C01": {"clips/a.mp4": "ba7816bf"}}
    assert ClipFile(tmp_path / "none", "n", None).content == ""


@pytest.mark.parametrize(
    ("stem", "clip"),
    [
        ("C4", "C04"), ("c04-2", "C04"), ("C05-1", "C05.1"), ("C05.2", "C05.2"), ("C05.3", None), ("xC04", None),
        ("C04 C05.1", None), ("C041", None), ("C12a", "C12A"), ("C04b", None), ("take_C04_final", "C04"),
    ],
)  # fmt: skip
def test_ids_in_names(stem, clip):
    assert clip_in_name(stem, ["C04", "C05.1", "C05.2", "C12A"]) == clip


def test_the_words_of_a_clip_as_an_utterance():
    plan = small_plan()
    part = clip_of("C03", words=(1, 3))
    made = clip_utterance(plan, part)
    assert made.text == "va la"
    assert [(w.text, w.start, w.end) for w in made.words] == [("va", 0, 2), ("la", 3, 5)]
    both = clip_of("C01", lines=("1", "3"), words=(0, 2))
    assert clip_utterance(plan, both).text.startswith("The sea Où va la mer, Bram?")


# Sync: outlines, peaks, lines.


def test_an_outline_by_hand():
    """Windows of 160 each 40 samples; 40 dB below the 98th percentile is 0, that itself 1."""
    samples = np.full(8000, 1000, np.int16)
    samples[4000:] = 100  # 20 dB less
    found = sync.outline(samples)
    assert len(found) == (8000 - 160) // 40 + 1
    assert found[50] == pytest.approx(1, abs=1e-6)
    assert found[150] == pytest.approx(0.5, abs=1e-3)
    assert found[98] == pytest.approx(
        (10 * np.log10((2 * 1e6 + 2 * 1e4) / 4) - 60 + 40) / 40, abs=1e-3
    )  # half and half
    assert sync.outline(samples[: 160 + 39 * 40]) is not None
    assert sync.outline(samples[: 160 + 39 * 40 - 1]) is None
    assert sync.outline(np.full(8000, 9, np.int16)) is None  # 10 log10(82) = 19.1 dB
    assert sync.outline(np.full(8000, 10, np.int16)) is not None  # 20.04 dB


def test_the_top_of_a_parabola():
    # y = -(x - 0.3)^2 at -1, 0, 1.
    values = np.array([-1.69, -0.09, -0.49])
    assert sync._peak(values, 1) == pytest.approx(0.3)
    assert sync._peak(values, 0) == sync._peak(values, 2) == 0
    assert sync._peak(np.array([1.0, 1, 1]), 1) == 0
    assert sync._peak(np.array([0.0, 1, 2]), 1) == 0
    assert sync._peak(np.array([0.0, 1.0, 1.999]), 1) == 0.5
    assert sync._peak(np.array([1.999, 1.0, 0.0]), 1) == -0.5


@pytest.mark.parametrize("shift", [-30, 0, 7, 90])
def test_the_best_shift_is_numpys(shift):
    dice = np.random.default_rng(3)
    a = np.convolve(dice.uniform(0, 1, 400), np.ones(9) / 9, "same")
    b = np.roll(np.pad(a, (0, 60)), shift)
    x, y = a - a.mean(), b - b.mean()
    cross = np.correlate(y, x, "full")
    lags = np.arange(-len(a) + 1, len(b))
    inside = np.abs(lags) <= 100
    assert abs(sync._best(a, b, 100) - lags[inside][cross[inside].argmax()]) <= 0.5
    assert sync._best(a, b, 100) == pytest.approx(shift, abs=0.5)
    if abs(shift) == 90:
        assert abs(sync._best(a, b, 80)) <= 80.5


def test_likeness_is_the_correlation_of_what_lies_there():
    dice = np.random.default_rng(5)
    speech, other = dice.uniform(0, 1, 50), dice.uniform(0, 1, 80)
    assert sync._likeness(speech, other, 10) == pytest.approx(np.corrcoef(speech, other[10:60])[0, 1])
    before = np.concatenate([np.zeros(20), other[:30]])
    assert sync._likeness(speech, other, -20) == pytest.approx(np.corrcoef(speech, before)[0, 1])
    behind = np.concatenate([other[60:], np.zeros(30)])
    assert sync._likeness(speech, other, 60) == pytest.approx(np.corrcoef(speech, behind)[0, 1])
    assert sync._likeness(speech, other, 90) == 0


def test_a_line_through_shifts_by_medians():
    """Points 80 steps apart on y = 3 + 0.01 x, one of them far off: pairs at least 140 apart count.

    The residuals but for one are 0, so the error is that of 0.4 steps: 0.4 over the root of the squares of the
    distances from the middle (80^2 x (4 + 1 + 0 + 1 + 4)) times 0.2 / 0.7.
    """
    points = [(80.0 * n, 3 + 0.8 * n + (9 if n == 3 else 0)) for n in range(5)]
    found = sync._line(points, 160.0)
    assert found.slope == pytest.approx(0.01)
    assert found.middle == pytest.approx(3 + 1.6)
    assert found.deviation == pytest.approx(0, abs=1e-9)
    assert found.error == pytest.approx(0.4 / np.sqrt(80**2 * 10 * 0.2 / 0.7))
    assert sync._line([(0.0, 1.0), (139.0, 2.0)], 0.0) is None
    assert sync._line([(0.0, 1.0), (140.0, 2.4)], 0.0).slope == pytest.approx(0.01)
    spread = sync._line([(0.0, 0.0), (200.0, 3.0), (400.0, 0.0), (600.0, 3.0), (800.0, 0.0)], 0.0)
    assert spread.deviation == pytest.approx(
        1.4826
        * np.median(
            np.abs(
                np.array([0, 3, 0, 3, 0])
                - spread.slope * np.arange(0, 801, 200)
                - np.median(np.array([0, 3, 0, 3, 0]) - spread.slope * np.arange(0, 801, 200))
            )
        )
    )


def test_pieces_are_found_again_where_they_lie():
    dice = np.random.default_rng(9)
    a = np.convolve(dice.uniform(0, 1, 700), np.ones(5) / 5, "same")
    b = np.concatenate([np.zeros(30), a])
    found = sync._pieces(a, b, 28.0, 0, 699)
    # 0.7 s are 280 steps, one each 80; 0.12 s are 48 steps of reach.
    assert [middle for middle, _ in found] == [140 + 80 * n for n in range(6)]
    assert [shift for _, shift in found] == pytest.approx([30] * 6, abs=0.02)
    assert [s for _, s in sync._pieces(a, b, -17.0, 0, 699)] == pytest.approx([30] * 6, abs=0.02)
    assert sync._pieces(a, b, -20.0, 0, 699) == []  # 50 steps away
    assert sync._pieces(np.zeros(700), b, 0.0, 0, 699) == []


# A converted voice.


def test_bands_of_the_mel_scale():
    """22 edges from 80 to 7,600 Hz; the middle of each triangle is 1 and lies where the next one begins."""
    filters = conversion._filters()
    assert filters.shape == (257, 20)
    mel = np.linspace(*(2595 * np.log10(1 + np.array([80, 7600]) / 700)), 22)
    centres = 700 * (10 ** (mel[1:-1] / 2595) - 1) * 512 / 16000
    weights = filters / filters.sum(axis=0)
    assert (np.arange(257)[:, None] * weights).sum(axis=0)[6:] == pytest.approx(centres[6:], rel=0.05)
    assert filters.max() <= 1


def test_levels_above_silence_by_hand():
    tone = np.round(5000 * np.sin(2 * np.pi * 1000 * np.arange(HZ) / HZ)).astype(np.int16)
    tone[HZ // 2 :] = np.round(tone[HZ // 2 :] / 10)
    found = conversion._levels(tone)
    assert found.shape == (20, (HZ - 320) // 32 + 1)
    band = found[:, 50].argmax()
    assert found[band, 50] - found[band, 400] == pytest.approx(20, abs=0.1)
    assert found.min() == 0
    assert conversion._levels(tone[: 320 + 32 * 199]) is not None
    assert conversion._levels(tone[: 320 + 32 * 199 - 1]) is None  # 0.4 s
    assert conversion._levels(np.zeros(HZ, np.int16)) is None


def test_levels_are_placed_stretched_and_cut():
    levels = np.arange(1, 11, dtype=float)[None].repeat(3, 0) + np.array([[0], [100], [200]])
    assert conversion._placed(levels, 2, 4)[0].tolist() == [3, 4, 5, 6]
    assert conversion._placed(levels, -2, 4)[0].tolist() == [0, 0, 1, 2]
    assert conversion._placed(levels, 8, 4)[1].tolist() == [109, 110, 0, 0]
    assert conversion._placed(levels, 20, 4).tolist() == [[0] * 4] * 3
    assert conversion._stretched(levels, 1.5, 0.5, 4)[0].tolist() == [2.5, 4.0, 5.5, 7.0]
    assert conversion._stretched(levels, -1, 0, 3)[0].tolist() == [0, 1, 2]
    assert conversion._stretched(levels, 8.5, 0, 3)[0].tolist() == [9.5, 0, 0]
    assert conversion._cut(levels, 1)[:, 0].tolist() == [101, 201]
    assert conversion._cut(levels, -1)[:, 0].tolist() == [1, 101]
    assert conversion._cut(levels, 0)[:, 0].tolist() == [1, 101, 201]
    assert conversion._risen(levels)[0].tolist() == [0, 0, 4, 4, 4, 4, 4, 4, 0, 0]


def test_formants_are_moved_by_whole_bands():
    dice = np.random.default_rng(2)
    a = np.cumsum(dice.normal(size=(20, 300)), axis=0)
    for bands in (-6, -2, 0, 3, 6):
        b = dice.normal(size=(20, 300))
        source = a[max(0, -bands) : 20 + min(0, -bands)]
        b[max(0, bands) : 20 + min(0, bands)] = source
        assert conversion._formants(a, b) == bands
    x, y = dice.normal(size=(2, 50)), dice.normal(size=(2, 50))
    flat = [v - v.mean(axis=1, keepdims=True) for v in (x, y)]
    assert conversion._alike(x, y) == pytest.approx(
        (flat[0] * flat[1]).sum() / np.linalg.norm(flat[0]) / np.linalg.norm(flat[1])
    )


@pytest.mark.parametrize("shift", [-1249, -3, 0, 40, 1249])
def test_the_coarse_shift_is_that_of_the_whole_up_to_two_and_a_half_seconds(shift):
    a = np.zeros(3000)
    a[1400:1500] = np.random.default_rng(1).uniform(1, 2, 100)
    assert conversion._coarse(a, np.roll(a, shift)) == shift
    assert abs(conversion._coarse(a, np.roll(a, 1300))) <= 1250


def test_pieces_of_a_conversion_are_highest_at_their_shift():
    dice = np.random.default_rng(4)
    a = np.apply_along_axis(lambda row: np.convolve(row, np.ones(5) / 5, "same"), 1, dice.normal(size=(6, 700)))
    b = np.pad(a, ((0, 0), (25, 0)))
    middles, sums = conversion._pieces(a, b, 22, 100, 600)
    # 0.3 s are 150 steps, one each 50, from half a piece before the first sound on; reach 15 + 0.02 x 500.
    assert middles.tolist() == [100.0 + 50 * n for n in range(10)]
    reach = 25
    assert sums.shape == (10, 2 * reach * 8 + 1)
    assert (sums.argmax(axis=1) / 8 - reach).tolist() == pytest.approx([3] * 10, abs=0.13)
    start = 225
    weight = np.hanning(152)[1:-1]
    piece = (a[:, start : start + 150] - a[:, start : start + 150].mean(axis=1, keepdims=True)) * weight
    there = (piece * b[:, start + 25 : start + 175]).sum()
    assert sums[4, (reach + 3) * 8] * 8 == pytest.approx(there, rel=2e-3)


def hills(middles, offset, slope, reach=25, width=3.0, heights=None):
    lags = np.arange(2 * reach * 8 + 1) / 8 - reach
    rows = np.exp(-(((lags[None] - offset - slope * middles[:, None]) / width) ** 2))
    return rows * (np.ones(len(middles)) if heights is None else heights)[:, None]


@pytest.mark.parametrize(("offset", "slope"), [(0.0, 0.0), (3.4, 0.004), (-7.1, -0.0171), (12.0, 0.0003)])
def test_one_line_is_laid_through_all_pieces(offset, slope):
    middles = np.arange(-500, 501, 50.0)
    found = conversion._line(middles, hills(middles, offset, slope), True)
    assert found == pytest.approx((offset, slope), abs=0.05)
    assert found[1] == pytest.approx(slope, abs=0.0001)
    assert conversion._line(middles[9:12], hills(middles[9:12], offset, 0.0), False) == pytest.approx(
        (offset, 0), abs=0.05
    )


def test_how_many_pieces_agree_with_the_line():
    # Nine pieces on the line, one 5 steps off it: of ten alike nine agree. One 3 steps off agrees.
    middles = np.arange(10) * 50.0 - 225
    rows = hills(middles, 2.0, 0.0)
    rows[3] = hills(middles[3:4], 7.0, 0.0)[0]
    assert conversion._agreement(middles, rows, 2.0, 0.0) == pytest.approx((0.9, 0.0), abs=1e-6)
    rows[3] = hills(middles[3:4], 5.0, 0.0)[0]
    assert conversion._agreement(middles, rows, 2.0, 0.0)[0] == pytest.approx(1)
    heights = np.ones(10)
    heights[3] = 4.0
    rows = hills(middles, 2.0, 0.0, heights=heights)
    rows[3] = 4 * hills(middles[3:4], 8.0, 0.0)[0]
    assert conversion._agreement(middles, rows, 2.0, 0.0)[0] == pytest.approx(9 / 13)
    off = hills(middles, 2.5, 0.0)
    assert conversion._agreement(middles, off, 2.0, 0.0)[1] == pytest.approx(1.4826 * 0.5, abs=0.01)


PLAIN = Conversion(0.0, 0.0, 0.0001, 0.9, 0.9, 0.5, 2.5)


@pytest.mark.parametrize(
    ("change", "longer", "found"),
    [
        ({}, 0, []),
        ({}, F(3, 20), []),
        ({}, F(151, 1000), ["voice-length"]),
        ({}, F(-151, 1000), ["voice-length"]),
        ({"drift": 0.49 / 48}, 0, []),  # over two seconds, in frames of 24
        ({"drift": 0.51 / 48}, 0, ["voice-drift"]),
        ({"drift": -0.51 / 48}, 0, ["voice-drift"]),
        ({"drift": 0.02, "drift_error": 0.0101}, 0, []),
        ({"drift": 0.02, "drift_error": 0.0099}, 0, ["voice-drift"]),
        ({"delay_s": 0.99 / 24}, 0, []),
        ({"delay_s": 1.01 / 24}, 0, ["voice-shift"]),
        ({"delay_s": -1.01 / 24}, 0, ["voice-shift"]),
        (
            {"delay_s": 0.9 / 24, "drift": 0.01, "drift_error": 0.01},
            0,
            ["voice-shift"],
        ),  # 0.9 and 0.12 at its first sound
    ],
)
def test_what_is_told_of_a_voice(change, longer, found):
    got = voices._findings(small_plan(), Voice("clips/C01 voice.wav"), replace(PLAIN, **change), F(longer))
    assert codes(got) == found


def test_figures_of_a_voice():
    plan, voice = small_plan(), Voice("clips/C01 voice.wav")
    longer, drift, shift = voices._findings(plan, voice, replace(PLAIN, delay_s=0.1, drift=0.02), F(1, 2))
    assert longer.message == "C01 voice.wav: is 0.50 s longer than the clip it was made from; see what was added"
    assert "runs 2.00 % slow against its clip, 1.0 frames from first to last sound" in drift.message  # 0.02 x 2 s x 24
    assert "is 2.6 frames late" in shift.message  # (0.1 + 0.02 x 0.5) x 24 = 2.64
    assert (longer.facts["seconds"], drift.facts["drift"], shift.facts["frames"]) == (0.5, 0.02, 2.64)
    shorter, drift, shift = voices._findings(plan, voice, replace(PLAIN, delay_s=-0.1, drift=-0.02), F(-1, 2))
    assert "is 0.50 s shorter than the clip it was made from; see what is lacking" in shorter.message
    assert "2.00 % fast" in drift.message
    assert "2.6 frames early" in shift.message


@pytest.mark.parametrize(("likeness", "agreed", "same"), [(0.75, 0.85, True), (0.74, 0.9, False), (0.9, 0.84, False)])
def test_a_conversion_is_alike_and_its_pieces_agree(likeness, agreed, same):
    assert voices.is_same_reading(replace(PLAIN, likeness=likeness, agreed=agreed)) is same


def test_which_voice_is_used_and_what_it_is_held_against(monkeypatch):
    plan = small_plan()
    files = [
        ClipFile(Path(f"{n}.wav"), f"clips/{n}.wav", c, True)
        for n, c in (("C01 voice 2", "C01"), ("C01 voice", "C01"), ("C03 voice", "C03"), ("x", None))
    ]
    takes = [Check("clips/C01 2.mp4", "C01"), Check("clips/C01.mp4", "C01", is_best=True)]
    other = {"clips/C01 2.mp4"}
    monkeypatch.setattr(
        voices,
        "_compared",
        lambda folder, file, take, store: (
            replace(PLAIN, delay_s=0.0123456, likeness=0.5 if take.file in other else 0.87654),
            F(0),
        ),
    )
    found = voices.check_voices(plan, Path(), files, takes, Store(), {})
    assert [(v.clip, v.of, v.voice.file, v.voice.is_used) for v in found] == [
        ("C01", "clips/C01.mp4", "clips/C01 voice.wav", False),
        ("C01", "clips/C01.mp4", "clips/C01 voice 2.wav", True),
        ("C03", None, "clips/C03 voice.wav", False),
    ]
    assert codes(found[1].voice) == ["voices-several"]
    assert (found[1].voice.delay, found[1].voice.likeness) == (F(12346, 1_000_000), 0.877)
    assert codes(found[2].voice) == ["voice-alone"]
    wished = voices.check_voices(plan, Path(), files, takes, Store(), {"C01": "C01 voice.wav"})
    assert [(v.voice.file, v.voice.is_used, codes(v.voice)) for v in wished[:2]] == [
        ("clips/C01 voice.wav", True, []), ("clips/C01 voice 2.wav", False, []),
    ]  # fmt: skip
    other.clear()
    other.add("clips/C01.mp4")  # it is the voice of a take that does not count
    found = voices.check_voices(plan, Path(), files, takes, Store(), {})
    assert (found[0].of, codes(found[0].voice)) == ("clips/C01 2.mp4", ["voice-other-reading"])
    assert "is the voice of C01 2.mp4, and C01.mp4 is the take that counts" in found[0].voice.findings[0].message
    other.add("clips/C01 2.mp4")
    found = voices.check_voices(plan, Path(), files, takes, Store(), {})
    assert "is another reading of the line than C01.mp4" in found[0].voice.findings[0].message
    missing = voices.check_voices(plan, Path(), files, takes, Store(), {"C02": "C02 voice.wav"})
    assert codes(next(v for v in missing if v.clip == "C02").voice) == ["voice-alone"]


def test_a_sung_or_pictured_clip_is_not_followed_word_by_word():
    plan = small_plan()
    assert {c.id: c.kind for c in plan.clips}["C04"] is LineKind.SUNG
    one = checker(plan)
    one._spoken = None  # would fail
    sound = Sound(np.round(8000 * np.sin(np.arange(HZ) / 5)).astype(np.int16))
    check = one._sounding(Check("a", "C04"), clip_of("C04"), sound)
    assert (check.shift_frames, codes(check)) == (None, [])
    silent = one._sounding(Check("a", "C04"), clip_of("C04"), Sound(np.zeros(HZ, np.int16)))
    assert codes(silent) == ["silent"]
