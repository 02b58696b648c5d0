"""Exports at their limits: captions, cut lists, guide sounds, MIDI, requests and tables, worked out by hand."""

from __future__ import annotations

import io
from dataclasses import replace
from fractions import Fraction as F

import mido
import numpy as np
import pytest

from tests.export.plans import line, plan_of, small_plan
from timing.export import captions, guide
from timing.export.captions import (
    Caption,
    _badness,
    _chunks,
    _clock,
    _cost,
    _end_ms,
    _fill,
    _limits_broken,
    _placed,
    _voice,
    _wrap,
    make_captions,
)
from timing.export.cut_table import seen_s, told_of_cut
from timing.export.cutting import cut_tracks, is_usable
from timing.export.delivery import Target, targets
from timing.export.dub import _percent, _signed, money
from timing.export.editing import _edl, _first_code, _markers, _own_rate
from timing.export.midi import _beats_from_a_bar, _tick, alike_findings, file_names, song_midi
from timing.export.requests import request_text, seam_told
from timing.export.table import clip_request_note, frames_in_cut, seconds_text
from timing.export.timeline import _available, _in_file, _range, _url
from timing.model import Break, Cut, CutEvent, Delivered, Finding, LineKind, Media, Seam
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode as Code
from timing.model.metre import Metre

AT_24 = FrameRate(F(24))


def codes(found):
    return [f.code.value for f in found]


# Captions.


def shown(ms, text="one two three", rows=None):
    return Caption(0, ms, tuple(rows or (text,)), (None,) * len(rows or (text,)), ("1",))


@pytest.mark.parametrize(
    ("ms", "text", "found"),
    [
        (1200, "one two three", []),  # 2.5 words a second are 150 a minute
        (1199, "one two three", ["caption-fast"]),
        (834, "one two", []),  # 5/6 s
        (833, "one two", ["caption-short"]),
        (6000, "one", []),
        (6001, "one", ["caption-lasts"]),
        (2000, "x" * 32, []),
        (2000, "x" * 33, ["caption-long"]),
        (500, "♪ one ♪", ["caption-short"]),  # note signs are no words
    ],
)  # fmt: skip
def test_limits_of_the_guides(ms, text, found):
    # DCMP: 150 words a minute, 32 characters a row, six seconds.
    assert codes(_limits_broken(shown(ms, text))) == found


def test_more_than_two_rows_and_figures_of_what_is_told():
    assert codes(_limits_broken(shown(3000, rows=("a", "b")))) == []
    assert codes(_limits_broken(shown(3000, rows=("a", "b", "c")))) == ["caption-long"]
    (fast,) = _limits_broken(replace(shown(1000, "one two three"), start_ms=0, end_ms=1000))
    assert 'caption "one two three" asks for 180 words a minute' in fast.message
    assert fast.facts == {"words_a_minute": 180, "at_s": 0.0}
    (short,) = _limits_broken(Caption(1500, 2250, ("one",), (None,), ("1",)))
    assert "is on screen for 0.75 s only" in short.message
    assert short.facts == {"seconds": 0.75, "at_s": 1.5}
    long_text = _limits_broken(shown(9000, "a" * 33))[0]
    assert f'caption "{"a" * 29}..."' in long_text.message
    assert f'"{"b" * 32}"' in _limits_broken(shown(9000, "b" * 32))[0].message
    assert _badness(fast) > _badness(short)
    assert _badness(Finding(Code.CAPTION_SHORT, "x", {"seconds": 0.2})) > _badness(
        Finding(Code.CAPTION_SHORT, "x", {"seconds": 0.5})
    )


def draft(said, start=0, words="one two three four five"):
    return captions._Draft(F(start), F(said), (words,), (None,), ("1",))


def ms(moment):
    return round(moment * 1000)


