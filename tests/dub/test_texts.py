"""Words in another language, matched to the lines they stand for; a mismatch says where."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import timing
from timing.dub.texts import find_text
from timing.plain.errors import ScriptError, SettingsError
from timing.script.source import open_source

SCRIPT = "TANSY: Where does the sea go?\nBRAM: It went out for a walk.\nTANSY: All of it?\n"
GERMAN = "TANSY: Wohin geht das Meer?\nBRAM: Es geht nur spazieren.\nTANSY: Das ganze?\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "script.txt").write_text(SCRIPT, "utf-8")
    (tmp_path / "episode.toml").write_text('title = "Tide"\n', "utf-8")
    return tmp_path


def texts_of(folder: Path, language: str = "de") -> dict[str, str]:
    return {dub.id: dub.line.text for dub in timing.edition(folder, language).lines}


WORDS = {"1": "Wohin geht das Meer?", "2": "Es geht nur spazieren.", "3": "Das ganze?"}


def test_the_same_cues_in_the_same_order_are_matched_one_by_one(folder: Path) -> None:
    (folder / "script.de.txt").write_text(GERMAN, "utf-8")
    assert texts_of(folder) == WORDS


@pytest.mark.parametrize("typed", ["de", "German", "deutsch", "de_DE", "de-de"])
def test_a_language_may_be_typed_as_people_write_it(folder: Path, typed: str) -> None:
    (folder / "script.de.txt").write_text(GERMAN, "utf-8")
    assert find_text(open_source(folder), typed).name == "de"


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_a_table_is_matched_by_id_in_any_order_and_with_any_usual_mark(folder: Path, mark: str) -> None:
    rows = ["id{0}text", '3{0}"Das ganze?"', '1{0}"Wohin geht das Meer?"', '2{0}"Es geht nur spazieren."']
    (folder / "lines.de.csv").write_text("\ufeff" + "\r\n".join(rows).format(mark), "utf-8")
    assert texts_of(folder) == WORDS


def test_our_own_line_table_with_its_texts_written_over_can_be_read(folder: Path) -> None:
    """lines.csv has more columns, and an apostrophe before a cell that a spreadsheet would run."""
    rows = ["line,kind,speaker,text,syllables", "1,spoken,TANSY,'-Wohin geht das Meer?,6"]
    (folder / "lines.de.csv").write_text("\n".join(rows), "utf-8")
    assert texts_of(folder) == {"1": "-Wohin geht das Meer?"}


def test_lines_without_words_yet_are_named_and_the_others_judged(folder: Path) -> None:
    (folder / "lines.de.csv").write_text("id,text\n2,Es geht nur spazieren.\n3,\n", "utf-8")
    edition = timing.edition(folder, "de")
    assert [dub.id for dub in edition.lines] == ["2"]
    assert edition.without_text == ("1", "3")
    assert [f.code.value for f in edition.findings] == ["dub-no-text"]


def test_a_speaker_may_have_another_name_in_the_other_language(folder: Path) -> None:
    (folder / "script.de.txt").write_text(GERMAN.replace("BRAM", "BERT"), "utf-8")
    assert texts_of(folder) == WORDS


@pytest.mark.parametrize(
    ("text", "where", "told"),
    [
        (GERMAN.replace("BRAM: Es geht nur spazieren.\n", ""), 2, r"“Das ganze\?” stands here.*line 2, BRAM"),
        (GERMAN + "BRAM: Ja.\n", 4, "BRAM, “Ja.” comes after the last cue of script.txt"),
        (GERMAN.replace("TANSY: Das ganze?\n", ""), 2, "the text ends here, and line 3 of script.txt"),
        (GERMAN.replace("BRAM", "TANSY"), 1, "stands here, where script.txt has line 2, BRAM"),
    ],
    ids=["one left out", "one too many", "ends early", "another speaker"],
)
def test_cues_that_do_not_match_are_an_error_with_its_line(folder: Path, text: str, where: int, told: str) -> None:
    (folder / "script.de.txt").write_text(text, "utf-8")
    with pytest.raises(ScriptError, match=told) as raised:
        timing.edition(folder, "de")
    assert str(raised.value.path).endswith("script.de.txt")
    assert raised.value.line_number is not None
    assert raised.value.line_number >= where


@pytest.mark.parametrize(
    ("table", "line_number", "told"),
    [
        ("id,text\n1,Wohin?\n9,Was?\n", 3, 'no line "9" in the episode'),
        ("id,text\n1,Wohin?\n2,Weg.\n1,Wo?\n", 4, "line 1 stands in row 2 too"),
        ("number,words\n1,Wohin?\n", 1, "the first row says which column is which: id,text"),
        ("id,text\n,Wohin?\n", 2, "words and no id"),
        ('id,text\n1,"Wohin?\n2,Weg.\n', 3, "a quotation mark here is not closed"),
    ],
)
def test_a_table_that_does_not_match_is_an_error_with_its_row(
    folder: Path, table: str, line_number: int, told: str
) -> None:
    (folder / "lines.de.csv").write_text(table, "utf-8")
    with pytest.raises(ScriptError, match=told) as raised:
        timing.edition(folder, "de")
    assert raised.value.line_number == line_number


def test_where_there_is_no_text_the_file_that_is_expected_is_named(folder: Path) -> None:
    (folder / "script.de.txt").write_text(GERMAN, "utf-8")
    with pytest.raises(
        ScriptError, match=r"script\.fr\.fountain or \.txt .* lines\.fr\.csv .*there is script\.de\.txt"
    ):
        timing.edition(folder, "French")


@pytest.mark.parametrize("name", ["script-de.txt", "script_de.fountain", "script.de.docx", "line.de.csv"])
def test_a_file_that_is_nearly_named_so_is_asked_about(folder: Path, name: str) -> None:
    (folder / name).write_text(GERMAN, "utf-8")
    with pytest.raises(ScriptError, match=f"is it {re.escape(name)}. then name it so"):
        timing.edition(folder, "de")


def test_a_misspelt_language_is_an_error_with_the_nearest_one(folder: Path) -> None:
    with pytest.raises(SettingsError, match="did you mean pt_BR"):
        timing.edition(folder, "portugese")


def test_the_episodes_own_language_is_refused(folder: Path) -> None:
    with pytest.raises(SettingsError, match="the language of the episode itself"):
        timing.edition(folder, "english")


def test_two_texts_in_one_language_are_refused(folder: Path) -> None:
    (folder / "script.de.txt").write_text(GERMAN, "utf-8")
    (folder / "lines.de.csv").write_text("id,text\n", "utf-8")
    with pytest.raises(ScriptError, match=r"lines\.de\.csv and script\.de\.txt hold the same language"):
        timing.edition(folder, "de")


def test_a_lone_script_has_its_other_languages_beside_it(tmp_path: Path) -> None:
    (tmp_path / "tide.txt").write_text(SCRIPT, "utf-8")
    (tmp_path / "tide.de.txt").write_text(GERMAN, "utf-8")
    assert texts_of(tmp_path / "tide.txt") == WORDS
    assert open_source(tmp_path).script.name == "tide.txt"  # the other one does not make the folder ambiguous
