"""A song headed in plain words, without a sign or brackets, in six languages; what its author means, written by hand."""

from __future__ import annotations

import pytest

from timing.model import LineKind, Script
from timing.script import parse_script
from timing.script.song_signs import SongPart, are_like_lyrics, near_part, read_part

SONGS = {
    "en": ("Song: Up and Down", "The Song of the Tide", "Music: Up and Down", "up-and-down"),
    "pt": ("Canção: Sobe e Desce", "A canção da maré", "Música: Sobe e Desce", "sobe-e-desce"),
    "es": ("Canción: Sube y Baja", "La canción de la marea", "Música: Sube y Baja", "sube-y-baja"),
    "fr": ("Chanson : Monte et Descend", "La chanson de la marée", "Musique : Monte et Descend", "monte-et-descend"),
    "de": ("Lied: Auf und Ab", "Das Lied vom Meer", "Musik: Auf und Ab", "auf-und-ab"),
    "it": ("Canzone: Su e Giù", "La canzone della marea", "Musica: Su e Giù", "su-e-giù"),
}
VERSE = "La la la la la,\nla la la la la!"
CUES = [(language, form) for language in SONGS for form in range(3)]


def sung(script: Script) -> list[str]:
    return [line.text for line in script.lines if line.kind is LineKind.SUNG]


@pytest.mark.parametrize(("language", "form"), CUES)
def test_a_heading_over_a_verse_heads_a_song(language: str, form: int) -> None:
    heading = SONGS[language][form]
    script = parse_script(f"TANSY: Now!\n\n{heading}\n\n{VERSE}\n\nTANSY: Oh.\nBRAM: Ah.\n", "x.txt")
    assert sung(script) == VERSE.split("\n")
    assert [line.text for line in script.lines if line.kind is LineKind.SPOKEN] == ["Now!", "Oh.", "Ah."]
    (cue,) = [line.cue for line in script.lines if line.cue]
    assert cue.song == (SONGS[language][3] if form != 1 else heading.casefold().replace(" ", "-"))
    assert ("song" in [f.code for f in script.findings]) is (form > 0)  # told by the verse alone: said so


@pytest.mark.parametrize("language", SONGS)
def test_it_does_in_fountain_too(language: str) -> None:
    heading = SONGS[language][0]
    for verse in (VERSE, "~" + VERSE.replace("\n", "\n~")):
        script = parse_script(f"TANSY\nNow!\n\n{heading}\n\n{verse}\n\nBRAM\nAh.\n", "x.fountain")
        kinds = [LineKind.SPOKEN, LineKind.SUNG, LineKind.SUNG, LineKind.SPOKEN]
        assert [line.kind for line in script.lines] == kinds
        assert script.lines[1].cue is not None
        assert script.lines[1].cue.song == SONGS[language][3]


@pytest.mark.parametrize(
    "below",
    [
        "The sun goes down.\nThe gull lands.",  # sentences
        "The sun goes down",  # one line
        "TANSY dances\nBRAM claps",  # what they do
        "TANSY: La la la,\nBRAM: la la la!",  # speeches
        f"{'la ' * 20}la\nla la la",  # 62 characters: no line of a verse
        "# Scene 2\nla la",
    ],
)
def test_music_over_anything_else_is_a_sound(below: str) -> None:
    script = parse_script(f"TANSY: Now!\n\nMusic: Piano\n\n{below}\n\nTANSY: Oh.\nBRAM: Ah.\n", "x.txt")
    assert script.lines[1].text == "Music: Piano"
    assert not sung(script)


def test_a_line_of_sixty_characters_is_one_of_a_verse() -> None:
    line = "la " * 19 + "laa"
    script = parse_script(f"TANSY: Now!\n\nMusic: Piano\n\n{line}\nla la\n\nTANSY: Oh.\nBRAM: Ah.\n", "x.txt")
    assert (len(line), len(sung(script))) == (60, 2)


def test_a_note_right_above_a_heading_names_the_song() -> None:
    script = parse_script("[[song out-and-in, bar 2]]\nSong: Up and Down\nTANSY: La la\n", "x.txt")
    assert script.lines[0].cue is not None
    assert (script.lines[0].cue.song, script.lines[0].cue.bar) == ("out-and-in", 2)
    late = parse_script(
        "[[song out-and-in, bar 2]]\nTANSY: Hi.\nBRAM: Ho.\n\nSong: Up and Down\nTANSY: La la\n", "x.txt"
    )
    assert late.lines[2].cue is not None
    assert late.lines[2].cue.song == "up-and-down"


def test_where_nothing_has_a_blank_line_a_name_below_a_verse_speaks() -> None:
    script = parse_script(f"TANSY: Now!\nSong: Up and Down\n{VERSE}\nBRAM: Nice.\nTANSY: Yes.\n", "x.txt")
    assert [line.text for line in script.lines if line.kind is LineKind.SPOKEN] == ["Now!", "Nice.", "Yes."]


@pytest.mark.parametrize(
    ("verse", "is_one"),
    [
        (["la la"], False),
        (["la la", "la la"], True),
        (["la.", "la"], True),  # one of two is a sentence
        (["la.", "la."], False),
        (["la.", "la.", "la"], False),
        (["la.", "la.", "la", "la"], True),
        (["la:", "la:", "la"], False),
        (["l" * 60, "la"], True),
        (["l" * 61, "la"], False),
    ],
)
def test_what_a_verse_looks_like(verse: list[str], is_one: bool) -> None:
    """Our own limits: two lines, at most half of them closed by a point, none over 60 characters."""
    assert are_like_lyrics(verse) is is_one


def test_only_long_words_are_slips_for_a_part() -> None:
    """Five letters and more; "coro" (four) has too many neighbours. Lines over 40 characters head nothing."""
    assert near_part("vere") is None
    assert near_part("corr") is None
    assert near_part("verce") == (SongPart("verse"), "Verse")
    long = "Corus" + " " * 35
    assert (len(long), near_part(long) is not None) == (40, True)
    assert near_part(long + " ") is None


def test_number_words_count_parts_and_times_as_figures_do() -> None:
    assert read_part("Verse Two") == read_part("Verse 2") == SongPart("verse", 2)
    assert read_part("Strophe zehn") == SongPart("verse", 10)
    assert read_part("Refrão (duas vezes)") == SongPart("chorus", None, 2)
    assert read_part("Refrain (drei Mal)") == SongPart("chorus", None, 3)
    assert read_part("Final") == SongPart("outro")
    assert read_part("Final Chorus") == SongPart("chorus")
    assert read_part("Um refrão") is None
