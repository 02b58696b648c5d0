"""Slips, numbers, names and places in TOML files, each rule with a case on either side of it."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from timing.plain.csv_text import CsvForm, as_meant, csv_bytes, harmless
from timing.plain.figures import at_most, figure
from timing.plain.names import natural_key, readable, safe_name
from timing.plain.nearest import ends_otherwise, meant, nearest, one_slip
from timing.plain.numbers import exact, whole
from timing.plain.toml_lines import KeyLines, syntax_message


@pytest.mark.parametrize(
    ("a", "b", "is_one"),
    [
        ("tanys", "tansy", True), ("tansy", "tanys", True), ("tans", "tansy", True), ("tansy", "tans", True), ("ansy", "tansy", True),
        ("tensy", "tansy", True), ("tansi", "tansy", True), ("xansy", "tansy", True), ("atnsy", "tansy", True), ("tansy", "tansy", False),
        ("tan", "tansy", False), ("tnasyx", "tansy", False), ("tsany", "tansy", False), ("a", "b", True), ("", "a", True), ("ab", "ba", True),
        ("abc", "bac", True), ("abc", "bca", False), ("take1", "take2", False), ("gull 2", "gull 3", False), ("teesy", "tansy", False),
    ],
)  # fmt: skip
def test_one_slip_is_one_letter_more_less_other_or_swapped(a, b, is_one):
    assert one_slip(a, b) is is_one


@pytest.mark.parametrize(
    ("a", "b", "is_so"),
    [
        ("TANSIE", "TANSY", True), ("TANS", "TANSY", True), ("TANS", "TANSYX", True), ("TANS", "TANSYXX", False),
        ("TAN", "TANY", False), ("TANSY", "tansy", False), ("TANS1", "TANS2", False), ("TANS1A", "TANS1B", True),
    ],
)  # fmt: skip
def test_names_that_end_otherwise(a, b, is_so):
    assert ends_otherwise(a, b) is is_so


def test_the_nearest_names_come_first_and_far_ones_not_at_all():
    """difflib's ratio: twice the letters in common over all letters; six tenths is near enough."""
    assert nearest("abcde", ["abcxx", "abxxx"]) == ["abcxx"]  # 6 of 10 letters, against 4
    assert nearest("abcdefg", ["abcdxyz"]) == []  # 8 of 14
    assert nearest(" TANSY ", ["Tansy", "BRAM"]) == ["Tansy"]
    assert nearest("tansy", ["tansi", "tans"], most=2) == ["tans", "tansi"]
    assert meant("xyz", ["tansy"], "there are: tansy") == "there are: tansy"


@pytest.mark.parametrize(
    ("text", "value"),
    [("96.5", F("96.5")), ("+.5", F(1, 2)), ("-3.", -3), ("1e30", 10**30), ("1e-30", F(1, 10**30)), ("30000/1001", F(30000, 1001)), ("9" * 60, int("9" * 60))],
)  # fmt: skip
def test_numbers_are_read_exactly(text, value):
    assert exact(text) == value


@pytest.mark.parametrize(
    ("text", "said"),
    [("1e31", "far too large or too small"), ("1e-31", "far too large"), ("9" * 61, "too many digits"), ("1/0", "divides by nothing"), ("one", "is not a number"), ("", "is not a number")],
)  # fmt: skip
def test_numbers_that_nobody_writes_are_refused(text, said):
    with pytest.raises(ValueError, match=said):
        exact(text)


def test_whole_numbers_from_one_limit_to_the_other():
    assert [whole(n, 1, 99) for n in ("1", " 99 ", "+7")] == [1, 99, 7]
    for text in ("0", "100", "7.0", "1" * 19):
        with pytest.raises(ValueError, match="is not a whole number from 1 to 99"):
            whole(text, 1, 99)
    with pytest.raises(ValueError, match='"' + "x" * 57 + r'\.\.\." is not'):
        whole("x" * 61, 1, 99)
    with pytest.raises(ValueError, match='"' + "x" * 60 + '" is not'):
        whole("x" * 60, 1, 99)