@pytest.mark.parametrize(
    ("said", "limit", "last", "end"),
    [
        # Five words at 130 a minute are 2.308 s.
        ("1", 9000, False, 2308),
        ("3", 9000, False, 3000),  # never before they are said
        ("1/2", 9000, False, 2000),  # 1.5 s after they are said at the latest
        ("1", 2000, False, 2000),
        ("1", 3308, False, 2308),  # a second lies between
        ("1", 3307, False, 2307),  # less would: it goes a second before
        ("2", 3307, False, 3307),  # or stays, where it may be late by that
        ("1", 2500, False, 2500),
        ("1", 2500, True, 2308),
        ("7", 9000, False, 7000),
        ("7", 7900, False, 7900),  # it stands too long anyway, and has no second before
    ],
)
def test_when_a_caption_goes(said, limit, last, end):
    assert _end_ms(draft(said), 0, limit, ms, last) == end


def test_a_short_caption_and_a_long_one():
    assert _end_ms(draft("1/10", words="one"), 0, 9000, ms, False) == 1333  # 40 frames of 30
    many = " ".join(["word"] * 20)  # 9.2 s at 130 a minute: six at most
    assert _end_ms(draft("5", words=many), 0, 9000, ms, False) == 6000
    assert _end_ms(draft("5", words=f"♪ {many} ♪"), 0, 9000, ms, False) == 6000


def test_captions_lie_on_frame_edges_and_do_not_overlap():
    plan = plan_of([line("1", "a", 1, AT_24)])
    made = _placed([draft("1.5", 1), draft("3", "1.51"), draft("9", "8.5")], plan)
    assert (made[0].start_ms, made[0].end_ms, made[1].start_ms) == (1000, 1500, 1500)
    assert made[0].end_ms == round(36 / 24 * 1000)
    apart = replace(plan, settings=replace(plan.settings, caption_gap_frames=2))
    made = _placed([draft("1.5", 1), draft("3", "1.51")], apart)
    assert made[1].start_ms - made[0].end_ms == 83  # two frames of 24


def chunk_row(text):
    return _chunks(plan_of([line("1", text, 1, AT_24)]).lines[0])


def test_rows_break_by_phrase_and_then_evenly():
    assert _wrap(chunk_row("one two"), 32) == ["one two"]
    assert _wrap(chunk_row("aaaa bbbb cccc dddd"), 10) == ["aaaa bbbb", "cccc dddd"]
    assert _wrap(chunk_row("aa, bbbb cccc dd"), 14) == ["aa,", "bbbb cccc dd"]  # 0 + 4 for a clause against 12 + 1
    assert _wrap(chunk_row("aaaa bbbb cccc dddd"), 10, "T: ") == ["T: aaaa", "bbbb cccc", "dddd"]
    assert _wrap(chunk_row("x" * 40), 10) == ["x" * 40]
    assert _fill(chunk_row("aaaa bbbb cc dd"), 7, "T: ") == ["T: aaaa", "bbbb cc", "dd"]
    # After "the" no row ends; after "sea" 12 for a word and half of the six letters between 13 and 7.
    assert _wrap(chunk_row("go to the sea and see"), 14) == ["go to the sea", "and see"]


def test_what_one_caption_costs():
    plan = plan_of([line("1", "One two three. Four five, six seven", 1, AT_24, a_word="0.5")])
    own = plan.lines[0]

    def cost(a, b, room=32):
        return _cost(own.words, _chunks(own), a, b, room, "")

    assert cost(0, 3) == 10  # a sentence of 1.5 s
    assert cost(0, 5) == 10 + 8  # a clause
    assert cost(0, 4) == 10 + 60  # in the middle of words
    assert cost(0, 2) == 10 + 60 + 30  # a second is under four thirds
    assert cost(0, 7) == 10
    assert cost(0, 3, 4) == 10 + 1000  # no room
    slow = plan_of([line("1", "One two three.", 1, AT_24, a_word="2.1")]).lines[0]
    assert _cost(slow.words, _chunks(slow), 0, 3, 32, "") == 10 + 200
    phrase = replace(own, words=tuple(replace(w, break_after=Break.PHRASE) for w in own.words))
    assert _cost(phrase.words, _chunks(phrase), 0, 4, 32, "") == 10 + 20
    never = replace(own, words=tuple(replace(w, break_after=Break.NEVER) for w in own.words))
    assert _cost(never.words, _chunks(never), 0, 4, 32, "") == 10 + 500


