"""Tunes from files: Standard MIDI Files byte by byte, MusicXML written by an independent program."""

import zipfile
from fractions import Fraction
from pathlib import Path

import pytest

from tests.song.test_fit import AT_24, sung
from timing.model import SongCue
from timing.model.settings import SongSettings
from timing.plain.errors import ScriptError
from timing.song.fit import fit_song
from timing.song.tunes.reader import read_tune
from timing.song.tunes.tune import find_line

TUNES = Path(__file__).parent / "tunes"  # written by music21 10.5 (M. Cuthbert & C. Ariza, ISMIR 2010)


def vlq(number: int) -> bytes:
    """Variable-length quantity, by the text of "Standard MIDI Files 1.0"."""
    out = [number & 0x7F]
    while number := number >> 7:
        out.append(number & 0x7F | 0x80)
    return bytes(reversed(out))


def smf(*events: tuple[int, bytes], division: bytes = b"\x00\x60", kind: int = 0) -> bytes:
    """A file of one track; the bytes are put together here, not by the library that reads them."""
    track = b"".join(vlq(delta) + data for delta, data in events) + b"\x00\xff\x2f\x00"
    return (
        b"MThd\x00\x00\x00\x06" + bytes([0, kind, 0, 1]) + division
        + b"MTrk" + len(track).to_bytes(4, "big") + track
    )  # fmt: skip


TEMPO_120 = b"\xff\x51\x03\x07\xa1\x20"  # 500,000 microseconds a quarter: the specification's example
SIX_EIGHT = b"\xff\x58\x04\x06\x03\x24\x08"  # 6/8, click every dotted quarter: the specification's example


def lyric(text: bytes) -> bytes:
    return b"\xff\x05" + vlq(len(text)) + text


def on(note: int = 60) -> bytes:
    return bytes([0x90, note, 64])


def off(note: int = 60) -> bytes:
    return bytes([0x80, note, 0])


def tune_of(tmp_path: Path, data: bytes, name: str = "tune.mid"):
    (tmp_path / name).write_bytes(data)
    return read_tune(tmp_path / name)


def test_variable_length_quantities_of_the_specification():
    assert vlq(0x40) == b"\x40"
    assert vlq(480) == b"\x83\x60"
    assert vlq(0x0FFFFFFF) == b"\xff\xff\xff\x7f"


def test_tempo_metre_and_syllables_of_the_specifications_bytes(tmp_path):
    found = tune_of(
        tmp_path,
        smf(
            (0, TEMPO_120), (0, SIX_EIGHT), (0, lyric(b"Row ")), (0, on()), (144, off()),
            (0, lyric(b"your-")), (0, on(62)), (96, off(62)), (0, lyric(b"boat")), (0, on(64)), (48, off(64)),
        ),
    )  # fmt: skip
    assert found.metre == (6, 8)
    assert found.bpm == 80  # 120 quarters are 80 dotted quarters
    assert [(s.text, s.start, s.length) for s in found.syllables] == [
        ("Row", 0, 1),
        ("your-", 1, Fraction(2, 3)),
        ("boat", Fraction(5, 3), Fraction(1, 3)),
    ]


@pytest.mark.parametrize("encoding", ["utf-8", "latin-1"])
def test_lyrics_in_utf_8_and_latin_1(tmp_path, encoding):
    found = tune_of(tmp_path, smf((0, lyric("Blüm-".encode(encoding))), (0, on()), (96, off())))
    assert found.syllables[0].text == "Blüm-"


def test_a_note_without_a_lyric_prolongs_the_syllable(tmp_path):
    found = tune_of(
        tmp_path,
        smf(
            (0, lyric(b"out")),
            (0, on()),
            (96, off()),
            (0, on(62)),
            (96, off(62)),
            (96, lyric(b"in")),
            (0, on()),
            (96, off()),
        ),
    )
    assert [(s.text, s.start, s.length) for s in found.syllables] == [("out", 0, 2), ("in", 3, 1)]


