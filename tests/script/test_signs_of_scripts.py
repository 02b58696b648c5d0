"""What small signs of a script say, each table by what their authors mean by them (common practice, from memory).

Parts of songs, notes about time, emphasis, waits and sounds, chat stamps: for each rule a row on either side of it.
"""

from fractions import Fraction as F

import pytest

from tests.script.render import render
from timing.model import NotedLength, SongCue, Where
from timing.script import parse_script
from timing.script.decoding import clean
from timing.script.directions import is_direction, nearest_direction, sort_brackets
from timing.script.markup import Piece, strip_emphasis, tidy
from timing.script.notes import read_note, slug, written_pause
from timing.script.passages import read_sound, read_wait
from timing.script.plain_signs import is_clause
from timing.script.song_signs import SongPart, count_at_end, ends_song, read_part, song_title, tells_song_end

HERE = Where("s", 3)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Chorus", SongPart("chorus")), ("Verse 2", SongPart("verse", 2)), ("Verse 12", SongPart("verse", 12)),
        ("Verse 123", None), ("2", None), ("Chorus x2", SongPart("chorus", times=2)), ("Chorus 2x", SongPart("chorus", times=2)),
        ("Chorus 2 times", SongPart("chorus", times=2)), ("Refrain twice", SongPart("chorus", times=2)),
        ("Refrão duas vezes", SongPart("chorus", times=2)), ("Double chorus", SongPart("chorus", times=2)),
        ("Chorus double", None), ("Chorus x12", SongPart("chorus", times=12)), ("Chorus x13", None), ("Chorus x0", None),
        ("Repeat chorus", SongPart("chorus", is_repeat=True)), ("Repeat the chorus", SongPart("chorus", is_repeat=True)),
        ("Chorus once more", SongPart("chorus", is_repeat=True)), ("Final chorus", SongPart("chorus")),
        ("The chorus", SongPart("chorus")), ("Chorus (all)", SongPart("chorus")), ("Chorus to", None),
        ("[Chorus to]", SongPart("chorus")), ("(x2)", SongPart("", times=2)), ("x2", SongPart("", times=2)), ("(bis)", SongPart("", times=2)),
        ("bis", None), ("(again)", SongPart("", is_repeat=True)), ("again", None), ("(the)", None), ("(again, all)", None),
        ("(3 times)", SongPart("", times=3)), ("3 times", None), ("Chorus: x2", SongPart("chorus", times=2)),
        ("Chorus x3: x2", SongPart("chorus", times=3)), ("Chorus - repeat", SongPart("chorus", is_repeat=True)),
        ("Repeat chorus: x2", SongPart("chorus", times=2, is_repeat=True)), ("Verse 1: Tansy", SongPart("verse", 1, rest="Tansy")),
        ("Chorus: chorus", SongPart("chorus", rest="chorus")), ("x2: Tansy", None), ("Chorus chorus", None),
        ("The chorus is loud", None), ("Chorus " + "x" * 112, None), ("[Verse 3]", SongPart("verse", 3)),
    ],
)  # fmt: skip
def test_a_line_that_names_a_part_of_a_song(text, part):
    assert read_part(text) == part


def test_a_part_is_called_by_its_role_and_number():
    assert (SongPart("verse", 2).name, SongPart("chorus").name) == ("verse 2", "chorus")


@pytest.mark.parametrize(
    ("text", "words", "times"),
    [
        ("Out and in (x2)", "Out and in", 2), ("Out and in x3", "Out and in", 3), ("Out and in 2x", "Out and in", 2),
        ("Out and in (repeat)", "Out and in", 2), ("Out and in (repeat 3x)", "Out and in", 3),
        ("Out and in (chorus)", "Out and in (chorus)", 1), ("Out and in (out)", "Out and in (out)", 1),
        ("o" * 70 + " in (x4)", "o" * 70 + " in", 4), ("Out x", "Out x", 1), ("(x2)", "(x2)", 1),
        ("Out (x2 x2 x2 x2 x2 x2 x2 x2)", "Out", 2), ("Out (x2 x2 x2 x2 x2 x2 x2 x2 x2 x2)", "Out (x2 x2 x2 x2 x2 x2 x2 x2 x2 x2)", 1),
    ],
)  # fmt: skip
def test_a_count_behind_a_sung_line(text, words, times):
    assert count_at_end(text) == (words, times)


