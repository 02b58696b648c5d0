"""Tables in the spreadsheets of any country: parted where they part, decimal signs as they read them, no formulas.

A spreadsheet runs what begins with =, +, - or @ (OWASP, "CSV Injection").
"""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.pipeline import plan_source, write_plan
from timing.plain.csv_text import SEPARATORS, CsvForm, csv_bytes
from timing.plain.errors import TimingError

RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")


def cells(data: bytes, separator: str) -> list[str]:
    text = data.decode("utf-8-sig")
    return [cell for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator) for cell in row]


@pytest.mark.parametrize("written", SEPARATORS)
@pytest.mark.parametrize("read", SEPARATORS)
def test_a_cell_behind_another_countrys_separator_is_no_formula(written, read):
    data = csv_bytes(["text"], [["wait;=1+1"], ["a,=1+1"], ["b\t@x"], ["c\n=1"], ["d; +1"], ["=1"]], CsvForm(written))
    assert not [cell for cell in cells(data, read) if cell.strip().startswith(("=", "+", "-", "@"))]


@given(
    rows=st.lists(st.lists(st.text(alphabet=";,=+-@\t\n\r\"' ab1.", max_size=12), min_size=1, max_size=3), max_size=3),
    written=st.sampled_from(SEPARATORS),
    read=st.sampled_from(SEPARATORS),
)
def test_no_text_becomes_a_formula_however_it_is_parted(rows, written, read):
    for cell in cells(csv_bytes(["a"], rows, CsvForm(written)), read):
        bare = cell.strip()
        assert not bare.startswith(("=", "+", "@")), cell
        assert not bare.startswith("-") or bare[1:].replace(",", ".").replace(".", "", 1).isdigit()


def test_an_episode_is_written_for_the_spreadsheet_that_is_set(tmp_path):
    """By hand: [[4 s]] of picture are 4.00 seconds; a line in German Excel is parted at ; and has 4,00."""
    (tmp_path / "script.txt").write_text("[[4 s]]\nA wave.\n\nTANSY: Where does the sea go; or stay?\n", "utf-8")
    (tmp_path / "episode.toml").write_text('csv_separator = ";"\ncsv_decimal = ","\n', "utf-8")
    plan = plan_source(tmp_path)
    write_plan(plan, tmp_path / "out", tmp_path)
    rows = {
        name: list(csv.DictReader(io.StringIO((tmp_path / "out" / name).read_text("utf-8-sig")), delimiter=";"))
        for name in ("lines.csv", "clips.csv", "queue.csv", "pictures.csv")
    }
    assert rows["lines.csv"][0]["seconds"] == "4,00"
    assert rows["clips.csv"][0]["need_s"] == "4,00"
    assert rows["lines.csv"][1]["text"] == "Where does the sea go; or stay?"
    assert all("clip" in row or "picture" in row for row in rows["queue.csv"] + rows["pictures.csv"])


@pytest.mark.parametrize("toml", ['csv_separator = "|"', 'csv_decimal = ";"', "caption_gap_frames = -1"])
def test_another_separator_is_one_sentence(tmp_path, toml):
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go?\n", "utf-8")
    (tmp_path / "episode.toml").write_text(toml, "utf-8")
    with pytest.raises(TimingError, match=toml.split()[0]):
        plan_source(tmp_path)
