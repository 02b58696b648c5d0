"""Reading never fails but by a ScriptError, drops nothing, and names file and line."""

from __future__ import annotations

import os
import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from timing.model import LineKind, Where
from timing.plain.errors import ScriptError
from timing.script import parse_script, read_script
from timing.script.decoding import decode
from timing.script.markup import strip_emphasis
from timing.script.notes import read_note

PIECES = st.sampled_from(
    "TANSY|BRAM:|Bram -|\n|\n\n|\n  \n|(beat)|(sadly)|[|]|[[|]]|[[4 s]]|/*|*/|[[pause 0.8 s]]|[[song x, bar 9]]|~|@"
    "|!|.|>|<|^|#|=|===|*|**|_|\\|♪|Song:|Verse 1|Scene 2|INT. ROCK|CUT TO:|words|sea.| |\t|1.|10:32|🦀|é".split("|")
)
SCRIPTS = st.one_of(st.lists(PIECES, max_size=60).map("".join), st.lists(PIECES, max_size=40).map(" ".join), st.text())


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(text=SCRIPTS, name=st.sampled_from(["s.fountain", "s.txt", "s.md"]))
def test_any_text_is_read_or_refused_with_a_script_error(text: str, name: str) -> None:
    try:
        script = parse_script(decode(text.encode("utf-8", "replace"), Path(name))[0], name)
    except ScriptError:
        return
    for line in script.lines:
        assert line.text == line.text.strip()
        assert line.text
        assert "\n" not in line.text
        assert not any(ord(c) < 32 for c in line.text)
        for start, end in line.emphasis:
            assert 0 <= start < end <= len(line.text)
        assert [p.offset for p in line.pauses] == sorted({p.offset for p in line.pauses})
        assert all(0 <= p.offset <= len(line.text) and p.length > 0 for p in line.pauses)
        assert line.where.line_number is not None
    numbers = [line.where.line_number or 0 for line in script.lines]
    assert numbers == sorted(numbers)


@settings(max_examples=200, deadline=None)
@given(data=st.binary(max_size=300))
def test_any_bytes_are_decoded_or_refused(data: bytes) -> None:
    try:
        text, _ = decode(data, Path("s.txt"))
    except ScriptError:
        return
    assert isinstance(text, str)


WORDS = st.lists(st.sampled_from("sea shell tide crab rock gull foam kelp moon wave".split()), min_size=1, max_size=6)


@settings(max_examples=150, deadline=None)
@given(speeches=st.lists(st.tuples(st.sampled_from(["TANSY", "BRAM", "GULL 2"]), WORDS), min_size=1, max_size=12))
@pytest.mark.parametrize("form", ["{0}\n{1}\n\n", "{0}: {1}\n", "**{0}:** {1}\n\n", "{0} — {1}\n", "1. {0}: {1}\n"])
def test_every_speech_comes_back_whole_in_every_form(form: str, speeches: list[tuple[str, list[str]]]) -> None:
    said = [(name, " ".join(words)) for name, words in speeches]
    script = parse_script("".join(form.format(name, words) for name, words in said), "s.txt")
    assert [(line.speaker, line.text) for line in script.lines] == said
    assert all(line.kind is LineKind.SPOKEN for line in script.lines)


def test_every_word_is_in_some_line_or_fact() -> None:
    text = "Odd: one\ntwo three\n\nFOUR: five (six) [seven]\n(eight)\nnine - ten\n\n♪ eleven\n\ntwelve: 13\n"
    script = parse_script(text, "s.txt")
    read = " ".join(
        [
            *(f"{line.speaker} {' '.join(line.directions)} {line.text}" for line in script.lines),
            str(dict(script.facts)),
        ]
    ).casefold()
    for word in "one two three four five six seven eight nine ten eleven twelve 13".split():
        assert word in read, word


# --- bad input -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "   \n\t\n", "\ufeff"])
def test_an_empty_script_is_refused_with_an_example(tmp_path: Path, text: str) -> None:
    path = tmp_path / "script.txt"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ScriptError, match=r"script\.txt: the script is empty; write for example"):
        read_script(path)


def test_a_script_without_dialogue_is_a_finding(tmp_path: Path) -> None:
    path = tmp_path / "script.fountain"
    path.write_text("EXT. ROCK\n\nThe sea goes out.\n", encoding="utf-8")
    assert [f.code for f in read_script(path).findings] == ["no-dialogue"]


def test_a_single_line_of_two_megabytes_is_refused_with_its_line_number(tmp_path: Path) -> None:
    path = tmp_path / "script.txt"
    path.write_text("TANSY: Hello.\nBRAM: " + "sea " * 500_000, encoding="utf-8")
    with pytest.raises(ScriptError, match=r"script\.txt:2: this line has 2,000,006 characters"):
        read_script(path)


def test_a_speech_far_too_long_is_refused_with_its_line_number() -> None:
    with pytest.raises(ScriptError, match=r"s\.fountain:2: this speech has 3\d,\d+ characters"):
        parse_script("TANSY\n" + "the sea goes out\n" * 2000, "s.fountain")


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ScriptError, match="this is a folder"):
        read_script(tmp_path)
    with pytest.raises(ScriptError, match="no such file"):
        read_script(tmp_path / "none.txt")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="everything is readable for root")
def test_an_unreadable_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "script.txt"
    path.write_text("TANSY: Hello.")
    path.chmod(0)
    with pytest.raises(ScriptError, match="cannot be read"):
        read_script(path)


@pytest.mark.parametrize(
    ("start", "what"),
    [(b"PK\x03\x04rest", "zip"), (b"%PDF-1.7", "PDF"), (b"{\\rtf1 x}", "rich-text"), (b"a\0b", "zero")],
)
def test_what_is_no_text_is_named(start: bytes, what: str) -> None:
    with pytest.raises(ScriptError, match=what):
        decode(start, Path("s.txt"))


