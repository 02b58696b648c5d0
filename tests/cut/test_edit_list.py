"""Cut lists as real editors write them: read to the frame, or refused with the line.

The layout is that of SMPTE ST 258 in scope, as an edit controller's manual prints its sample; the dialects are those
that the sample lists of the OpenTimelineIO project's adapter show (numbers, names and times here are our own). Expected
frames are worked out by hand: hours, minutes and seconds times the rate, and the frames.
"""

from __future__ import annotations

import contextlib
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timing.cut.edit_list import read_edit_list
from timing.cut.listed import CutList
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode as Code
from timing.plain.errors import InputError

HEAD = "TITLE: LOW TIDE\nFCM: NON-DROP FRAME\n\n"


def read(text: str, rate: str = "24", delivery: str | None = None) -> CutList:
    rates = [FrameRate.parse(r) for r in (rate, delivery) if r]
    return read_edit_list(text, "cut.edl", rates)


def rows(text: str, rate: str = "24") -> list[tuple[str, int, int, int]]:
    """Return (name, first frame, end frame, source frame) of each event, frames at the list's own rate."""
    cut = read(text, rate)
    at = cut.rate.frame_at
    return [(e.name, at(e.start), at(e.end), at(e.source)) for e in cut.events]


# Each dialect says the same: C01 for 48 frames from its frame 6, then C02 for 36 from its frame 0.
SAME = [("C01", 0, 48, 6), ("C02", 48, 84, 0)]
DIALECTS = {
    "as the manual prints it": HEAD
    + "001  C01      V     C        00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n"
    + "002  C02      V     C        00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n",
    "names in comments, reel AX": HEAD
    + "001  AX       V     C        00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n* FROM CLIP NAME: C01\n"
    + "002  AX       V     C        00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n* FROM CLIP NAME: C02\n",
    "no star, no space, more space": "001 AX V C 00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n"
    "FROM CLIP NAME: C01\n002 AX V C 00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n*FROM CLIP NAME:   C02  \n",
    "carriage returns, tabs, blank lines": (
        HEAD + "\n001\tC01\tV\tC\t00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00 \n\n\n"
        "002\tC02\tV\tC\t00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n"
    ).replace("\n", "\r\n"),
    "the edit begins at an hour": HEAD
    + "001  C01 V C 00:00:00:06 00:00:02:06 01:00:00:00 01:00:02:00\n"
    + "002  C02 V C 00:00:00:00 00:00:01:12 01:00:02:00 01:00:03:12\n",
    "the edit begins before its hour": HEAD
    + "001  C01 V C 00:00:00:06 00:00:02:06 00:59:53:11 00:59:55:11\n"
    + "002  C02 V C 00:00:00:00 00:00:01:12 00:59:55:11 00:59:56:23\n",
    "six digits, no head, out of order": "000002  C02 V C 00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n"
    "000001  C01 V C 00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n",
    "points for colons": "001  C01 V C 00.00.00.06 00.00.02.06 00.00.00.00 00.00.02.00\n"
    "002  C02 V C 00.00.00.00 00.00.01.12 00.00.02.00 00.00.03.12\n",
    "a file, a name and a reel": "001 AX V C 00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n* FROM CLIP NAME: take 2\n"
    "* SOURCE FILE: C01\n002 AX V C 00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n* FROM FILE: C02\n",
    "comments and colour lines between": "001 C01 V C 00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n* GRADED\n"
    "*ASC_SAT 0.9\n* LOC: 00:00:01:00 RED LOOK\n002 C02 V C 00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n",
    "a speed change that changes nothing": "001 C01 V C 00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n"
    "M2   C01       024.0                00:00:00:06\n"
    "002 C02 V C 00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n",
    "a zero event of no transition": "001 C01 V C 00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n"
    "002 C02 V C 00:00:00:00 00:00:00:00 00:00:02:00 00:00:02:00\n"
    "003 C02 V C 00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n",
    "both tracks at once": "001 C01 B C 00:00:00:06 00:00:02:06 00:00:00:00 00:00:02:00\n"
    "002 C02 AA/V C 00:00:00:00 00:00:01:12 00:00:02:00 00:00:03:12\n",
}