def test_a_short_first_bar_with_its_own_signature_is_a_pick_up(tmp_path):
    one_four, four_four = b"\xff\x58\x04\x01\x02\x18\x08", b"\xff\x58\x04\x04\x02\x18\x08"
    found = tune_of(
        tmp_path,
        smf(
            (0, one_four),
            (0, lyric(b"the")),
            (0, on()),
            (96, off()),
            (0, four_four),
            (0, lyric(b"sea")),
            (0, on()),
            (96, off()),
        ),
    )
    assert [(s.text, s.start) for s in found.syllables] == [("the", -1), ("sea", 0)]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"not midi", "not a Standard MIDI File"),
        (smf((0, lyric(b"a")))[:30], "not a Standard MIDI File"),
        (smf((0, lyric(b"a")), division=b"\xe7\x28"), "SMPTE"),  # 25 frames, 40 ticks
        (smf((0, lyric(b"a")), kind=2), "format 2"),
        (smf((0, on()), (96, off())), "no lyrics"),
        (smf((0, SIX_EIGHT), (0, lyric(b"a")), (500, b"\xff\x58\x04\x04\x02\x18\x08")), "changes its time signature"),
    ],
)
def test_what_is_not_supported_is_refused_clearly(tmp_path, data, message):
    with pytest.raises(ScriptError, match=message) as caught:
        tune_of(tmp_path, data)
    assert "tune.mid" in str(caught.value)


@pytest.mark.parametrize("name", ["tide.musicxml", "tide.mxl"])
def test_musicxml_with_pick_up_melisma_tie_and_rest(name):
    found = read_tune(TUNES / name)
    assert (found.metre, found.bpm) == ((4, 4), 96)
    assert [(s.text, s.start, s.length) for s in found.syllables] == [
        ("The", -1, 1), ("tide", 0, 1), ("goes", 1, 1), ("out", 2, 1), ("and", 3, 1), ("in", 4, 2), ("a", 7, 1),
        ("gain", 8, 6),
    ]  # fmt: skip


def test_musicxml_in_six_eight_with_two_verses_under_a_repeat():
    found = read_tune(TUNES / "moon.musicxml")
    assert (found.metre, found.bpm) == ((6, 8), 60)
    third = Fraction(1, 3)
    assert [(s.text, s.start, s.verse) for s in found.syllables] == [
        ("Moon", 0, 1), ("in", 2 * third, 1), ("sky", 1, 1), ("pul", 2, 1), ("ling", 2 + 2 * third, 1), ("me", 3, 1),
        ("Sea", 4, 2), ("in", 4 + 2 * third, 2), ("bay", 5, 2), ("ris", 6, 2), ("ing", 6 + 2 * third, 2),
        ("free", 7, 2),
    ]  # fmt: skip


@pytest.mark.parametrize(("eighths", "beats"), [(6, 2), (9, 3), (12, 4)])
def test_musicxml_in_compound_metre_counts_dotted_quarters(tmp_path, eighths, beats):
    # MusicXML 4.0 (W3C Community Group Report): <divisions> are those of a quarter, <sound tempo> is in quarters a
    # minute. Two divisions a quarter: an eighth is one, a bar has as many as eighths, a dotted quarter three. 90 quarters
    # are 60 dotted ones. A pick-up of one eighth, a whole bar in dotted quarters, and one more note.
    def note(word, divisions):
        pitch = "<pitch><step>C</step><octave>4</octave></pitch>"
        return f"<note>{pitch}<duration>{divisions}</duration><lyric><text>{word}</text></lyric></note>"

    head = (
        f"<attributes><divisions>2</divisions><time><beats>{eighths}</beats><beat-type>8</beat-type></time></attributes>"
        '<sound tempo="90"/>'
    )
    bars = (
        f'<measure number="0" implicit="yes">{head}{note("the", 1)}</measure>'
        f'<measure number="1">{"".join(note(f"w{n}", 3) for n in range(beats))}</measure>'
        f'<measure number="2">{note("last", eighths)}</measure>'
    )
    found = tune_of(tmp_path, xml(bars), "c.musicxml")
    assert (found.metre, found.bpm) == ((eighths, 8), 60)
    third = Fraction(1, 3)
    assert [(s.text, s.start, s.length) for s in found.syllables] == [
        ("the", -third, third), *((f"w{n}", n, 1) for n in range(beats)), ("last", beats, beats),
    ]  # fmt: skip


def xml(body: str, before: str = "") -> bytes:
    head = f'<?xml version="1.0"?>{before}<score-partwise version="4.0">'
    return f'{head}<part id="P1">{body}</part></score-partwise>'.encode()


NOTE = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration>{}</note>"
SUNG = NOTE.format("<lyric><text>a</text></lyric>")
TIME = "<attributes><divisions>1</divisions><time><beats>{}</beats><beat-type>4</beat-type></time></attributes>"


def test_elision_puts_two_words_on_one_note(tmp_path):
    both = "<lyric><syllabic>single</syllabic><text>and</text><elision>‿</elision><text>on</text></lyric>"
    found = tune_of(tmp_path, xml("<measure>" + TIME.format(1) + NOTE.format(both) + "</measure>"), "e.musicxml")
    assert [s.text for s in found.syllables] == ["and on"]
    assert find_line(found, ["and on"]).starts == (0,)