def test_print_and_words_that_differ_are_shown_as_words():
    own = plan_of([line("1", "Out and in", 1, AT_24)]).lines[0]
    assert [(c.text, c.glue) for c in _chunks(replace(own, text="Out—and in"))] == [
        ("Out—", ""),
        ("and", " "),
        ("in", ""),
    ]
    assert [(c.text, c.glue) for c in _chunks(replace(own, text="Something else"))] == [
        ("Out", " "),
        ("and", " "),
        ("in", " "),
    ]
    assert [c.text for c in _chunks(replace(own, text="“Out” and in."))] == ["“Out”", "and", "in."]


def test_times_and_voices_of_the_format():
    assert _clock(3_599_999, ",") == "00:59:59,999"
    assert _clock(3_600_000, ".") == "01:00:00.000"
    assert _voice("a < b & c", "TA>NSY\n") == "<v TA NSY>a &lt; b &amp; c</v>"
    assert _voice("a", "<>") == "a"
    assert _voice("a", None) == "a"


def test_two_that_sound_together_have_one_caption():
    plan = plan_of(
        [
            line("1", "Wait for me!", 1, AT_24),
            line("2", "No!", "2.1", AT_24, speaker="BRAM"),
            line("3", "Go.", "2.6", AT_24),
        ]
    )
    made = make_captions(plan)  # line 1 to 2.2 s
    assert [c.lines for c in made] == [("1", "2"), ("3",)]
    apart = plan_of([line("1", "Wait for me!", 1, AT_24), line("2", "No!", "2.2", AT_24)])
    assert [c.lines for c in make_captions(apart)] == [("1",), ("2",)]


# The cut as an edit sees it.


def test_events_show_the_part_that_puts_speech_in_its_place():
    plan = small_plan()  # C01 18 to 100, its speech at 1 s = frame 24 after a head of 0.25 s = 6 frames; asked 4 s
    (track,) = cut_tracks(plan, targets(plan)[0])
    first = track[0]
    assert (first.start, first.end, first.source, first.length, first.available) == (18, 100, 0, 82, 96)
    back = Delivered("C01", "clips/C01.mp4", is_measured=True, speech_start=F(1))
    late = cut_tracks(replace(plan, deliveries=(back,)), targets(plan)[0])[0][0]
    assert (late.source, late.available, late.back) == (18, 100, back)  # 24 - 6; up to frame 18 + 82
    early = replace(back, speech_start=F(1, 12))
    assert cut_tracks(replace(plan, deliveries=(early,)), targets(plan)[0])[0][0].source == 0
    unmeasured = replace(back, is_measured=False)
    assert cut_tracks(replace(plan, deliveries=(unmeasured,)), targets(plan)[0])[0][0].back is None
    assert cut_tracks(replace(plan, clips=(replace(plan.clips[0], end_frame=18),)), targets(plan)[0]) == []
    touching = replace(plan.clips[1], start_frame=100)
    assert len(cut_tracks(replace(plan, clips=(plan.clips[0], touching)), targets(plan)[0])) == 1
    over = replace(plan.clips[1], start_frame=99)
    assert len(cut_tracks(replace(plan, clips=(plan.clips[0], over)), targets(plan)[0])) == 2


def test_which_files_may_be_laid_in():
    clip, picture = small_plan().clips[:2]
    back = Delivered("C01", "a.mp4")
    assert not is_usable(clip, back)
    assert is_usable(clip, replace(back, state="accepted"))
    assert is_usable(clip, replace(back, is_measured=True))
    assert is_usable(picture, back)
    assert not is_usable(picture, replace(back, findings=(Finding(Code.SILENT, "x"),)))
    assert is_usable(picture, replace(back, findings=(Finding(Code.SHIFT, "x"),)))


def test_the_delivery_rate_is_a_second_target():
    plan = small_plan(delivery="60")
    native, other = targets(plan)
    assert (native.prefix, other.prefix, str(other.rate)) == ("", "delivery/", "60")
    assert [other.frame(n) for n in (0, 1, 2, 3)] == [0, 3, 5, 8]  # halves up
    assert other.frame_at(F(1, 30)) == 3  # by way of frame 1 of 24
    assert other.seconds(30) == F(1, 2)
    assert len(targets(small_plan(delivery="24"))) == 1


