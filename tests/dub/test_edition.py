"""An edition as a whole: estimates at the speaker's pace, new clips, what is written."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.dub.editions import edition_of, plan_with
from tests.export.plans import plan_of
from tests.sheet.approved import as_approved
from tests.sheet.drawn_lots import lot
from tests.sheet.geometry import faults
from tests.sheet.hard_set import hard_set
from timing.cli import cli
from timing.dub.outputs import edition_files, heard_plan, write_edition
from timing.language import read_line
from timing.model.dub import Edition, Verdict
from timing.model.settings import SayEntry
from timing.sheet.dub_set import lay_out_edition
from timing.timers.delivery import SpeakerFactor
from timing.timers.pace import PaceTimer

LONG = "Wohin um alles in der Welt ist denn heute Morgen das ganze große Meer gegangen?"


def rows_of(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def test_a_line_is_estimated_by_the_timer_of_its_language() -> None:
    dub = edition_of(plan_with("Where does it go?"), {"1": "Wohin geht es?"}).lines[0]
    alone = PaceTimer("de_DE").time(read_line("Wohin geht es?", "de_DE"))
    assert (dub.line.length, dub.line.low, dub.line.high) == (alone.length, alone.low, alone.high)
    assert dub.line.start == dub.window.start == 1


def test_a_slow_character_is_slow_in_the_other_language_too_and_no_surer() -> None:
    """Dialogue has a factor of 0.91: at 1.82 every sound lasts twice as long; the range keeps its width."""
    plan = plan_with("Where does it go?")
    usual = edition_of(plan, {"1": "Wohin geht es?"}).lines[0].line
    slow = SpeakerFactor("dialogue", 1.82, 0.1, 12)
    found = edition_of(plan, {"1": "Wohin geht es?"}, paces={"TANSY": slow}).lines[0].line
    assert float(found.length / usual.length) == pytest.approx(2, abs=0.001)
    assert float(found.high / found.low) == pytest.approx(float(usual.high / usual.low), abs=0.001)


def test_a_direction_counts_in_whichever_of_the_two_languages_it_is_written() -> None:
    """A whisper lasts 1.1 times as long: "flüsternd" beside a German original, read in a Portuguese edition."""
    plain = plan_with("Wohin geht es?")
    hushed = plan_with("Wohin geht es?", directions=("flüsternd",))
    lengths = [
        edition_of(replace(plan, language="de_DE"), {"1": "Para onde vai?"}, "pt_BR").lines[0].line.length
        for plan in (plain, hushed)
    ]
    assert float(lengths[1] / lengths[0]) == pytest.approx(1.1, abs=0.001)


def test_a_persons_word_on_how_a_word_is_said_counts_in_every_language() -> None:
    """Invented words are the same everywhere: "frondel" has two syllables by rule, three by the entry."""
    plan = plan_with("Where does it go?")
    said = replace(plan.settings, say={"frondel": SayEntry("frondel", ("fro", "nde", "l"))})
    words = {"1": "Ein Frondel!"}
    lines = [edition_of(p, words).lines[0].line for p in (plan, replace(plan, settings=said))]
    assert [[len(w.syllables) for w in line.words] for line in lines] == [[1, 2], [1, 3]]


def test_a_line_that_cannot_fit_names_the_new_clip_its_seconds_and_cost() -> None:
    """The length asked for is the shortest whole second that holds the high end with 0.6 s of handles; 7 takes at
    0.05 a second."""
    edition = edition_of(plan_with("Where?"), {"1": LONG})
    dub = edition.lines[0]
    assert dub.verdict is Verdict.TOO_LONG
    ask = -int(-(dub.line.high + Fraction("0.6")) // 1)
    assert [clip.ask for clip in dub.new_clips] == [ask]
    (finding,) = [f for f in dub.findings if f.code == "dub-too-long"]
    assert f"a new clip of {ask} s, 7 takes, cost {0.35 * ask:.2f}" in finding.message
    files = edition_files(edition)
    table = rows_of(files["new-clips.csv"])
    assert [(row["clip"], row["ask_s"], row["cost"]) for row in table] == [
        ("C01", f"{ask}.00", f"{0.35 * ask:.2f}"),
        ("all", f"{ask}.00", f"{0.35 * ask:.2f}"),
    ]
    assert LONG.split()[0] in files["requests/C01.txt"].decode()


def test_captions_never_run_into_the_next_speech() -> None:
    """Line 2 begins at 2.0 s; however long the first is, its words are pressed before it."""
    edition = edition_of(plan_with("Where?", "Out.", starts="1 2"), {"1": LONG, "2": "Weg."})
    heard = heard_plan(edition)
    assert heard.lines[0].end == 2
    assert edition.plan.lines[0].end > 2  # the sheets show how much too long it is
    assert "00:00:02,000 --> " in edition_files(edition)["captions.srt"].decode()


def test_the_label_track_has_each_window_and_its_words() -> None:
    edition = edition_of(plan_with("Where does it go?"), {"1": "Wohin?"})
    rows = [row.split("\t") for row in edition_files(edition)["labels.txt"].decode().splitlines()]
    assert rows[0] == ["1.000000", "3.000000", "1: Wohin?"]
    assert rows[1][0] == "1.000000"
    assert rows[1][2] == "Wohin?"


def test_every_cell_of_the_table_is_the_lines_own() -> None:
    """Two seconds for "Where does it go?" (four words of 0.5 s from 1 s on), three seconds free before line 2 at 6 s.

    Wo-hin um al-les in der Welt ist denn heu-te Mor-gen das gan-ze gro-ße Meer ge-gan-gen: 23 syllables, lips closed
    in um, Morgen and Meer; "Where does it go?" closes them nowhere.
    """
    edition = edition_of(plan_with("Where does it go?", "Sea."), {"1": LONG, "2": "Meer."})
    rows = rows_of(edition_files(edition)["dub.csv"])
    one = rows[0]
    assert (one["line"], one["clips"], one["window_s"], one["free_after_s"]) == ("1", "C01", "2.00", "3.00")
    assert (one["start_s"], one["end_s"], one["mouth_seen"]) == ("1.00", "3.00", "yes")
    assert one["verdict"] == "too long"
    assert one["original_syllables"] == "4"
    assert one["syllables"] == "23"
    assert (one["lips_closed"], one["lips_met"]) == ("0", "0")
    seconds = edition.lines[0].line.length
    assert int(one["lose"]) == -int(-(seconds - 2) // (seconds / 23))
    assert one["gain"] == ""
    assert one["risk_percent"] == "100"


def test_the_printed_table_and_the_json_say_the_same_as_the_window() -> None:
    """Four words of 0.5 s from 1 s on with a pause of 0.8 s after the second: 2.8 s; line 2 begins at 6 s, 2.2 s later.
    The pause begins 1.0 s into the window. Meer is one syllable, and line 2's only word one too."""
    plan = plan_with("Where does it go?", "Sea.")
    one = plan.lines[0]
    words = tuple(word.moved(Fraction("0.8")) if n > 1 else word for n, word in enumerate(one.words))
    plan = plan_of([replace(one, words=words, end=words[-1].end), plan.lines[1]], plan.settings)
    edition = edition_of(plan, {"1": LONG, "2": "Meer."})
    page = lay_out_edition(edition)[0]
    said = {text for texts in page.ink.texts.values() for _, _, text in texts}
    assert {"2.8", "23 / 4", "1 / 1", "too long", "0.5"} <= said
    assert any("rests 0.8 s after 1.0 s · 2.2 s free after it" in text for text in said)
    values = json.loads(edition_files(edition)["dub.json"])["lines"][0]
    window = values["window"]
    assert (window["start_s"], window["end_s"], window["free_s"]) == (1.0, 3.8, 2.2)
    assert (window["pauses_s"], window["mouth_seen"]) == ([[2.0, 2.8]], True)
    assert values["new_clips"][0]["cost"] == pytest.approx(0.05 * 7 * values["new_clips"][0]["ask_s"])