@pytest.mark.parametrize(
    ("text", "as_heading", "else_"),
    [
        ("Song: Out and In", "Out and In", "Out and In"), ("SONG", "", ""), ("Song 2 – Pebbles", "Pebbles", "Pebbles"),
        ("Canción: «La marea»", "La marea", "La marea"), ("The Tide Song", "The Tide Song", None),
        ("Music: soft piano", "soft piano", None), ('Música: "Pinga"', "Pinga", "Pinga"), ("Scene of the song", None, None),
        ("The song is loud", None, None), ("Pebbles", None, None),
    ],
)  # fmt: skip
def test_a_line_that_heads_a_song(text, as_heading, else_):
    assert (song_title(text, True), song_title(text, False)) == (as_heading, else_)


def test_a_line_that_ends_a_song():
    assert ends_song("(End of song)")
    assert not ends_song("The song ends and a gull lands")
    assert tells_song_end("The song ends and a gull lands")
    assert not tells_song_end("The song begins")


# --- notes --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "length", "pause"),
    [
        ("4 s", NotedLength(F(4), "s"), None), ("4 seconds", NotedLength(F(4), "s"), None), ("250 ms", NotedLength(F(1, 4), "s"), None),
        ("36 frames", NotedLength(F(36), "frames"), None), ("2,5 bars", NotedLength(F(5, 2), "bars"), None),
        (".5 s", NotedLength(F(1, 2), "s"), None), ("three seconds", NotedLength(F(3), "s"), None),
        ("half a second", NotedLength(F(1, 2), "s"), None), ("a bar", NotedLength(F(1), "bars"), None),
        ("pause 0.8 s", None, F(4, 5)), ("pause", None, F(4, 5)), ("pause 500 ms", None, F(1, 2)), ("silence: 2", None, F(2)),
        ("pause for two seconds", None, F(2)), ("wait 1 s", NotedLength(F(1), "s"), F(1)), ("hold 2", NotedLength(F(2), "s"), F(2)),
        ("hold 12 frames", NotedLength(F(12), "frames"), None), ("wait", None, None), ("hold", None, None),
        ("hold the moon", None, None), ("pause here? ask Ada", None, None), ("look 2 up", None, None),
    ],
)  # fmt: skip
def test_a_note_about_time(text, length, pause):
    note = read_note(text, HERE)
    assert (note.length, note.pause, note.finding) == (length, pause, None)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("4", "add the unit, for example [[4 s]] or [[4 frames]]"), ("4 hours", "write a length as [[4 s]], [[4 frames]] or [[4 bars]]"),
        ("0 s", "write a length as [[4 s]], [[4 frames]] or [[4 bars]]"), ("pause 3 bars", "for example [[pause 3 s]]"),
        ("pause 0", "for example [[pause 0.8 s]]"), ("pause 0,5 bars", "for example [[pause 0,5 s]]"),
        ("wait 0 s", "write a length as [[4 s]]"),
        ("pasue 0.8 s", "did you mean [[pause 0.8 s]]?"), ("4 secnds", "write a length as [[4 s]], [[4 frames]] or [[4 bars]]"),
        ("sogn 3", "did you mean [[song 3]]?"), ("song", "name the song, for example [[song out-and-in, bar 9]]"),
        ("again", "name the part, for example [[again chorus]]"), ("again chrus", "did you mean [[again chorus]]?"),
        ("wiht effects", "did you mean [[with effects]]?"), ("pictre bay", "did you mean [[picture bay]]?"),
        ("pause in three bars", "for example [[pause 3 s]]"),
    ],
)  # fmt: skip
def test_a_note_that_is_not_understood_says_what_to_write(text, advice):
    finding = read_note(text, HERE).finding
    assert finding is not None
    assert advice in finding.message
    assert finding.message.startswith(f"[[{text}]] was not understood: ")
    assert (finding.facts, finding.where) == ({"note": text}, HERE)