def test_the_edit_list_line_by_line():
    plan = small_plan()
    track = cut_tracks(plan, targets(plan)[0])[0]
    rows = _edl(plan, targets(plan)[0], track[:2], 1).decode().split("\r\n")
    assert rows[:3] == [
        "TITLE: Where Does the Sea Go?",
        "FCM: NON-DROP FRAME",
        "001  BL       V     C        00:00:00:00 00:00:00:18 00:00:00:00 00:00:00:18",
    ]
    assert rows[3] == "* RATE: 24 FRAMES A SECOND"
    assert rows[4] == "002  C01      V     C        00:00:00:00 00:00:03:10 00:00:00:18 00:00:04:04"
    assert rows[5:7] == ["* FROM CLIP NAME: C01", "* SPEAKER: TANSY"]
    assert rows[7] == "003  BL       V     C        00:00:00:00 00:00:00:20 00:00:04:04 00:00:05:00"
    second = _edl(replace(plan, title="x" * 90), targets(plan)[0], track[:1], 2).decode()
    assert second.startswith("TITLE: " + "x" * 70 + "\r\n")
    assert "TITLE: Sea 2" in _edl(replace(plan, title="Sea"), targets(plan)[0], track[:1], 2).decode()
    begins = _edl(plan, targets(plan)[0], [replace(track[0], start=0)], 1).decode()
    assert "BL" not in begins


def test_a_files_own_code_in_the_list():
    assert _first_code(None, AT_24) == 0
    assert _first_code(Media(F(24), F(4), F(3600)), AT_24) == 86400
    assert _first_code(Media(F(24), F(4), None), AT_24) == 0
    assert _first_code(Media(None, F(4), F(3600)), AT_24) == 0
    # 30 a second: its frame 15 is frame 12 of 24, seconds are the same.
    assert _first_code(Media(F(30), F(4), F(7, 2)), AT_24) == 3 * 24 + 12
    assert _own_rate(Media(F(30), F(4), F(1)), F(30), F(1, 2)) == [
        "* SOURCE RATE: 30 FRAMES A SECOND, SOURCE IN AT THAT RATE: 00:00:01:15"
    ]
    assert _own_rate(Media(F(1, 7), F(4), F(1)), F(1, 7), F(0)) == []


def test_markers_are_sorted_by_frame_and_kind():
    rows = _markers(small_plan(), targets(small_plan())[0]).decode("utf-8-sig").split("\r\n")
    assert rows[0] == "frame,timecode,seconds,frames_long,kind,name,text"
    assert rows[1].startswith("18,00:00:00:18,0.750,82,clip,C01,")
    assert rows[2].startswith("24,00:00:01:00,1.000,0,scene,,")
    assert rows[3].startswith("24,00:00:01:00,1.000,67,line,1 TANSY,")  # 1 + 2.8 s = frame 91.2
    assert rows[4] == "24,00:00:01:00,1.000,10,word,1,The"  # to 1.4 s = 33.6
    assert "288,00:00:12:00,12.000,0,bar,out-and-in 1," in rows
    assert any(r.startswith("120,00:00:05:00,5.000,48,line,2 picture,") for r in rows)


def test_ranges_of_files_in_their_own_rate():
    target = Target(AT_24, AT_24, "")
    of_file = _range(12, 48, target)
    assert _in_file(None, of_file, target) is of_file
    own = _in_file(Media(F(30), F(4), F(10)), of_file, target)
    assert (own["start_time"]["value"], own["start_time"]["rate"]) == (315.0, 30.0)  # half a second, and ten
    assert own["duration"] == of_file["duration"]
    there = _available(Media(F(30), F(4), F(10)))
    assert (there["start_time"]["value"], there["duration"]["value"]) == (300.0, 120.0)
    assert _available(Media(F(30), F(4), None))["start_time"]["value"] == 0.0
    assert _available(Media(None, F(4), None)) is None
    assert _url("clips\\a b.mp4", target) == "../clips/a%20b.mp4"
    assert _url("a.mp4", Target(AT_24, AT_24, "delivery/")) == "../../a.mp4"
    assert _url(None, target) is None