def test_the_same_edition_gives_the_same_bytes() -> None:
    plan = plan_with("Where does it go?", "Out for a walk.")
    words = {"1": LONG, "2": "Es geht spazieren."}
    assert edition_files(edition_of(plan, words)) == edition_files(edition_of(plan, words))


def test_what_a_person_put_into_the_editions_folder_is_kept(tmp_path: Path) -> None:
    from timing.plain.errors import OutputError

    edition = edition_of(plan_with("Where does it go?"), {"1": LONG})
    paths = write_edition(edition, tmp_path)
    assert {path.parent for path in paths} == {tmp_path / "de", tmp_path / "de" / "requests"}
    (tmp_path / "de" / "my notes.txt").write_text("keep", "utf-8")
    (tmp_path / "de" / "captions.srt").write_text("mine", "utf-8")
    with pytest.raises(OutputError, match=r"captions\.srt: changed since"):
        write_edition(edition, tmp_path)
    assert (tmp_path / "de" / "captions.srt").read_text("utf-8") == "mine"
    shorter = edition_of(plan_with("Where does it go?"), {"1": "Wohin geht es denn nur?"})
    write_edition(shorter, tmp_path, force=True)
    assert not (tmp_path / "de" / "requests" / "C01.txt").exists()  # a new clip that is not needed any more
    assert not (tmp_path / "de" / "new-clips.csv").exists()
    assert (tmp_path / "de" / "my notes.txt").read_text("utf-8") == "keep"