@pytest.mark.parametrize(
    ("text", "cue"),
    [
        ("song out-and-in, bar 9", SongCue("out-and-in", 9)), ("song Out and In", SongCue("out-and-in", None)),
        ("song box, bar 0", SongCue("box", 0)), ("song: box; bar 1234", SongCue("box", 1234)),
    ],
)  # fmt: skip
def test_a_note_that_names_a_song(text, cue):
    assert read_note(text, HERE).cue == cue


def test_notes_that_choose_and_call_back():
    assert read_note("with pans", HERE).profile == "pans"
    assert read_note("picture bay-wide.png", HERE).still == "bay-wide"
    assert read_note("picture the moon", HERE).still is None
    assert read_note("again verse 1 x2", HERE).part == SongPart("verse", 1, 2, True)
    assert read_note("chorus", HERE).part == SongPart("chorus")
    assert read_note("x2", HERE).part is None
    assert slug("Out & In!") == "out-in"


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("beat", F(4, 5)), ("Short pause.", F(2, 5)), ("a long pause", F(3, 2)), ("pause 1 s", F(1)), ("pause 1 bar", None),
        ("pause for three seconds", F(3)), ("softly", None), ("pause 0 s", None),
    ],
)  # fmt: skip
def test_a_pause_written_in_brackets(text, seconds):
    assert written_pause(text) == seconds


# --- emphasis ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "plain", "ranges"),
    [
        ("a *b* c", "a b c", [(2, 3)]), ("**b**", "b", [(0, 1)]), ("***b***", "b", [(0, 1)]), ("_b_", "b", [(0, 1)]),
        ("**a *b***", "a b", [(0, 3)]), ("*a **b***", "a b", [(0, 3)]), ("*a* *b*", "a b", [(0, 1), (2, 3)]),
        ("* a *", "* a *", []), ("a * b", "a * b", []), ("snake_case_word", "snake_case_word", []), ("_a_b", "_a_b", []),
        ("\\*a\\*", "*a*", []), ("****a****", "****a****", []), ("*a", "*a", []), ("**a*", "**a*", []), ("a _b_, c", "a b, c", [(2, 3)]),
        ("*_**a**_*", "a", [(0, 1)]), ("*a* b **c**", "a b c", [(0, 1), (4, 5)]), ("*a*b", "ab", [(0, 1)]),
    ],
)  # fmt: skip
def test_emphasis_as_fountain_writes_it(text, plain, ranges):
    """fountain.io/syntax, "Emphasis": marks stand beside a word, an escaped one is a sign, none inside a word counts."""
    assert strip_emphasis(text) == (plain, ranges)
    assert strip_emphasis("_a_", underline=False) == ("_a_", [])


def test_blanks_are_one_and_offsets_move_along():
    piece = Piece("  a   b ", [(2, 3), (6, 7), (3, 5)])
    piece.pause(F(1))
    made = tidy(piece)
    assert (made.text, made.emphasis, made.pauses[0].offset) == ("a b", [(0, 1), (2, 3), (1, 2)], 3)
    joined = Piece("Look")
    joined.pause(F(1, 2))
    joined.pause(F(1, 4))
    joined.add(Piece("there", [(0, 5)]))
    assert (joined.text, joined.emphasis) == ("Look there", [(5, 10)])
    assert [(p.offset, p.length) for p in joined.settled_pauses()] == [(5, F(3, 4))]  # before the word, added up
    empty = Piece()
    empty.add(Piece("sea"))
    assert empty.text == "sea"


# --- brackets, waits, sounds -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("softly", True), ("to Bram", True), ("to the gull", True), ("to be honest", False), ("really", False), ("king", False),
        ("beat", True), ("", False), ("singing", True), ("lowly", True), ("only", False), ("wispered", True), ("sly", False),
        ("quietly to nobody at all", True), ("the moon sings softly", False), ("looking at the moon", True),
    ],
)  # fmt: skip
def test_a_bracket_that_says_how(text, is_one):
    assert is_direction(text) is is_one