def seen(start, end, clip="C01", is_seen=True):
    return CutEvent("x", F(start, 24), F(end, 24), start, end, F(0), clip, is_seen=is_seen)


def test_what_of_a_cut_shows_clips():
    plan = small_plan()
    cut = Cut(
        "cut.edl", AT_24, F(5), 120, (seen(0, 48), seen(24, 72), seen(96, 108, None), seen(100, 120, is_seen=False))
    )
    assert seen_s(cut, plan) == 3
    told = told_of_cut(replace(plan, cut=cut), F(21))
    assert told == "cut.edl: 5 s, of which 3 s show clips; 21 s generated, 7 for each second seen"
    assert told_of_cut(replace(plan, cut=cut), F(0)) == "cut.edl: 5 s, of which 3 s show clips"
    assert told_of_cut(plan, F(3)) == ""
    assert frames_in_cut(replace(plan, cut=cut), plan.clips[0]) == "1-72"
    apart = replace(cut, events=(seen(0, 24), seen(48, 60)))
    assert frames_in_cut(replace(plan, cut=apart), plan.clips[0]) == "1-24; 49-60"
    assert frames_in_cut(plan, plan.clips[0]) == ""


# The guide.


def test_levels_fades_and_clicks_of_the_guide():
    tone = np.full(4800, 1000, np.int16)
    assert guide._at_level(tone, 0.2).max() == int(0.2 * 32767)
    assert guide._at_level(tone[:0], 0.2).size == 0
    assert guide._at_level(np.zeros(5, np.int16), 0.2).max() == 0
    faded = guide._faded(tone)
    assert (faded[0], faded[120], faded[239], faded[240], faded[-1]) == (0, 500, 995, 1000, 0)  # 5 ms are 240 samples
    assert guide._faded(tone[:3]).tolist() == [0, 1000, 0]
    click = guide._click(1000, 0.09)
    assert len(click) == 1440  # 0.03 s
    assert click[0] == 0
    assert np.abs(click.astype(int)).max() == int(0.09 * 32767)
    spectrum = np.abs(np.fft.rfft(guide._click(1500, 0.14).astype(float), 48_000))
    assert abs(int(spectrum.argmax()) - 1500) < 60
    track = np.full(10, 30_000, np.int16)
    guide._mix(track, 8, np.full(5, 5000, np.int16))
    assert track.tolist() == [30_000] * 8 + [32767] * 2
    guide._mix(track, 10, np.full(5, 5000, np.int16))


def test_a_count_in_of_a_bar_where_nothing_clicks_yet():
    song = small_plan().songs[0]  # beats each 0.625 s from 12 s
    beat = F(5, 8)
    found = guide.clicks(song)
    assert found[:5] == [
        (12 - 4 * beat, True),
        (12 - 3 * beat, False),
        (12 - 2 * beat, False),
        (12 - beat, False),
        (12, True),
    ]
    intro = replace(song, beats=(12 - 2 * beat, 12 - beat, *song.beats))
    assert [m for m, _ in guide.clicks(intro)][:4] == [12 - 4 * beat, 12 - 3 * beat, 12 - 2 * beat, 12 - beat]
    assert len(guide.clicks(intro)) == len(found)
    near = replace(song, beats=(12 - beat + F(5, 16), *song.beats))  # half a beat from the last of the count-in
    assert len(guide.clicks(near)) == len(found) + 1
    nearer = replace(song, beats=(12 - beat + F(30, 100), *song.beats))
    assert len(guide.clicks(nearer)) == len(found)
    early = replace(song, beats=tuple(b - 11 for b in song.beats), downbeats=tuple(b - 11 for b in song.downbeats))
    assert guide.clicks(early)[0] == (1 - beat, False)  # before the episode nothing clicks