def test_names_as_parts_of_file_names():
    """Names that Windows keeps for devices: Microsoft, "Naming Files, Paths, and Namespaces"."""
    assert [safe_name(n) for n in ("Out & In/../x", "con", "con.txt", "com1", "console", "..", "a..b", "-a-")] == [
        "Out-In-x", "con-", "con.txt-", "com1-", "console", "unnamed", "a-b", "a",
    ]  # fmt: skip
    assert (safe_name("x" * 61), safe_name("x" * 59 + "-y")) == ("x" * 60, "x" * 59)
    assert sorted(["take 10", "take 2", "Take 1"], key=natural_key) == ["Take 1", "take 2", "take 10"]
    assert readable("mar\udce9") == "mar\ufffd"


def test_figures_are_as_short_as_they_go():
    assert [figure(n) for n in (F(8), F(1, 3), None, 0.5)] == ["8", "0.333333", "?", "0.5"]
    assert figure(None, "") == ""
    assert [at_most(F(n), 2) for n in ("4", "0.35", "1/3", "10", "0.005")] == ["4", "0.35", "0.33", "10", "0.01"]


def test_cells_keep_from_being_formulas_and_have_the_readers_sign():
    assert [harmless(c) for c in ("=1", "+1", "-a", "@x", "-1", "-1.5", "-1,5", " =1", "a=1", 3)] == [
        "'=1", "'+1", "'-a", "'@x", "-1", "-1.5", "-1,5", "' =1", "a=1", 3,
    ]  # fmt: skip
    assert [as_meant(c) for c in ("'=1", "'Twas", "=1", "'")] == ["=1", "'Twas", "=1", "'"]
    rows = csv_bytes(("a", "b"), [("1.5", "x;y"), (2, "-1.5")], CsvForm(";", ","))
    assert rows.decode("utf-8-sig") == 'a;b\r\n1,5;"x;y"\r\n2;-1,5\r\n'


# --- TOML -----------------------------------------------------------------------------------------------------------


def test_keys_and_tables_are_found_by_their_line():
    text = 'title = "x"\n\n[song.tide] # one\nbpm = 96\n"odd key" = 1\n[[row]]\na.b = 2\n[profile."my own"]\nlengths = [3]\n'
    lines = KeyLines(text)
    found = {
        ("title",): 1, ("song",): 3, ("song", "tide"): 3, ("song", "tide", "bpm"): 4, ("song", "tide", "odd key"): 5,
        ("row", "a", "b"): 7, ("profile", "my own", "lengths"): 9, ("song", "tide", "none", "deeper"): 3, ("none",): None,
    }  # fmt: skip
    assert {path: lines.find(path) for path in found} == found


@pytest.mark.parametrize(
    ("line", "message", "number", "said"),
    [
        ('a = "x', "Illegal character '\\n' (at line 2, column 7)", 2, 'closing quote missing; text that begins with " ends with "'),
        ("a = x", "Invalid value (at line 2, column 5)", 2, 'invalid value (column 5); put text in quotes, for example title = "Out and In"'),
        ("a = true x", "Expected newline (at line 2, column 10)", 2, "expected newline (column 10)"),
        ("a: 1", "Expected '=' after a key (at line 2, column 2)", 2, "expected '=' after a key (column 2); write key = value"),
        ('a = "b\\c"', "Unescaped '\\\\' in a string (at line 2, column 7)", 2, 'a backslash within quotes; write paths with "/", also on Windows'),
        ("a = [1", "Unclosed array (at end of document)", 2, "unclosed array (at the end of the file)"),
        ('a = """b', "Unterminated string (at end of document)", 2, 'closing quotes missing; text that begins with """ ends with """'),
        ("a = “x”", "Invalid value (at line 2, column 5)", 2, "curly quotes; write the plain quotes of the keyboard"),
        ("a", "Nested too deep", None, "nested too deep"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_file_is_said_with_what_to_do(line, message, number, said):
    assert syntax_message(message, f"# first\n{line}\n\n") == (number, f"not valid TOML: {said}")