def test_mistyped_directions_are_met_from_five_letters_on():
    assert nearest_direction("loudy") is None or nearest_direction("loudy") == "loudly"
    assert nearest_direction("lodly") == "loudly"
    assert nearest_direction("fas") is None
    assert nearest_direction("whispers") is None


@pytest.mark.parametrize(
    ("text", "spoken", "directions", "asides"),
    [
        ("(softly) Look.", "Look.", ["softly"], []), ("(the big one) Look.", "Look.", ["the big one"], []),
        ("Look (the big one).", "Look — the big one.", [], ["the big one"]),
        ("Look (the big one!) there.", "Look — the big one! there.", [], ["the big one!"]),
        ("Look (the big one!)!", "Look — the big one!", [], ["the big one!"]), ("Look (the big one.)?", "Look — the big one.?", [], ["the big one."]),
        ("Look. (The big one.) There.", "Look. The big one. There.", [], ["The big one."]),
        ("Look (the big one) there.", "Look — the big one — there.", [], ["the big one"]),
        ("Look [points] there.", "Look there.", ["points"], []), ("Look {hm} there", "Look there", ["hm"], []),
        ("Look (points), there.", "Look, there.", ["points"], []), ("Look () there", "Look there", [], []),
        ("*giggles* Look", "Look", ["giggles"], []), ("He *laughs* a lot", "He *laughs* a lot", [], []),
        ("Look! *giggles*", "Look!", ["giggles"], []),
        ("Look ((softly)) there", "Look there", ["softly"], []),
    ],
)  # fmt: skip
def test_brackets_in_a_speech(text, spoken, directions, asides):
    found = sort_brackets(text, True, str)
    assert (found.text, found.directions, found.asides) == (spoken, directions, asides)


def test_an_aside_at_the_start_of_a_later_line_is_spoken_and_in_a_lyric_an_echo():
    assert sort_brackets("(the big one) Look.", False, str).text == "— the big one — Look."
    assert sort_brackets("Out and in (out and in)", True, str, is_sung=True).text == "Out and in (out and in)".replace(
        "(", ""
    ).replace(")", "")
    assert sort_brackets("(out and in)", True, str, is_sung=True).asides == ["out and in"]


@pytest.mark.parametrize(
    ("text", "length", "is_assumed", "is_for_answer", "is_pause"),
    [
        ("pause", F(4, 5), True, False, True), ("long pause", F(3, 2), True, False, True), ("short pause", F(2, 5), True, False, True),
        ("pausa longa", F(3, 2), True, False, True), ("waits", F(3, 2), True, False, False), ("short wait", F(3, 2), True, False, False),
        ("waits two seconds", F(2), False, False, False), ("pause for 2.5 s", F(5, 2), False, False, True),
        ("waits for the children to answer", F(3), True, True, False), ("waits 5 seconds for an answer", F(5), False, True, False),
        ("pause of 2 s for an answer", F(2), False, True, False), ("listens to the children", F(3), True, True, False),
        ("time for the kids to reply", F(3), True, True, False), ("waiting ten full seconds", F(10), False, False, False),
        ("she listens to the kittens while the children answer", F(3), True, True, False),  # no "ten s" is written
        ("she looks at the sea and waits 2 seconds", F(2), False, False, False),
    ],
)  # fmt: skip
def test_a_wait(text, length, is_assumed, is_for_answer, is_pause):
    wait = read_wait(text)
    assert wait is not None
    assert (wait.length, wait.is_assumed, wait.is_for_answer, wait.is_pause) == (
        length,
        is_assumed,
        is_for_answer,
        is_pause,
    )
    assert wait.text == text


@pytest.mark.parametrize(
    "text",
    ["Wait for me!", "wait 2 seconds for me", "They wait for the tide.", "listens", "wait 0 s", "", "in two seconds",
     "one two three four five six wait for an answer", "wait " + "very " * 13 + "long"],
)  # fmt: skip
def test_no_wait(text):
    assert read_wait(text) is None