def taken(**starts):
    plan = plan_of([line("1", "One two three four", 2, AT_24), line("2", "Five", 6, AT_24)])
    lines = tuple(
        replace(n, take="a.wav", take_start=F(starts[f"l{n.id}"])) if f"l{n.id}" in starts else n for n in plan.lines
    )
    return replace(plan, lines=lines)


def test_a_clips_sound_reaches_over_its_handles_but_into_no_other_words():
    plan = taken(l1=1)
    clip, own = plan.clips[0], plan.lines[0]
    assert guide._reach(plan, clip, own) == (2 - F(1, 4), F(36, 10) + F(35, 100))
    part = replace(clip, words=(1, 3), speech_start=F(24, 10), speech_end=F(32, 10))
    assert guide._reach(plan, part, own) == (F(24, 10), F(32, 10))  # the middle between words that touch
    near = taken(l1=1, l2=F(27, 10))  # the other's words are at 2.7 s of the take: 3.7 s here, 0.1 s behind
    assert guide._reach(near, clip, near.lines[0])[1] == (F(36, 10) + F(37, 10)) / 2
    before = taken(l1=1, l2=F(1, 2))  # from 0.5 to 0.9 s of the take: it ends 0.1 s before
    assert guide._reach(before, clip, before.lines[0])[0] == (F(19, 10) + 2) / 2
    assert guide._reach(taken(l1=1, l2=F(5)), clip, own) == guide._reach(plan, clip, own)


def test_chunks_of_the_sound_file():
    data = guide.wav_bytes(np.array([1, -2, 3], np.int16), [(1, "C01"), (2, "bar")], "so")
    assert data[:4] == b"RIFF"
    assert int.from_bytes(data[4:8], "little") == len(data) - 8
    assert data[20:22] == b"\x01\x00"  # PCM
    at = data.index(b"cue ")
    assert int.from_bytes(data[at + 4 : at + 8], "little") == 4 + 2 * 24
    assert int.from_bytes(data[at + 8 : at + 12], "little") == 2
    label = data.index(b"labl")
    assert int.from_bytes(data[label + 4 : label + 8], "little") == 4 + 4
    assert data[label + 12 : label + 16] == b"C01\0"
    assert b"ICMT\x03\x00\x00\x00so\0\0" in data


# Songs as MIDI.


def test_names_of_songs_that_make_one_file_name():
    plan = small_plan()
    songs = tuple(replace(plan.songs[0], id=i) for i in ("Sea", "sea", "Sea!", "air"))
    plan = replace(plan, songs=songs)
    names = file_names(plan)
    assert len({n.casefold() for n in names.values()}) == 4
    assert names["Sea"] == "song-Sea.mid"
    assert names["sea"] == "song-sea-2.mid"
    assert len(alike_findings(plan)) == len([n for i, n in names.items() if "-2" in n or "-3" in n])


def test_the_file_begins_with_a_bar_line_before_everything_in_it():
    plan = small_plan()
    song, beat = plan.songs[0], F(5, 8)
    assert _beats_from_a_bar(plan, song) == [*song.beats, song.beats[-1] + beat]
    up = replace(song, beats=tuple(song.beats[0] + n * beat for n in range(-1, 11)))
    assert _beats_from_a_bar(plan, up)[:4] == [12 - n * beat for n in (4, 3, 2, 1)]  # a pick-up of one beat: three more
    early = replace(plan, lines=tuple(replace(n, start=F(11)) if n.song else n for n in plan.lines))
    assert _beats_from_a_bar(early, song)[0] == 12 - 4 * beat
    none = replace(song, beats=())
    assert _beats_from_a_bar(plan, none) == [12, 12 + beat]


def test_ticks_of_moments():
    beats = [F(0), F(1), F(3), F(4)]
    assert [_tick(F(m), beats, 960) for m in ("0", "1/2", "1", "2", "3", "4", "5", "-1")] == [
        0,
        480,
        960,
        1440,
        1920,
        2880,
        3840,
        0,
    ]