@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_dialect_says_the_same(dialect: str) -> None:
    assert sorted(rows(DIALECTS[dialect]), key=lambda row: row[1]) == SAME
    assert read(DIALECTS[dialect]).findings == ()


def test_a_reel_may_have_spaces_and_may_be_missing() -> None:
    one = "001  C04 take 2  V  C  00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
    assert rows(one) == [("C04 take 2", 0, 24, 0)]
    assert rows("001  V  C  00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n* FROM CLIP NAME: C04\n")[0][0] == "C04"


def test_drop_frame_codes_are_the_published_ones() -> None:
    """D. Heidelberger, "Drop-Frame Timecode" (2010): 00:01:00;02 is frame 1800, 00:10:00;00 frame 17982."""
    # From frame 1800 to 17982 are 16182 frames. Minute 8 begins with frame 1800 + 7 * 1798 = 14386, so frame 16182 is
    # its 1796th and has the label 1796 + 2 = 59 s and 28 frames.
    text = "001 C01 V C 00:00:00;00 00:08:59;28 00:01:00;02 00:10:00;00\n"
    cut = read(text, "29.97")
    assert cut.rate == FrameRate.parse("29.97", True)
    assert rows(text, "29.97") == [("C01", 0, 16182, 0)]
    assert cut.findings == ()


def test_drop_frame_is_told_by_the_mark_or_by_the_head() -> None:
    line = "001 C01 V C 00:00:00{m}00 00:00:10{m}00 00:01:00{m}02 00:01:10{m}02\n"
    marked = read(line.format(m=";"), "29.97")
    headed = read("FCM: DROP FRAME\n" + line.format(m=":"), "29.97")
    plain = read("FCM: NON-DROP FRAME\n" + line.format(m=":"), "29.97")
    assert marked.rate == headed.rate == FrameRate.parse("29.97", True)
    assert plain.rate == FrameRate.parse("29.97")
    # 00:01:00;02 is frame 1800 of drop-frame time code, and 1802 of any other: more than a minute either way, so the
    # edit begins with its first event. Ten seconds later: ;02 of second 10 is 300 frames on.
    for cut in (marked, headed, plain):
        assert [(cut.rate.frame_at(e.start), cut.rate.frame_at(e.end)) for e in cut.events] == [(0, 300)]


def test_a_label_that_drop_frame_skips_is_refused_with_its_line() -> None:
    text = "FCM: DROP FRAME\n\n001 C01 V C 00:00:00:00 00:00:10:00 00:01:00:00 00:01:10:00\n"
    with pytest.raises(InputError, match=r"cut.edl:3: event 001: .*00:01:00:00.* skips it"):
        read(text, "29.97")


def test_a_header_that_says_drop_frame_at_24_is_said_and_not_followed() -> None:
    """24 frames a second have no drop-frame time code (SMPTE ST 12-1 has it for 30000/1001); twelve different codes
    without a frame above 23 are what tells that they are at 24."""
    rows = [
        f"{n:03d} C{n:02d} V C 00:00:0{n}:0{n} 00:00:0{n}:2{n} 00:01:0{n}:0{n} 00:01:0{n}:2{n}\n" for n in (1, 2, 3)
    ]
    cut = read("FCM: DROP FRAME\n" + "".join(rows))
    assert cut.rate == FrameRate.parse(24)
    assert [f.message for f in cut.findings] == [
        "its header says DROP FRAME, which 24 frames a second do not have; it is read at 24"
    ]
    fewer = read("FCM: DROP FRAME\n" + "".join(rows[:2]))  # eight codes tell nothing: as the header says
    assert fewer.rate == FrameRate.parse("29.97", True)
    marked = read("FCM: DROP FRAME\n" + "".join(rows).replace("00:01:01:01", "00:01:01;01"))
    assert marked.rate == FrameRate.parse("29.97", True)
    high = read("FCM: DROP FRAME\n" + "".join(rows).replace("00:00:02:22", "00:00:02:24"))
    assert high.rate == FrameRate.parse("29.97", True)