# The cases in which pages without a lane for another language went wrong, one of each kind.
HARD = ("two at once", "four at once", "one frame each at 12", "one frame each at 60", "9/8, pick-up", "came back",
        "pictures", "written in ru_RU")  # fmt: skip


DUBBED = (*HARD, *(f"lot {n}" for n in range(1, 12)))


@cache
def dubbed(name: str) -> Edition:
    """Return an edition that says the original's own words, or of every other line the words of the line behind it."""
    number = name.removeprefix("lot ")
    plan = lot(int(number))[0] if number != name else dict(hard_set(paper="A4"))[name]
    lines = [line for line in plan.lines if line.words]
    said = [line.text.replace("*", "").replace("-", "") for line in lines]
    if number != name:
        said[::2] = [text for text, _ in zip(said[1:] + said[:1], said[::2], strict=False)]
    return edition_of(plan, dict(zip((line.id for line in lines), said, strict=True)))


@pytest.mark.parametrize("name", DUBBED)
def test_every_mark_of_the_hard_set_has_its_own_place_on_dub_sheets(name: str) -> None:
    pages = lay_out_edition(dubbed(name))
    found = [f"{page.key}: {fault}" for page in pages for fault in faults(page)]
    assert not found, "\n".join(found[:20])
    as_approved(pages, f"dub {name}")


def test_the_original_and_the_new_words_stand_on_the_same_frames() -> None:
    plan = plan_with("Bram, wake up!")
    page = lay_out_edition(edition_of(plan, {"1": "Bram, wach auf!"}))[1]
    said = [text for texts in page.ink.texts.values() for _, _, text in texts]
    assert {"English", "German", "wake", "wach"} <= set(said)
    both = [y for texts in page.ink.texts.values() for _, y, text in texts if text == "Bram,"]
    assert len(both) == 2
    assert both[0] == both[1]


def test_the_command_prints_the_verdicts_and_writes_below_the_language(tmp_path: Path) -> None:
    (tmp_path / "script.txt").write_text("TANSY: Where?\nBRAM: It has gone out for a walk.\n", "utf-8")
    (tmp_path / "episode.toml").write_text("", "utf-8")
    (tmp_path / "script.de.txt").write_text(f"TANSY: {LONG}\nBRAM: Es ist spazieren gegangen.\n", "utf-8")
    done = CliRunner().invoke(cli, ["dub", str(tmp_path), "German"], catch_exceptions=False)
    assert done.exit_code == 0
    assert "1 too long" in done.stdout
    assert (tmp_path / "out" / "de" / "dub.pdf").is_file()
    as_json = CliRunner().invoke(cli, ["dub", str(tmp_path), "de", "--json", "--strict"])
    assert as_json.exit_code == 1
    values = json.loads(as_json.stdout)
    assert values["lines"][0]["verdict"] == "too long"
    assert values == json.loads((tmp_path / "out" / "de" / "dub.json").read_text("utf-8"))
    wrong = CliRunner().invoke(cli, ["dub", str(tmp_path), "Germn"])
    assert wrong.exit_code == 2
    assert "did you mean de_DE" in wrong.stderr


def test_a_part_of_a_split_line_shows_the_words_that_are_heard_in_it() -> None:
    plan = plan_with("Where does it go?")
    whole = plan.clips[0]
    parts = (
        replace(whole, id="C01.1", part=(1, 2), words=(0, 2), end=Fraction(2), speech_end=Fraction(2)),
        replace(whole, id="C01.2", part=(2, 2), words=(2, 4), start=Fraction(2), speech_start=Fraction(2)),
    )
    edition = edition_of(replace(plan, clips=parts), {"1": LONG})
    first, second = (clip.words for clip in edition.plan.clips)
    words = edition.plan.lines[0].words
    assert first[0] == 0
    assert first[1] == second[0]
    assert second[1] == len(words)
    assert words[first[1] - 1].start < 2 <= words[first[1]].start