def test_each_measured_beat_has_its_own_tempo():
    plan = small_plan()
    song = replace(plan.songs[0], beats=(F(12), F(13), F(14), F(16)), downbeats=(F(12),), bpm=F(60), metre=Metre(2, 4))
    sung = tuple(n for n in plan.lines if n.song)
    file = mido.MidiFile(file=io.BytesIO(song_midi(replace(plan, songs=(song,), lines=sung), "out-and-in")))
    head = file.tracks[0]
    tempos = [(m.time, m.tempo) for m in head if m.type == "set_tempo"]
    assert tempos == [(0, 1_000_000), (1920, 2_000_000), (960, 1_000_000)]
    assert head[-1].time == 960
    voice = file.tracks[1]
    assert next((m.time, m.note, m.velocity) for m in voice if m.type == "note_on") == (0, 60, 80)
    assert next(m.text for m in voice if m.type == "lyrics") == "Out "
    slow = replace(song, beats=(F(12), F(12 + 20)), downbeats=(F(12),))
    first = mido.MidiFile(file=io.BytesIO(song_midi(replace(plan, songs=(slow,), lines=sung), "out-and-in"))).tracks[0]
    assert next(m.tempo for m in first if m.type == "set_tempo") == 0xFFFFFF  # three bytes hold no more


# Requests and tables.


def test_a_request_word_by_word():
    plan = small_plan()
    assert request_text(plan, plan.clips[0]).split("\n")[:4] == [
        "C01  Where Does the Sea Go?", f"length: 4 s, {plan.clips[0].takes} takes",
        "speaker: TANSY", "speech: 2.8 s, from 0.25 s to 3.05 s; mouth closed before and after",
    ]  # fmt: skip
    at_once = replace(plan.clips[0], head=F(0))
    assert "from 0 s to 2.8 s; mouth closed after" in request_text(plan, at_once)
    assert "nothing on the menu" in request_text(plan, replace(plan.clips[0], ask=None))
    spaced = plan_of([line("1", "One two", 1, AT_24)])
    words = spaced.lines[0].words
    for pause, told in (("0.25", True), ("0.24", False)):
        moved = replace(words[1], syllables=tuple(s.moved(F(pause)) for s in words[1].syllables))
        own = replace(spaced, lines=(replace(spaced.lines[0], words=(words[0], moved)),))
        assert ("(pause 0.25 s)" in request_text(own, own.clips[0])) is told
    loud = replace(spaced, lines=(replace(spaced.lines[0], words=(replace(words[0], is_emphasised=True), words[1])),))
    assert "ONE two" in request_text(loud, loud.clips[0])


def test_what_a_later_part_starts_from():
    plan = small_plan()
    told = seam_told(plan, Seam("C05.1", 36, "clips/C05.1.mp4", "stills/C05.2.png"))
    assert (
        told
        == "stills/C05.2.png, the one in which C05.1 leaves the cut (frame 37 of clips/C05.1.mp4, at 24 frames a second)"
    )
    assert "frame 37 of it as planned" in seam_told(plan, Seam("C05.1", 36, "clips/C05.1.wav", None))
    assert "frame 37 of its take, as planned" in seam_told(plan, Seam("C05.1", 36, None, None))


def test_cells_of_tables():
    assert [seconds_text(v) for v in (None, F(0), F(1, 200), F(1, 201), F(5, 2))] == [
        "",
        "0.00",
        "0.01",
        "0.00",
        "2.50",
    ]
    assert [_percent(v) for v in (0.0, 0.004, 0.005, 0.995, 1.0)] == [0, 0, 1, 100, 100]
    assert [_signed(v) for v in (F(1, 200), F(-3))] == ["0.01 late", "3.00 early"]
    assert [money(v) for v in (None, F(1, 3))] == ["", "0.33"]
    clip = replace(small_plan().clips[0], id="C05.2")
    assert clip_request_note(replace(clip, part=(1, 1))) == ""
    assert clip_request_note(replace(clip, part=(2, 2))) == "first frame: the one in which C05.1 leaves the cut"
    assert clip_request_note(replace(clip, part=(1, 2), id="C05.1")) == "last frame: mouth closed, goes on in C05.2"
    assert clip_request_note(replace(clip, part=(2, 3))).count(";") == 1
    assert clip_request_note(replace(clip, part=(2, 3), kind=LineKind.PICTURE)) == ""