def test_a_remark_may_hold_codes_and_figures() -> None:
    line = "001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
    text = f"TITLE: 001 TIDE\n{line}* 002 FROM 00:00:00:00 TO 00:00:01:00\nFROM CLIP NAME: 003 a.mov\n24 FPS\n"
    assert [e.names[0] for e in read(text).events] == ["003 a.mov"]


def test_a_rate_that_differs_is_said() -> None:
    """Frame 28 exists at 30 frames a second, not at 24 or 25; a comment of ours names any rate."""
    cut = read("001 C01 V C 00:00:00:00 00:00:01:28 00:00:00:00 00:00:01:28\n")
    assert (cut.rate, [f.code for f in cut.findings]) == (FrameRate.parse(30), [Code.CUT_RATE])
    assert cut.events[0].end == FrameRate.parse(30).moment_of(58)
    named = read("001 C01 V C 00:00:00:00 00:00:01:12 00:00:00:00 00:00:01:12\n* RATE: 25 FRAMES A SECOND\n")
    assert (named.rate, named.findings[0].code) == (FrameRate.parse(25), Code.CUT_RATE)
    delivered = read("001 C01 V C 00:00:00:00 00:00:01:40 00:00:00:00 00:00:01:40\n", "24", "60")
    assert (delivered.rate, delivered.findings) == (FrameRate.parse(60), ())


def test_a_dissolve_goes_on_showing_what_went_out() -> None:
    text = HEAD + (
        "001  TST V     C        01:00:04:05 01:00:04:14 01:00:00:00 01:00:00:09\n* FROM CLIP NAME:  C01\n"
        "002  TST V     C        01:00:04:14 01:00:04:14 01:00:00:09 01:00:00:09\n"
        "002  TST V     D    010 01:00:08:08 01:00:08:18 01:00:00:09 01:00:00:19\n"
        "* BLEND, DISSOLVE\n* FROM CLIP NAME:  C01\n* TO CLIP NAME:  C02\n"
        "003  TST V     C        01:00:08:18 01:00:08:19 01:00:00:19 01:00:00:20\n* FROM CLIP NAME:  C02\n"
    )
    # 01:00:04:05 is frame 86501 at 24, 01:00:04:14 is 86510, 01:00:08:08 is 86600.
    assert sorted(rows(text)) == [
        ("C01", 0, 9, 86501), ("C01", 9, 19, 86510), ("C02", 9, 19, 86600), ("C02", 19, 20, 86610),
    ]  # fmt: skip
    assert read(text.replace("D    010", "W001 010")).findings == ()


def test_a_dissolve_without_names_goes_by_its_reels() -> None:
    text = (
        "001  C01 V C     00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
        "002  C01 V C     00:00:01:00 00:00:01:00 00:00:01:00 00:00:01:00\n"
        "002  C02 V D 012 00:00:00:06 00:00:01:06 00:00:01:00 00:00:02:00\n"
    )
    assert sorted(rows(text)) == [("C01", 0, 24, 0), ("C01", 24, 36, 24), ("C02", 24, 48, 6)]


def test_black_is_nothing_and_keeps_its_place() -> None:
    text = (
        "001  BL  V C     00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
        "002  C01 V C     00:00:00:00 00:00:01:00 00:00:01:00 00:00:02:00\n"
        "003  BL  V C     00:00:00:00 00:00:02:00 00:00:02:00 00:00:04:00\n"
    )
    assert rows(text) == [("C01", 24, 48, 0)]
    assert read(text).length == 4


