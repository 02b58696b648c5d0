"""Lines on the clock and clips on the screen, with every moment worked out by hand; 24 frames a second.

Words of 0.4 s each; gaps of 0.6 s between speeches, 1.5 s between scenes, pictures of 3 s, handles 0.25 and 0.35 s.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from types import SimpleNamespace

import pytest

from tests.export.plans import clip_of, line, words
from timing.clips.plan import Handles, clip_id, cut_places, on_screen, plan_clips
from timing.episode.frame_edges import framed
from timing.episode.placing import Draft, _shown, _silence, _word_at, place_lines
from timing.model import (
    Break,
    LineKind,
    NotedLength,
    Origin,
    Passage,
    PauseMark,
    ScriptLine,
    Song,
    TimedLine,
    TimedSyllable,
    TimedWord,
    Where,
)
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.metre import Metre
from timing.model.settings import ClipProfile, EpisodeSettings

RATE = FrameRate(F(24))


def song_of(seconds, **more):
    """A song in 4/4 at 120: a beat of half a second, a bar of two."""
    beats = tuple(F(n, 2) for n in range(2 * seconds + 1))
    return Song("sea", F(120), Metre(4, 4), F(0), F(seconds), beats, beats[::4], Origin.FITTED, **more)


PLAIN = EpisodeSettings()
HERE = Where("s", 1)


# --- frames of syllables -----------------------------------------------------------------------------------------


def line_at(*edges):
    """One syllable after another, from edge to edge, in frames; a pair is a rest."""
    made = []
    for start, end in edges:
        syllable = TimedSyllable("a", F(start) / 24, F(end) / 24, Origin.MEASURED)
        made.append(TimedWord("a", "a", (syllable,)))
    return TimedLine(tuple(made), Origin.MEASURED, F(1), F(1))


@pytest.mark.parametrize(
    ("edges", "frames"),
    [
        ([("0", "4"), ("4.2", "8")], [(0, 4), (4, 8)]),  # a rest under half a frame is none
        ([("0", "4"), ("4.6", "8")], [(0, 4), (5, 8)]),
        # an edge at 4.4 and one at 4.45: 4 and 5 are 0.4 + 0.55 away, 3 and 4 would be 1.4 + 0.45
        ([("0", "4.4"), ("4.4", "4.45"), ("4.45", "8")], [(0, 4), (4, 5), (5, 8)]),
        ([("0", "3.55"), ("3.55", "3.6"), ("3.6", "8")], [(0, 3), (3, 4), (4, 8)]),
        ([("0", "0.2"), ("0.2", "8")], [(0, 1), (1, 8)]),  # the first edge stays
        ([("0", "7.9"), ("7.9", "8")], [(0, 7), (7, 8)]),  # so does the last
        ([("0", "1"), ("1", "1.4"), ("1.4", "2")], [(0, 1), (1, 2), (2, 3)]),  # three syllables in two frames: it grows
        ([("0", "1.4"), ("1.4", "1.45"), ("1.45", "3")], [(0, 1), (1, 2), (2, 3)]),  # in three: each has one
        (
            [("0", "0.1"), ("0.1", "0.2"), ("0.2", "0.3"), ("0.3", "0.4"), ("0.4", "8")],
            [(0, 1), (1, 2), (2, 3), (3, 4), (4, 8)],
        ),
        ([("0", "0.1"), ("0.3", "0.4"), ("5", "6")], [(0, 1), (1, 2), (5, 6)]),
    ],
)
def test_edges_move_as_little_as_they_must(edges, frames):
    made = framed(line_at(*edges), RATE)
    assert [(s.start_frame, s.end_frame) for s in made.syllables] == frames


# --- lines on the clock -------------------------------------------------------------------------------------------


def timed(count, start="0"):
    made = words(" ".join(["sea"] * count), F(start))
    return TimedLine(made, Origin.ESTIMATED, made[-1].end - made[0].start, made[-1].end - made[0].start)


def speech(line_id, count=5, **more):
    drafted = {k: more.pop(k) for k in ("gap", "reach", "delivered", "song") if k in more}
    text = " ".join(["sea"] * count)
    script = ScriptLine(LineKind.SUNG if "song" in drafted else LineKind.SPOKEN, text, HERE, "TANSY", **more)
    return Draft(line_id, script, text, timed(count), **drafted)


def picture(line_id, length=None, **more):
    return Draft(line_id, ScriptLine(LineKind.PICTURE, "A wave.", HERE, None, length=length, **more), "A wave.")


def spans(drafts, songs=None, settings=PLAIN):
    placed, _ = place_lines(drafts, songs or {}, settings)
    return [(p.start_frame, p.end_frame) for p in placed]


def test_speeches_follow_with_the_gap_of_their_scene():
    # 0.25 s of head are 6 frames; 2 s; the gap of 0.6 s ends at 2.85 s, frame 68.4, of a new scene at 3.75 s, frame 90
    assert spans([speech("1"), speech("2")]) == [(6, 54), (68, 116)]
    assert spans([speech("1"), speech("2", scene="ROCK")]) == [(6, 54), (90, 138)]
    assert spans([speech("1", scene="ROCK"), speech("2", scene="ROCK")]) == [(6, 54), (68, 116)]
    assert spans([speech("1"), speech("2", gap=F(1))]) == [(6, 54), (78, 126)]  # a gap of its own: 3.25 s
    assert spans([speech("1"), speech("2", is_dual=True)]) == [(6, 54), (6, 54)]


def test_silence_written_at_the_edges_of_a_speech_lengthens_the_gap():
    behind, before = PauseMark(len("sea sea sea sea sea"), F(1, 2)), PauseMark(0, F(1, 4))
    # 2.25 + 0.6 + 0.5 s = 3.35: 80.4 frames; with 0.25 s more 3.6: 86.4
    assert spans([speech("1", pauses=(behind,)), speech("2")])[1] == (80, 128)
    assert spans([speech("1", pauses=(behind,)), speech("2", pauses=(before,))])[1] == (86, 134)
    assert spans([speech("1", pauses=(before,))]) == [(12, 60)]  # 0.25 s of head and 0.25 s
    # behind the last word a picture waits for it too: 2.25 + 0.35 + 0.5 s = 3.1 s, frame 74.4
    assert spans([speech("1", pauses=(behind,)), picture("2")])[1] == (74, 146)


@pytest.mark.parametrize(
    ("length", "frames"),
    [(None, 72), (NotedLength(F(2), "s"), 48), (NotedLength(F(36), "frames"), 36), (NotedLength(F(2), "bars"), 96)],
)
def test_a_picture_lasts_as_long_as_it_is_noted(length, frames):
    # the song of the episode has two bars of 4/4 at 120: 4 s
    song = song_of(4)
    start, end = spans([picture("1", length)], {"sea": song})[0]
    assert (start, end - start) == (0, frames)


def test_a_picture_begins_where_the_handle_ends_and_a_speech_behind_it_with_its_own():
    # 2.25 + 0.35 = 2.6 s, frame 62.4; 3 s; then 0.25 s of head: 5.85 s, frame 140.4
    assert spans([speech("1"), picture("2"), speech("3")]) == [(6, 54), (62, 134), (140, 188)]
    assert spans([picture("1"), picture("2")]) == [(0, 72), (72, 144)]


def test_a_sound_cue_is_one_frame_and_takes_no_time():
    cue = picture("2", passage=Passage.SOUND)
    assert spans([speech("1"), cue, speech("3")]) == [(6, 54), (62, 63), (68, 116)]
    within = picture("2", passage=Passage.SOUND, at_offset=5)  # before the third word: 0.25 + 0.8 s, frame 25.2
    assert spans([speech("1"), within])[1] == (25, 26)
    mark = place_lines([speech("1"), within], {}, PLAIN)[0][1]
    assert (mark.start, mark.end, mark.length, mark.high) == (F("1.05"), F("1.05") + F(1, 24), F(1, 24), F(1, 24))


def test_lines_of_a_song_hang_on_its_bars():
    song = song_of(8, file="songs/sea.ogg")
    first, second = speech("1", song="sea"), replace(speech("2", song="sea"), timed=timed(5, "4"))
    # the song begins at frame 0; lines at its 0 and 4 s
    assert spans([first, second], {"sea": song}) == [(0, 48), (96, 144)]
    # after a speech it begins a gap later (2.85 s, frame 68); after the song, which lasts 8 s, the next gap
    assert spans([speech("0"), first, second], {"sea": song})[1:] == [(68, 116), (164, 212)]
    after = spans([first, second, speech("3")], {"sea": song})[2]
    assert after == (206, 254)  # 8.6 s: 206.4
    bare = replace(song, file=None)  # without a recording the last line's end counts: 6 s and the gap
    assert spans([first, second, speech("3")], {"sea": bare})[2] == (158, 206)
    # between its lines a picture has what the bars leave: from 2.35 s to 3.75 s
    assert spans([first, picture("2"), second], {"sea": song})[1] == (56, 90)
    # ... where that is half a second at least: the second line at 3.2 s leaves 0.6 s, at 3 s 0.4 s
    for begins, frames in (("3.2", (56, 71)), ("3", (72, 120))):
        later = replace(second, timed=timed(5, begins))
        assert spans([first, picture("2"), later], {"sea": song})[1] == frames, begins


@pytest.mark.parametrize(
    ("silence", "tail", "head", "back", "shown"),
    [
        ("0.6", "0.25", "0.125", (True, True), "0.375"), ("0.6", "0.25", "0.125", (True, False), "0.375"),
        ("0.6", "0.25", "0.125", (False, True), "0.375"), ("0.6", "0.25", "0.125", (False, False), "0.6"),
        ("0.874", "0.25", "0.125", (True, True), "0.375"), ("0.875", "0.25", "0.125", (True, True), "0.875"),
        ("0.376", "0.25", "0.125", (True, True), "0.375"), ("0.375", "0.25", "0.125", (True, True), "0.375"),
        ("0.3", "0.25", "0.125", (True, True), "0.3"),
    ],
)  # fmt: skip
def test_a_pause_between_takes_is_what_they_show_unless_half_a_second_would_be_black(silence, tail, head, back, shown):
    before = SimpleNamespace(reach=(F(9), F(tail)), delivered=back[0])
    after = SimpleNamespace(reach=(F(head), F(9)), delivered=back[1])
    assert _shown(F(silence), before, after) == F(shown)
    assert _shown(F(silence), None, after) == F(silence)
    assert _shown(F(silence), SimpleNamespace(reach=None, delivered=True), after) == F(silence)
    assert _shown(F(silence), before, SimpleNamespace(reach=None, delivered=True)) == F(silence)


def test_only_silence_at_the_edges_counts():
    marks = tuple(PauseMark(offset, F(length)) for offset, length in ((0, 1), (3, 2), (19, 4), (25, 8)))
    draft = speech("1", pauses=marks)  # 19 letters
    assert (_silence(draft, at_end=False), _silence(draft, at_end=True)) == (1, 12)


@pytest.mark.parametrize(("offset", "index"), [(0, 0), (1, 1), (4, 1), (5, 2), (8, 2), (9, 2), (99, 2)])
def test_the_word_at_a_place(offset, index):
    one = line("1", "sea sea sea", 1, RATE)
    assert _word_at(one, offset) is one.words[index]


# --- clips on the screen ----------------------------------------------------------------------------------------------


def shown(lines, settings=PLAIN, handles=None):
    clips = [clip_of(one, RATE, settings.profile_of(one)) for one in lines]
    return on_screen(clips, lines, settings, {}, handles)


def test_neighbours_share_the_pause_between_them_by_their_handles():
    # sounds end at 3 s and begin at 3.4 s: 0.4 s, of which the tail wants 0.35 and the head 0.25: 7 to 5
    a, b = shown([line("1", "sea sea sea sea sea", 1, RATE), line("2", "sea sea sea sea sea", F("3.4"), RATE)])
    assert a.end == b.start == 3 + F("0.4") * F(7, 12)
    assert (a.start, b.end) == (F("0.75"), F("5.75"))


def test_a_gap_up_to_a_frame_is_the_earlier_clips_and_one_of_half_a_second_stays():
    def gap(seconds):
        a, b = shown(
            [line("1", "sea sea sea sea sea", 1, RATE), line("2", "sea sea sea sea sea", F("3.6") + F(seconds), RATE)]
        )
        return a.end - F("3.35"), F("3.35") + F(seconds) - b.start

    assert gap("0.04") == (F("0.04"), 0)
    assert gap(F(1, 24)) == (F(1, 24), 0)
    assert gap("0.3") == (F("0.3"), 0)  # both ask for 3 s and need 2.6: 0.4 s to spare behind the first
    assert gap("0.45") == (F("0.4"), F("0.05"))
    assert gap("0.5") == (0, 0)


def test_a_gap_that_no_file_can_fill_is_told():
    have = {"C01": Handles(F("0.25"), F("0.45")), "C02": Handles(F("0.3"), F("0.35"))}
    lines = [line("1", "sea sea sea sea sea", 1, RATE), line("2", "sea sea sea sea sea", F("3.8"), RATE)]
    # a gap of 0.2 s: the first file has 0.1 s more behind its words, the second 0.05 s more before
    a, b = shown(lines, handles=have)
    assert (a.end, b.start) == (F("3.35"), F("3.55"))
    (note,) = a.findings
    assert (note.code, note.facts) == (FindingCode.NO_PICTURE, {"seconds": 0.2, "before": "C02"})
    enough = {**have, "C02": Handles(F("0.35"), F("0.35"))}
    a, b = shown(lines, handles=enough)
    assert (a.end, b.start, a.findings) == (F("3.45"), F("3.45"), ())


def test_the_cut_opens_with_its_first_clip_where_that_begins_within_a_frame():
    assert shown([line("1", "sea sea", F(1, 4) + F(1, 24), RATE)])[0].start == 0
    assert shown([line("1", "sea sea", F(1, 4) + F(2, 24), RATE)])[0].start == F(2, 24)


def test_names_of_clips():
    assert [clip_id(i) for i in ("4", "10", "100", "4AB")] == ["C04", "C10", "C100", "C04AB"]


def test_a_rest_and_a_bar_line_make_a_place_in_a_song_better():
    song = song_of(8)  # a beat of 0.5 s; a rest of more than 0.2 s counts
    one = line("1", "sea the sea sea sea", 0, RATE, LineKind.SUNG)

    def places(rest=F(0), beat=None):
        made = list(one.words)
        third = made[3]
        syllable = replace(third.syllables[0], start=third.start + rest, end=third.end + rest, beat=beat)
        made[3] = replace(third, syllables=(syllable,))
        return cut_places(replace(one, words=tuple(made)), song)

    plain = [Break.WORD, Break.NEVER, Break.WORD, Break.WORD, Break.SENTENCE]
    assert places() == plain
    assert places(rest=F(1, 5)) == plain
    assert places(rest=F(21, 100))[2] is Break.SENTENCE
    assert places(beat=F(1))[2] is Break.CLAUSE
    assert places(beat=F(2)) == plain


@pytest.mark.parametrize(
    ("count", "seconds", "is_said"),
    # usual in English are 6.19 a second, shown as 6.2: 6.2 is not more, 6.3 is; five syllables at least
    [(5, F(5) / F("6.24"), False), (5, F(5) / F("6.26"), True), (4, F(4) / 9, False), (5, F(5) / 9, True)],
)
def test_a_brisk_line_is_said(count, seconds, is_said):
    one = line("1", " ".join(["sea"] * count), 1, RATE, a_word=seconds / count)
    found = plan_clips([one], PLAIN).findings.get("1", ())
    assert [f.code for f in found] == ([FindingCode.BRISK] if is_said else [])


def test_a_line_that_is_too_long_says_where_it_breaks_and_what_to_ask():
    # 20 words: 8 s and 0.6 s of handles; parts of 10 words: 4 s, 4.6 s with handles: 5 s each
    one = line("1", " ".join(["sea"] * 20), 1, RATE)
    made = plan_clips([one], EpisodeSettings(profiles={"default": ClipProfile(lengths=(F(5), F(8)))}))
    assert [(c.id, c.part, c.words, c.ask) for c in made.clips] == [
        ("C01.1", (1, 2), (0, 10), 5), ("C01.2", (2, 2), (10, 20), 5),
    ]  # fmt: skip
    (said,) = (f for f in made.findings["1"] if f.code is FindingCode.TOO_LONG)
    assert said.facts["seconds"] == 8.6
    assert said.facts["syllables_to_cut"] == 2  # 0.6 s over 7.4 s
    assert said.facts["break_after"] == ["sea sea sea"]
    assert said.message.startswith("8.6 s with handles: too long for one generation (8 s); make 2 clips")
    high = replace(one, high=F("8.8"))
    (said,) = (f for f in plan_clips([high], PLAIN).findings["1"] if f.code is FindingCode.TOO_LONG)
    assert said.message.startswith("8.6 s with handles, up to 9.4 s: too long")