@pytest.mark.parametrize(
    ("text", "boxed", "bare"),
    [
        ("SFX: PLOP!", "PLOP!", "PLOP!"), ("sound of waves", "sound of waves", None), ("sfx splash", "splash", "splash"),
        ("Music: soft piano", "Music: soft piano", "Music: soft piano"), ("Cheerful music plays", "Cheerful music plays", None),
        ("a gull", None, None), ("sound of " + "very " * 11 + "wave", "sound of " + "very " * 11 + "wave", None),
        ("sound of " + "very " * 12 + "wave", None, None), ("sfx " + "a " * 12 + "b", "a " * 12 + "b", "a " * 12 + "b"),
        ("sfx " + "a " * 13 + "b", None, None),
    ],
)  # fmt: skip
def test_a_sound_cue(text, boxed, bare):
    assert (read_sound(text, True), read_sound(text, False)) == (boxed, bare)


def test_words_in_capitals_that_nobody_is_called_by():
    assert [is_clause(t) for t in ("I SAID", "THE WAVE SAID", "OLD MAN", "I", "SAID", "AND THEN")] == [
        True, True, False, False, False, True,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "becomes"),
    [
        (0x00, ""), (0x08, ""), (0x09, "\t"), (0x0A, "\n"), (0x0B, "\n"), (0x0D, "\n"), (0x1F, ""), (0x20, " "), (0x7E, "~"),
        (0x7F, ""), (0x80, ""), (0x85, "\n"), (0x9F, ""), (0xA0, " "), (0xA1, "¡"), (0xAD, ""), (0x200B, ""), (0x2028, "\n"),
        (0x2010, "-"), (0x3000, " "), (0xFF1A, ":"), (0x2069, ""),
    ],
)  # fmt: skip
def test_control_signs_carry_no_text(code, becomes):
    """C0 and C1 controls are U+0000 to U+001F and U+007F to U+009F (ISO/IEC 6429); tabs and line ends stay."""
    assert clean(f"a{chr(code)}b") == f"a{becomes}b"


# --- whole scripts --------------------------------------------------------------------------------------------------


def lines(text):
    return [(n.kind.value, n.speaker, n.text) for n in parse_script(text, "s.txt").lines]


def codes(text):
    script = parse_script(text, "s.txt")
    return [f.code.value for f in (*script.findings, *(f for n in script.lines for f in n.findings))]


def test_chat_stamps_go_and_the_writer_of_a_chat_is_no_character():
    chat = "[12/03/26, 10:31] Ada: TANSY: Where does it go?\n[12/03/26, 10:32] Ada: BRAM: Out.\n"
    assert lines(chat) == [("spoken", "TANSY", "Where does it go?"), ("spoken", "BRAM", "Out.")]
    assert codes(chat) == ["chat-stamps"]
    # a time alone may time a speech: its sender speaks
    assert lines("[10:31] Tansy: Where?\n[10:32] Bram: Out.\n") == [
        ("spoken", "TANSY", "Where?"), ("spoken", "BRAM", "Out."),
    ]  # fmt: skip
    # nobody is named within the messages: the senders speak
    assert lines("12/03/26, 10:31 - Ada: Where does it go?\n12/03/26, 10:32 - Ada: Out.\n") == [
        ("spoken", "ADA", "Where does it go?"), ("spoken", "ADA", "Out."),
    ]  # fmt: skip


def test_what_stands_beside_the_heading_of_a_part():
    told = "TANSY: Come.\n\nSong: Out\n\n{}\nOut and in.\n\nTANSY: Bye.\nTANSY: Bye bye.\n"
    assert ("sung", "TANSY", "Out and in.") in lines(told.format("[Verse 1: Tansy]"))
    assert "beside-heading" in codes(told.format("[Verse 1: softly and low]"))
    assert not any("softly and low" in text for _, _, text in lines(told.format("[Verse 1: softly and low]")))
    sung = lines(told.format("Verse 1: The sea"))
    assert [text for kind, _, text in sung if kind == "sung"] == ["The sea", "Out and in."]
    assert "beside-heading" not in codes(told.format("Verse 1: The sea"))


def test_a_part_that_names_its_singer_begins_a_song():
    headed = lines("TANSY: Hm.\nTANSY: Look.\n\nVerse 1: Tansy\nOut and in.\n")
    assert headed[-1] == ("sung", "TANSY", "Out and in.")