# --- decoding (encodings as Python's own codecs write them) ------------------------------------------------


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16"])
def test_unicode_encodings_are_read_without_a_finding(codec: str) -> None:
    assert decode("ÉLODIE: Où va la mer ?".encode(codec), Path("s.txt")) == ("ÉLODIE: Où va la mer ?", ())


def test_utf16_big_endian_with_mark_is_read() -> None:
    assert decode(b"\xfe\xff" + "Où".encode("utf-16-be"), Path("s.txt"))[0] == "Où"


def test_windows_1252_is_read_with_a_finding_that_names_the_line() -> None:
    text, findings = decode("TANSY: Oh.\r\nBRAM: It’s “wet” – où…".encode("cp1252"), Path("s.txt"))
    assert text == "TANSY: Oh.\nBRAM: It’s “wet” – où…"
    assert [(f.code, f.where) for f in findings] == [("encoding-guessed", Where("s.txt", 2))]


def test_damaged_utf16_names_the_line() -> None:
    with pytest.raises(ScriptError, match=r"s\.txt:2: the UTF-16 text is damaged"):
        decode(b"\xff\xfe" + "a\nb".encode("utf-16-le") + b"\x00\xdc", Path("s.txt"))


# --- notes and emphasis ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("pause 0.8 s", "0.8"),
        ("pause 0,8 s", "0.8"),
        ("Pause: 2 seconds", "2"),
        ("pause 500ms", "0.5"),
        ("pause", "0.8"),
    ],
)
def test_pause_notes(text: str, seconds: str) -> None:
    assert read_note(text, Where("s")).pause == Fraction(seconds)


@pytest.mark.parametrize("text", ["pasue 0.8 s", "4", "4 sx", "pause 3 frogs", "song", "soong out, bar 9", "pause 0 s"])
def test_near_misses_are_findings(text: str) -> None:
    note = read_note(text, Where("s"))
    assert note.finding is not None
    assert note.finding.code == "note-not-understood"


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("puase 1 s", "did you mean [[pause 1 s]]?"),
        ("wiat 3 s", "did you mean [[wait 3 s]]?"),
        ("puase three seconds", "did you mean [[pause 3 seconds]]?"),
        ("frmaes 12", "did you mean [[12 frames]]?"),
        ("soong out, bar 9", "did you mean [[song out, bar 9]]?"),
        ("pause 3 frogs", "write a pause in seconds, for example [[pause 3 s]]"),
        ("7", "add the unit, for example [[7 s]] or [[7 frames]]"),
        ("7 secnds", "write a length as [[7 s]], [[7 frames]] or [[7 bars]]"),
        ("lasting 2 s", "write [[pause 2 s]] for a silence, [[2 s]] for the length of a picture passage"),
    ],
)
def test_a_suggestion_keeps_the_number_that_was_written(text: str, advice: str) -> None:
    finding = read_note(text, Where("s")).finding
    assert finding is not None
    assert finding.message == f"[[{text}]] was not understood: {advice}"
    for note in re.findall(r"\[\[(.*?)\]\]", advice):
        assert read_note(note, Where("s")).finding is None


@pytest.mark.parametrize(
    ("text", "seconds"), [("three seconds", 3), ("ten seconds", 10), ("a second", 1), ("half a second", Fraction(1, 2))]
)
def test_lengths_in_words(text: str, seconds: int) -> None:
    length = read_note(text, Where("s")).length
    assert length is not None
    assert (length.amount, length.unit) == (seconds, "s")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "hold the shell",
        "wait for Ada",
        "two crabs",
        "check the tide table",
        "4 crabs walk here, then 2 more",
        "see page 12",
        "songbirds?",
    ],
)
def test_other_notes_are_ignored(text: str) -> None:
    note = read_note(text, Where("s"))
    assert (note.length, note.pause, note.cue) == (None, None, None)


@pytest.mark.parametrize("marked", ["*sea*", "**sea**", "***sea***", "_sea_", "_***sea***_", "**_sea_**"])
def test_nested_emphasis_is_one_range(marked: str) -> None:
    assert strip_emphasis(f"the {marked} goes") == ("the sea goes", [(4, 7)])


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("wiht effects", "with effects"), ("wih effects", "with effects"), ("pictre yard", "picture yard")],
)
def test_a_slip_in_a_note_that_chooses_is_met(typed: str, meant: str) -> None:
    found = read_note(typed, Where("s")).finding
    assert found is not None
    assert f"did you mean [[{meant}]]?" in found.message
    assert read_note("whisk the eggs", Where("s")).finding is None  # a remark


@pytest.mark.parametrize(
    ("names", "near"),
    [
        ("TANSY TANYS", None),  # neither is frequent
        ("TANSY TANSY TANYS", "TANSY"),
        ("TANSY TANSY TANYS TANYS", None),  # met twice
        ("TANSY TANSY TANSIE", None),
        ("TANSY TANSY TANSY TANSIE", "TANSY"),
        ("TOM TOM TOM TIM", None),  # three letters are too few
        ("BRAM BRAM BRM", "BRAM"),
        ("CRAB CRAB CRAB CRAB 2", None),
    ],
)
def test_a_name_met_once_is_told_where_it_is_nearly_a_frequent_one(names: str, near: str | None) -> None:
    script = parse_script(
        "".join(f"{name}: Oh.\n" for name in names.replace(" 2", "_2").split()).replace("_2", " 2"), "x.txt"
    )
    found = [f.facts["near"] for f in script.findings if f.code == "speaker-near"]
    assert found == ([near] if near else [])
