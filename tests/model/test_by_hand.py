"""The model's own arithmetic, each value worked out by hand beside it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from tests.export.plans import clip_of, line, plan_of
from timing.model import Delivered, LineKind, Origin, Song, Sounding, TimedSyllable, TimedWord
from timing.model.clock import FrameRate, seconds
from timing.model.cut import Cut, CutEvent
from timing.model.metre import Metre, parse_metre
from timing.model.month import Allowance, Month, Used
from timing.model.placed import Voice
from timing.model.settings import Budget, CastMember, ClipProfile, EpisodeSettings

RATE = FrameRate(F(24))


@pytest.mark.parametrize(
    ("written", "fps"),
    [
        ("23.976", F(24000, 1001)), ("23.98", F(24000, 1001)), ("29.97", F(30000, 1001)), ("47.95", F(48000, 1001)),
        ("47.952", F(48000, 1001)), ("59.94", F(60000, 1001)), ("119.88", F(120000, 1001)), ("25 fps", F(25)), (12.5, F(25, 2)),
    ],
)  # fmt: skip
def test_rates_as_they_are_called(written, fps):
    """Rates of the NTSC family are whole ones times 1000/1001: SMPTE ST 12-1."""
    assert FrameRate.parse(written).fps == fps


def test_rates_are_shown_as_they_are_called():
    for text in ("23.976", "29.97", "47.952", "59.94", "119.88", "24", "12.5"):
        assert str(FrameRate.parse(text)) == text
    assert (FrameRate.parse("23.976").name, FrameRate.parse(25).name) == ("24000/1001", "25")
    assert [seconds(n) for n in (0.1, "0,5".replace(",", "."), 2)] == [F(1, 10), F(1, 2), 2]


@pytest.mark.parametrize(
    ("text", "rate", "frame"),
    [
        ("23:59:59:23", "24", 24 * 3600 * 24 - 1), ("24:00:00:00", "24", None), ("00:00:00:24", "24", None),
        ("00:00:00:119", "120", 119), ("00:00:00:120", "120", None), ("00:60:00:00", "24", None), ("0:00:01.12", "24", 36),
    ],
)  # fmt: skip
def test_labels_at_their_limits(text, rate, frame):
    if frame is None:
        with pytest.raises(ValueError, match=r"time code|does not exist"):
            FrameRate.parse(rate).frame_of(text)
    else:
        assert FrameRate.parse(rate).frame_of(text) == frame


@pytest.mark.parametrize(
    ("text", "is_one"), [("1/4", True), ("32/8", True), ("0/4", False), ("33/8", False), ("4/3", False)]
)
def test_metres_have_one_to_thirty_two_beats(text, is_one):
    if is_one:
        assert str(parse_metre(text)) == text
    else:
        with pytest.raises(ValueError, match="is not a metre"):
            parse_metre(text)


def test_places_in_a_metre():
    six = Metre(6, 8)  # two beats a bar
    assert [six.bar_and_beat(F(n), 5) for n in (0, 1, 2, -1)] == [(5, 1), (5, 2), (6, 1), (4, 2)]
    assert [six.position_of(bar, F(beat), 5) for bar, beat in ((5, 1), (6, 2), (4, 2))] == [0, 3, -1]


# --- songs ---------------------------------------------------------------------------------------------------------


def song(pick_up=1, beats=9, **more):
    """A song in 4/4 at 120 from 10 s on, with a pick-up before bar 1."""
    at = tuple(10 + F(n, 2) for n in range(beats))
    plain = {"start": F(10), "end": F(15), "beats": at, "downbeats": at[pick_up::4], "origin": Origin.FITTED}
    return Song("s", F(120), Metre(4, 4), **{**plain, **more})


def test_beats_are_counted_from_bar_one_and_back_into_the_pick_up():
    assert [(b.bar, b.number) for b in song().counted] == [
        (0, 4), (1, 1), (1, 2), (1, 3), (1, 4), (2, 1), (2, 2), (2, 3), (2, 4),
    ]  # fmt: skip
    assert [(b.bar, b.number) for b in song(pick_up=2).counted[:4]] == [(0, 3), (0, 4), (1, 1), (1, 2)]
    assert song(pick_up=6).counted[0].number == -1  # an introduction of more than a bar
    assert (song().bars, song().first_downbeat, song(downbeats=()).first_downbeat) == (2, F("10.5"), 10)


def test_the_place_at_a_moment():
    one = song()
    assert one.position_of(F("10.5")) == (1, 1)
    assert one.position_of(F("10.75")) == (1, F(3, 2))
    assert one.position_of(F(10)) == (0, 4)
    assert one.position_of(F("14.25")) == (2, F(9, 2))  # behind the last beat, at 14 s: at the song's tempo
    assert one.position_of(F("14.9")) == (2, F("4.999"))
    assert [one.position_of(F(n)) for n in ("9.99", "15")] == [None, None]
    assert song(start=F(9)).position_of(F("9.5")) is None  # before its first beat
    assert song(beats=0, downbeats=()).position_of(F(10)) is None


# --- syllables and words ---------------------------------------------------------------------------------------------


def sounds(*phones, start=0, end=1):
    made = TimedSyllable("a", F(start), F(end), Origin.ESTIMATED, phones=phones)
    return [(phone, float(a), float(b)) for phone, a, b in made.sounds()]


def test_sounds_of_a_syllable_share_it():
    # a consonant a tenth of a second at most, or a part in (consonants + 2.5 a vowel); the rest is the vowel's
    assert sounds("S", "IY") == [("S", 0.0, 0.1), ("IY", 0.1, 1.0)]
    short = sounds("S", "IY", end=F(7, 50))  # 0.14 s in 3.5 parts of 0.04 s
    assert [round(b - a, 6) for _, a, b in short] == [0.04, 0.1]
    assert sounds("S", "T", end=1) == [("S", 0.0, 0.5), ("T", 0.5, 1.0)]
    assert sounds("AA", "IY") == [("AA", 0.0, 0.5), ("IY", 0.5, 1.0)]
    told = TimedSyllable("a", F(0), F(1), Origin.MEASURED, phones=("S", "IY"), phone_starts=(F(0), F(1, 4)))
    assert told.sounds() == (("S", 0, F(1, 4)), ("IY", F(1, 4), 1))
    assert (told.vowel_start, told.moved(F(2)).phone_starts) == (F(1, 4), (2, F(9, 4)))
    assert TimedSyllable("s", F(3), F(4), Origin.MEASURED, phones=("S",)).vowel_start == 3


def test_syllables_of_a_word_may_meet_and_not_overlap():
    def word(second):
        return TimedWord("ab", "ab", tuple(
            TimedSyllable(t, F(a), F(b), Origin.MEASURED) for t, a, b in (("a", 0, 1), ("b", second, 2))))  # fmt: skip

    assert word(1).broken == "a-b"
    with pytest.raises(ValueError, match="overlap"):
        word(F(99, 100))
    with pytest.raises(ValueError, match="without syllables"):
        TimedWord("ab", "ab", ())


# --- clips ---------------------------------------------------------------------------------------------------------------


def test_frames_of_a_clip_that_the_cut_shows():
    """Its first sound at 0.25 s in the file, frame 6; 3 frames are shown before it: from frame 3 of the file on."""
    one = clip_of(line("1", "sea sea sea sea sea", 1, RATE), RATE, ClipProfile())
    assert (one.source_frame(RATE), one.frames_cut(RATE)) == (0, 0)
    late = replace(one, start=F(21, 24), start_frame=21)
    assert (late.source_frame(RATE), late.frames_cut(RATE)) == (3, 3)
    assert late.source_frame(RATE, F(1, 2)) == 9  # the sound of what came back is at frame 12
    assert late.source_frame(RATE, F(0)) == 0
    near = replace(one, start=F("0.75") + F(47, 100) / 24)  # less than half a frame is none
    assert near.frames_cut(RATE) == 0
    half = replace(one, start=F("0.75") + F(1, 48), start_frame=19)
    assert half.frames_cut(RATE) == 1
    part = replace(late, id="C01.2", part=(2, 2))
    assert (part.follows, part.source_frame(RATE), part.frames_cut(RATE)) == ("C01.1", 0, 0)
    assert replace(one, part=(1, 2)).follows is None
    picture = replace(late, kind=LineKind.PICTURE)
    assert (picture.source_frame(RATE), picture.frames_cut(RATE)) == (0, 0)
    assert (one.slack, replace(one, ask=None).slack) == (F("0.4"), None)


def test_the_last_frame_shown_and_where_a_later_part_starts():
    plan = plan_of([line("1", "sea sea sea sea sea", 1, RATE)])
    # shown from frame 18 to 80, which is not: 62 frames of the file, the last one is 61
    assert plan.last_shown(plan.clips[0]) == 61
    back = Delivered("C01", "clips/C01.mp4", is_measured=True, speech_start=F(1, 2))
    assert replace(plan, deliveries=(back,)).last_shown(plan.clips[0]) == 67
    unmeasured = replace(back, is_measured=False)
    assert replace(plan, deliveries=(unmeasured,)).last_shown(plan.clips[0]) == 61


def test_a_voice_runs_beside_its_clip():
    """A tenth of a second late and a hundredth slow: 2 s are heard at 2.12 s; to the sample of 48 kHz."""
    voice = Voice("v.wav", F(1, 10), 0.01)
    assert float(voice.at(F(2))) == pytest.approx(2.12, abs=1e-5)
    assert float(voice.in_clip(F(212, 100))) == pytest.approx(2, abs=1e-5)
    assert Voice("v.wav", F(1, 10)).at(F(2)) == F(21, 10)
    assert Voice("v.wav", F(1, 96_001)).at(F(0)) == 0
    assert Voice("v.wav", F(1, 95_999)).at(F(0)) == F(1, 48_000)


def test_rate_of_a_line_and_frames_that_nothing_shows():
    one = line("1", "sea sea sea sea sea", 1, RATE)
    assert (one.rate, line("2", "A wave.", 1, RATE, LineKind.PICTURE).rate) == (2.5, 0.0)
    plan = plan_of([one, line("2", "sea sea", 6, RATE)])
    # clips from 0.75 to 3.35 s and from 5.75 to 7.15 s; the episode ends with the last
    assert plan.gaps == ((0, 18), (80, 138))
    longer = replace(plan, frames=200)
    assert longer.gaps == ((0, 18), (80, 138), (172, 200))


def test_where_a_clip_is_seen_in_a_cut():
    def event(a, b, **more):
        plain = {"clip": "C01", "planned": F(a, 24) + 1, "is_seen": True}
        return CutEvent("x", F(a, 24), F(b, 24), a, b, F(0), **{**plain, **more})

    cut = Cut("c.edl", RATE, F(5), 120, (event(40, 50), event(0, 10), event(10, 20), event(60, 60), event(70, 90, is_seen=False),
                                          event(100, 110, clip="C02", planned=None)))  # fmt: skip
    assert cut.places("C01") == ((0, 20), (40, 50))
    assert cut.used("C01") == (1, 1 + F(50, 24) + F(10, 24))
    assert (cut.used("C02"), cut.used("C09"), cut.places("C09")) == (None, None, ())
    assert cut.gaps == ((20, 40), (50, 60), (60, 100), (110, 120))
    assert replace(cut, frames=110).gaps[-1] == (60, 100)


# --- allowances ----------------------------------------------------------------------------------------------------------


def test_what_is_left_of_an_allowance_in_words():
    money = Allowance(None, "money", F(100), ("a", "b"))
    shots = Allowance("a", "generations", F(4), ("a",))
    month = Month("2026-03", {"a": Used(F(8), 4, F(30), 1), "b": Used(F(5), 1, F(80), 1), "c": Used(F(9), 9, F(9))})
    assert month.told(money, "EUR") == (
        "110.00 of 100.00 EUR, 10.00 EUR more than allowed (2 generations without a cost are not counted)"
    )
    assert month.told(shots, "") == "4 of 4 generations, 0 generations left"
    assert month.told(replace(shots, allowed=F(5)), "") == "4 of 5 generations, 1 generation left"
    assert month.told(replace(money, counted=("a",)), "") == (
        "30.00 of 100.00, 70.00 left (1 generation without a cost is not counted)"
    )
    assert (month.left(money), money.name, shots.name) == (0, "[budget]", "profile a")


def test_whose_allowance_is_whose():
    profiles = [
        ClipProfile("own", seconds_a_month=F(60)), ClipProfile("shots", generations_a_month=5), ClipProfile("bare"),
        ClipProfile("paid", cost_per_s=F(1), money_a_month=F(9)), ClipProfile("free", unlimited=True),
    ]  # fmt: skip
    settings = EpisodeSettings(profiles={p.name: p for p in profiles}, budget=Budget(F(100), F(50)))
    assert [(a.profile, a.unit, a.allowed, a.counted) for a in settings.allowances] == [
        (None, "seconds", 100, ("bare", "paid")), (None, "money", 50, ("own", "shots", "bare")),
        ("own", "seconds", 60, ("own",)), ("shots", "generations", 5, ("shots",)), ("paid", "money", 9, ("paid",)),
    ]  # fmt: skip


def test_what_makes_a_lines_clip():
    profiles = {name: ClipProfile(name) for name in ("default", "a", "pans", "songs", "noted")}
    settings = EpisodeSettings(
        profiles=profiles,
        picture_profile="pans",
        song_profile="songs",
        cast={"TANSY": CastMember("TANSY", profile="a")},
    )

    def made(kind, speaker=None, profile=None):
        return settings.profile_of(replace(line("1", "sea", 1, RATE), kind=kind, speaker=speaker, profile=profile)).name

    assert [made(LineKind.SPOKEN), made(LineKind.SUNG), made(LineKind.PICTURE)] == ["default", "songs", "pans"]
    assert [made(LineKind.SPOKEN, "tansy"), made(LineKind.SUNG, "TANSY"), made(LineKind.SPOKEN, "TANSY", "noted")] == [
        "a", "a", "noted",
    ]  # fmt: skip


# --- what is heard, and where a part goes on ---------------------------------------------------------------------------


def test_what_is_heard_of_a_line():
    one = line("1", "sea sea sea sea sea", 1, RATE)
    assert plan_of([one]).soundings() == ()  # an estimate is silent
    taken = replace(one, take="recordings/a.wav", take_start=F(7))
    assert plan_of([taken]).soundings() == (Sounding("1", "recordings/a.wav", F(7), F(1), F(2)),)
    assert plan_of([replace(one, take="recordings/a.wav")]).soundings() == ()
    # of a clip that came back: its own sound where that was followed, from its first sound on
    back = replace(plan_of([replace(one, delivered=("clips/C01.mp4",))]), deliveries=(
        Delivered("C01", "clips/C01.mp4", is_measured=True, speech_start=F(1, 2)),))  # fmt: skip
    assert back.soundings() == (Sounding("1", "clips/C01.mp4", F(1, 2), F(1), F(2)),)
    voice = Voice("clips/C01 voice.wav", F(1, 10), is_used=True)
    (heard,) = replace(back, deliveries=(replace(back.deliveries[0], voice=voice),)).soundings()
    assert (heard.file, heard.file_start) == ("clips/C01 voice.wav", F(6, 10))
    unused = replace(back, deliveries=(replace(back.deliveries[0], voice=replace(voice, is_used=False)),))
    assert unused.soundings() == back.soundings()
    # ... else the scratch of the line as it was asked for: a second into it, as the clip's words begin there
    asked = plan_of([replace(taken, start=F(1) - F(1, 4))])
    part = replace(asked, clips=(replace(asked.clips[0], speech_start=F(1)),))
    other = replace(back, deliveries=(), requested=part)
    assert other.soundings() == (Sounding("1", "recordings/a.wav", F(7) + F(1, 4), F(1), F(2)),)


def test_voices_over_a_passage_are_heard_while_it_is_seen():
    wave = line("1", "A wave.", 2, RATE, LineKind.PICTURE)
    over = [
        replace(line(str(n), "sea", at, RATE), over="1")
        for n, at in ((2, "1.6"), (3, "1.61"), (4, "3.99"), (5, "4"), (6, "3"))
    ]
    over[-1] = replace(over[-1], over="9")
    plan = plan_of([wave, *over])
    assert [n.id for n in plan.heard_over(plan.clips[0])] == ["3", "4"]  # seen from 2 to 4 s


def test_a_later_part_starts_from_the_frame_in_which_the_earlier_one_is_left():
    plan = plan_of([line("1", "sea sea sea sea sea", 1, RATE)])
    first, second = replace(plan.clips[0], id="C01.1", part=(1, 2)), replace(plan.clips[0], id="C01.2", part=(2, 2))
    plan = replace(plan, clips=(first, second))
    assert plan.seam(first) is None
    seam = plan.seam(second)
    assert seam is not None
    assert (seam.clip, seam.frame, seam.file, seam.still) == ("C01.1", 61, None, None)  # frames 18 to 80 of the cut
    for state, picture, file, still in (
        ("delivered", True, None, None), ("accepted", False, "clips/a.mp4", None), ("accepted", True, "clips/a.mp4", "stills/C01.2.png"),
    ):  # fmt: skip
        back = Delivered("C01.1", "clips/a.mp4", state=state, has_picture=picture)
        seam = replace(plan, deliveries=(back,)).seam(second)
        assert seam is not None
        assert (seam.file, seam.still) == (file, still)