def test_a_speed_change_is_said_and_its_event_kept() -> None:
    text = (
        "001  C01 V C     00:00:00:00 00:00:02:00 00:00:00:00 00:00:01:00\n"
        "M2   C01       048.0                00:00:00:00\n"
        "002  C02 V C     00:00:00:10 00:00:00:11 00:00:01:00 00:00:02:00\n"
        "M2   C02       000.0                00:00:00:10\n"
    )
    cut = read(text)
    assert [(e.name, float(e.speed)) for e in cut.events] == [("C01", 2.0), ("C02", 0.0)]
    assert [f.code for f in cut.findings] == [Code.CUT_SPEED, Code.CUT_SPEED]
    assert "runs at 48 frames a second (200 %)" in cut.findings[0].message
    assert "holds one frame" in cut.findings[1].message


def test_lengths_that_contradict_are_said_and_the_place_counts() -> None:
    text = "004 C01 V C 00:00:00:00 00:00:01:02 00:00:00:00 00:00:01:00\n"
    cut = read(text)
    assert rows(text) == [("C01", 0, 24, 0)]
    assert (cut.findings[0].code, cut.findings[0].facts["frames"]) == (Code.CUT_LENGTHS, 2)
    over = (
        "001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
        "002 C02 V C 00:00:00:00 00:00:01:00 00:00:00:21 00:00:01:21\n"
    )
    assert [f.message for f in read(over).findings] == [
        "002 begins".replace("002", "event 002")
        + " 3 frames before event 001 ends on the same track; both are followed"
    ]


def test_tracks_say_what_is_seen_and_heard() -> None:
    text = "".join(
        f"00{n}  C0{n} {tracks} C 00:00:00:00 00:00:01:00 00:00:{n:02d}:00 00:00:{n + 1:02d}:00\n"
        for n, tracks in enumerate(("V", "A", "AA", "AA/V", "A2/V", "V2", "B", "NONE", "VA1A2"), 1)
    )
    found = [(e.is_seen, e.is_heard, e.layer) for e in read(text).events]
    assert found == [
        (True, False, 0), (False, True, 0), (False, True, 0), (True, True, 0), (True, True, 0), (True, False, 1),
        (True, True, 0), (False, False, 0), (True, True, 0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("TITLE: EMPTY\nFCM: NON-DROP FRAME\n", "holds no event"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00\n", "cut.edl:1: this event is not understood"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:61:00\n", "00:00:61:00"),
        ("001 C01 V Q 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n", "not understood"),
        ("001 C01 V C 00:00:01:00 00:00:00:00 00:00:00:00 00:00:01:00\n", "ends before it begins"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\nSPLIT: AUDIO DELAY= 00:00:00:10\n", "SPLIT"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\nM2 fast\n", "speed change is not understood"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n* RATE: 24 FRAMES A SECOND\n"
         "002 C01 V C 00:00:00:00 00:00:01:00 00:00:01:00 00:00:01:29\n", "has frame 29"),
        ("001 C01 V C 25:00:00:00 25:00:01:00 00:00:00:00 00:00:01:00\n", "does not exist"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:150\n", "frame 150"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n002  C02\n", "cut.edl:2: this line looks like"),
        ("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
         "O02 C02 V C 00:00:00:00 00:00:01:00 00:00:01:00 00:00:02:00\n", "cut.edl:2: this line looks like an event"),
        ("001 C01 V K O 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n", "key is not read"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_a_reason(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read(text)


@pytest.mark.parametrize("line", ["001 " + "A" * 990 + " C", "M2" + " " * 990 + "x", "001 " + "V A" * 300, "1 " * 490])
def test_no_line_takes_long(line: str) -> None:
    began = process_time()
    with contextlib.suppress(InputError):
        read("001 C01 V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n" + (line + "\n") * 100)
    assert process_time() - began < 3


@settings(max_examples=60, deadline=None)
@given(st.text(alphabet="0123456789:;. \tCVDWKBAMFT2X*\n", max_size=300))
def test_no_text_is_more_than_refused(text: str) -> None:
    with contextlib.suppress(InputError):
        read(text)