def test_endings_are_played_by_turn(tmp_path):
    def bar(word, marks=""):
        return f"<measure>{NOTE.format(f'<lyric><text>{word}</text></lyric>')}{marks}</measure>"

    def ending(number, back):
        repeat = '<repeat direction="backward"/>' if back else ""
        return (
            f'<barline location="left"><ending number="{number}" type="start"/></barline>'
            f'<barline location="right"><ending number="{number}" type="stop"/>{repeat}</barline>'
        )

    head = f"<measure>{TIME.format(1)}{NOTE.format('<lyric><text>go</text></lyric>')}</measure>"
    found = tune_of(
        tmp_path, xml(head + bar("out", ending(1, True)) + bar("in", ending(2, False)) + bar("end")), "r.musicxml"
    )
    assert [s.text for s in found.syllables] == ["go", "out", "go", "in", "end"]
    assert [s.start for s in found.syllables] == [0, 1, 2, 3, 4]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"<html></html>", "not a MusicXML score"),
        (b"<score-partwise>", "not well-formed"),
        (b"<score-timewise/>", "time-wise"),
        (xml("<measure/>"), "no lyrics"),
        (xml("", '<!DOCTYPE s [<!ENTITY a "b">]>'), "entities"),
        (xml("", '<!DOCTYPE s [<!ENTITY a SYSTEM "file:///etc/passwd">]>'), "entities"),
        (xml("<measure>" + SUNG + '<sound dacapo="yes"/></measure>'), "jumps"),
        (
            xml("".join(f"<measure>{TIME.format(n)}{SUNG}</measure>" for n in (3, 4))),
            "changes its time signature",
        ),
        (xml("<measure>" + SUNG.replace(">1<", ">x<") + "</measure>"), "not a number"),
    ],
)  # fmt: skip
def test_musicxml_that_cannot_be_used_is_refused(tmp_path, data, message):
    with pytest.raises(ScriptError, match=message):
        tune_of(tmp_path, data, "t.musicxml")


def test_packed_scores_are_checked(tmp_path):
    with pytest.raises(ScriptError, match="can be opened"):
        tune_of(tmp_path, b"no zip", "t.mxl")
    with zipfile.ZipFile(tmp_path / "e.mxl", "w") as packed:
        packed.writestr("score.xml", b"<a/>")
    with pytest.raises(ScriptError, match="holds no"):
        read_tune(tmp_path / "e.mxl")
    with zipfile.ZipFile(tmp_path / "big.mxl", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("META-INF/container.xml", b'<c><rootfile full-path="s.xml"/></c>')
        packed.writestr("s.xml", b" " * 20_000_001)
    with pytest.raises(ScriptError, match="larger than 20 MB"):
        read_tune(tmp_path / "big.mxl")


@pytest.mark.parametrize(("name", "message"), [("none.mid", "no such tune file"), ("tune.txt", "MIDI file")])
def test_other_files_are_refused(tmp_path, name, message):
    (tmp_path / "tune.txt").write_text("x")
    with pytest.raises(ScriptError, match=message):
        read_tune(tmp_path / name)


def test_the_tune_beats_the_model_and_a_pin_beats_the_tune():
    song = SongSettings("tide", tune="tide.musicxml")
    fitted = fit_song(song, TUNES, [sung("the tide goes out and in"), sung("a-'gain")], AT_24)
    assert fitted.song.bpm == 96
    assert [(s.bar, s.beat) for s in fitted.lines[0].syllables] == [(0, 4), (1, 1), (1, 2), (1, 3), (1, 4), (2, 1)]
    assert [(s.bar, s.beat) for s in fitted.lines[1].syllables] == [(2, 4), (3, 1)]
    assert fitted.lines[1].syllables[1].end - fitted.lines[1].syllables[1].start == 6 * Fraction(60, 96)
    pinned = fit_song(song, TUNES, [sung("the tide goes out and in@2:2")], AT_24)
    assert [(s.bar, s.beat) for s in pinned.lines[0].syllables][3:] == [(1, 3), (1, 4), (2, 2)]


def test_a_cue_places_a_line_of_the_tune_and_other_words_are_said_not_to_be_in_it():
    song = SongSettings("tide", tune="tide.musicxml")
    lines = [sung("the tide goes out and in", SongCue("tide", 9)), sung("moon in the sky")]
    fitted = fit_song(song, TUNES, lines, AT_24)
    assert [(s.bar, s.beat) for s in fitted.lines[0].syllables][:2] == [(8, 4), (9, 1)]
    assert "line-not-in-tune" in [f.code for f in fitted.lines[1].findings]