@pytest.mark.parametrize(
    ("script", "read"),
    [
        # a second of silence between speeches is a wait, less a breath of the speech before; at its head it is seen
        ("TANSY: Look.\n\n[[pause 1 s]]\n\nBRAM: Hm.", "1 spoken TANSY: Look.|3 wait [1 s]: pause|5 spoken BRAM: Hm."),
        ("TANSY: Look.\n\n[[pause 0.99 s]]\n\nBRAM: Hm.", "1 spoken TANSY: Look.<0.99 s>|5 spoken BRAM: Hm."),
        ("TANSY: [[pause 1 s]] Look.", "1 spoken TANSY: <1 s>Look."),
        ("TANSY: [[pause 0.99 s]] Look.", "1 spoken TANSY: <0.99 s>Look."),
        ("TANSY: Look. [[pause 1 s]]\nBRAM: Hm.", "1 spoken TANSY: Look.|1 wait [1 s]: pause|2 spoken BRAM: Hm."),
        ("TANSY: Look. [[pause 0.99 s]]\nBRAM: Hm.", "1 spoken TANSY: Look.<0.99 s>|2 spoken BRAM: Hm."),
        ("TANSY: Look. [[pause 0.5 s]] [[pause 0.5 s]]\nBRAM: Hm.", "1 spoken TANSY: Look.|1 wait [1 s]: pause|2 spoken BRAM: Hm."),
        ("TANSY: Look [[pause 1 s]] there.", "1 spoken TANSY: Look <1 s>there."),  # within a speech it stays there
        # who waits is seen; after a question it is an answer that is waited for
        ("TANSY: Look. [[wait 1 s]]\nBRAM: Hm.", "1 spoken TANSY: Look.|1 wait TANSY [1 s]: wait|2 spoken BRAM: Hm."),
        ("TANSY: Look? [[wait 1 s]]\nBRAM: Hm.", "1 spoken TANSY: Look?|1 wait TANSY [1 s]: wait for an answer|2 spoken BRAM: Hm."),
        ("[[pause 0.5 s]]\n\nA wave.\n\nTANSY: Hm.", "3 picture: A wave.|5 spoken TANSY: Hm.|! pause-alone 1"),
        ("A wave. [[pause 0.5 s]]\n\nTANSY: Hm.", "1 picture: A wave.|3 spoken TANSY: Hm.|! pause-alone 1"),
        ("A wave. [[wait 2 s]]\n\nTANSY: Hm.", "1 picture [2 s]: A wave.|3 spoken TANSY: Hm."),
        ("A wave.\n[[wait 2 s]]\n\nTANSY: Hm.", "1 picture [2 s]: A wave.|4 spoken TANSY: Hm."),
        ("TANSY: (softly) Look. (beat) There.", "1 spoken TANSY (softly): Look. <0.8 s>There."),
        ("TANSY: Look. (sighs)\nBRAM: Hm.", "1 spoken TANSY (sighs): Look.|2 spoken BRAM: Hm."),
        ("TANSY: Look. (beat)\nBRAM: Hm.", "1 spoken TANSY: Look.<0.8 s>|2 spoken BRAM: Hm."),
        ("TANSY: Look. (long pause)\nBRAM: Hm.", "1 spoken TANSY: Look.|1 wait [1.5 s]: pause|2 spoken BRAM: Hm."),
        # a choice that stands beside nothing, or gives way to another one, is said
        ("TANSY: Look. [[with pans]]\n\n[[with pans]]", "1 spoken TANSY: Look.|! note-unused 3"),
        ("TANSY: [[with a]] Look. [[with b]]", "1 spoken TANSY: Look.|! note-unused 1"),
        ("TANSY: [[picture a]] Look. [[picture b]]", "1 spoken TANSY: Look.|! note-unused 1"),
        # a name met once that is one slip from one met more often; short names are all alike
        ("TANSY: A.\nTANSY: B.\nTANSY: C.\nTANYS: D.", "1 spoken TANSY: A.|2 spoken TANSY: B.|3 spoken TANSY: C.|4 spoken TANYS: D.|! speaker-near 4"),
        ("TANSY: A.\nTANSY: B.\nTANYS: D.", "1 spoken TANSY: A.|2 spoken TANSY: B.|3 spoken TANYS: D.|! speaker-near 3"),
        ("TAN: A.\nTAN: B.\nTAN: C.\nTNA: D.", "1 spoken TAN: A.|2 spoken TAN: B.|3 spoken TAN: C.|4 spoken TNA: D."),
        ("BRAM: A.\nBRAM: B.\nBRAM: C.\nBRMA: D.", "1 spoken BRAM: A.|2 spoken BRAM: B.|3 spoken BRAM: C.|4 spoken BRMA: D.|! speaker-near 4"),
        ("TANSY: (sighs)\n\nBRAM: Hm.\nTANSY: Oh.", "1 picture TANSY: (sighs)|! speaker-without-words 1|3 spoken BRAM: Hm.|4 spoken TANSY: Oh."),
        ("TANSY:\n\nBRAM: Hm.\nTANSY: Oh.", "3 spoken BRAM: Hm.|4 spoken TANSY: Oh.|! speaker-without-words 1"),
        ("TANSY: Look. [[4 s]]", "1 spoken TANSY [4 s]: Look."),
        ("TANSY: [[4 s]] Look.", "1 spoken TANSY [4 s]: Look."),
        ("TANSY: Look. [[2 bars]]", "1 spoken TANSY: Look.|! length-in-speech 1"),
        ("TANSY: Look (SFX: splash) there. (SFX: plop)\nBRAM: Hm.",
         "1 spoken TANSY: Look there.|1 sound @4: splash|1 sound: plop|2 spoken BRAM: Hm."),
        ("Song: Out\n\nTANSY:\n~ Out and in (x2)\n~ and in [[4 s]]",
         "4 sung TANSY {out None}: Out and in|4 sung ↻4 TANSY: Out and in|5 sung TANSY: and in|! length-in-speech 5"),
        ("~ Out and in\n~ and out\n\nTANSY: Hm.", "1 sung: Out and in|! singer-unknown 1|2 sung: and out|4 spoken TANSY: Hm."),
        ("[[song box, bar 2]]\n\nTANSY: Hm.", "3 spoken TANSY: Hm.|! song-cue-unused 1"),
        ("[[4 s]]\n\n[[3 s]]\n\nA wave.\n\nTANSY: Hm.", "1 picture [4 s]: (picture)|! length-alone 1|5 picture [3 s]: A wave.|7 spoken TANSY: Hm."),
        ("INT. ROCK\n\nTANSY: Hm.\n\nEXT. BAY\n\nTANSY: Oh.", "scene INT. ROCK|3 spoken TANSY: Hm.|scene EXT. BAY|7 spoken TANSY: Oh."),
    ],
)  # fmt: skip
def test_a_script_is_read_as_its_author_means_it(script, read):
    """As README and the cases beside this file say; a silence of a second or more is a wait (our own limit)."""
    assert render(parse_script(script + "\n", "s.txt")) == read.replace("|", "\n")


def test_choices_go_to_the_lines_they_stand_beside():
    def chosen(script):
        return [(n.text, n.profile, n.still) for n in parse_script(script, "s.txt").lines]

    assert chosen("TANSY: Look. [[with pans]]\nBRAM: Hm.\n") == [("Look.", "pans", None), ("Hm.", None, None)]
    assert chosen("A wave. [[picture bay]]\n\nTANSY: Hm.\n")[0] == ("A wave.", None, "bay")
    assert chosen("A wave.\n[[with pans]]\n\nTANSY: Hm.\n")[0] == ("A wave.", "pans", None)
    # a note on a line of its own at the head of a speech is for all of it
    assert chosen("TANSY: [[with pans]]\nLook.\n(softly)\nThere.\nBRAM: Hm.\n") == [
        ("Look.", "pans", None), ("There.", "pans", None), ("Hm.", None, None),
    ]  # fmt: skip
    both = chosen("TANSY: Look. [[with pans]] [[picture bay]]\n")
    assert both == [("Look.", "pans", "bay")]
