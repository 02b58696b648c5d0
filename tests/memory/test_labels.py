"""Label files: read as people and programs write them, refused with file and line, written to the microsecond."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.memory.labels import labels_below, parse_labels, read_labels, write_labels
from timing.model.findings import FindingCode
from timing.model.labels import Label, chosen_reading, line_named, sorted_out
from timing.plain.errors import InputError


def test_rows_are_read_with_point_or_comma_and_other_rows_passed_over(tmp_path):
    path = tmp_path / "a.txt"
    path.write_bytes(
        "\ufeff1.5\t2.25\t19: It goes\r\n\r\n# mine\n\\\t200\t4000\n0,5 1,25  goes out \n3\t3\tbar 1\n".encode()
    )
    labels = read_labels(path)
    assert [(float(n.start), float(n.end), n.text) for n in labels] == [
        (1.5, 2.25, "19: It goes"),
        (0.5, 1.25, "goes out"),
        (3.0, 3.0, "bar 1"),
    ]
    assert [n.where.line_number for n in labels] == [1, 5, 6]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("1.5\t2.5", "no three columns"), ("now\t2\t19", "is no number of seconds"), ("1\t1:30\tsea", "is no number"),
        ("2\t1\tsea", "ends at 1 s, before it begins"), ("-1\t1\tsea", "before the sound begins"),
        ("nan\t1\tsea", "is no number"), ("1e9\t1\tsea", "is no number"), ("19: sea, sand", "is no number"),
    ],
)  # fmt: skip
def test_a_slip_is_an_error_with_file_and_line(row, said):
    with pytest.raises(InputError, match=said) as caught:
        parse_labels(f"0\t1\tsea\n{row}\n", "recordings/a.txt")
    assert str(caught.value).startswith("recordings/a.txt:2: ")


@pytest.mark.parametrize(
    ("row", "typed"),
    [
        ("12.48, 17.9, 19", "12.48\t17.9\t19"), ("0:05 1:06.5 sea foam", "5\t66.5\tsea foam"),
        ("2.5;3;bar 4", "2.5\t3\tbar 4"), ("where is it", "12.48\t17.9\t19"),
    ],
)  # fmt: skip
def test_the_advice_about_a_slip_is_the_row_to_type_and_can_be_read(row, typed):
    with pytest.raises(InputError) as caught:
        parse_labels(row)
    advised = str(caught.value).rpartition("\n")[2]
    assert advised == typed
    assert [n.text for n in parse_labels(advised)] == [typed.rpartition("\t")[2]]


def test_a_file_that_is_no_utf_8_is_an_error_with_its_line(tmp_path):
    (tmp_path / "a.txt").write_bytes(b"0\t1\tsea\n1\t2\tmar\xe9\n")
    with pytest.raises(InputError, match=r"a\.txt:2: is not UTF-8"):
        read_labels(tmp_path / "a.txt")


moments = st.integers(0, 10**10).map(lambda n: Fraction(n, 10**6))
texts = st.text(st.characters(blacklist_categories=("Cc", "Cs", "Zs", "Zl", "Zp")), min_size=1)


@given(st.lists(st.tuples(moments, moments, texts)))
def test_what_is_written_is_read_again(rows):
    labels = sorted((Label(min(a, b), max(a, b), text) for a, b, text in rows), key=lambda n: (n.start, -n.end))
    read = parse_labels(write_labels(labels).decode())
    assert [(n.start, n.end, n.text) for n in read] == [(n.start, n.end, n.text) for n in labels]


@pytest.mark.parametrize("text", ["19", "19: any words", " line 19 ", "019", "19:"])
def test_a_row_names_a_line_by_its_id(text):
    assert line_named(text, ["1", "19", "19A"]) == "19"


@pytest.mark.parametrize("text", ["19 puddles", "nineteen", "190", "bar 19", "19B"])
def test_a_row_that_is_no_id_names_no_line(text):
    assert line_named(text, ["1", "19", "19A"]) is None


def test_a_number_that_a_line_says_is_its_word_inside_its_row():
    labels = parse_labels("0\t5\t7: I counted 12\n1\t2\t12\n6\t8\t12\n")
    rows, loose = sorted_out(labels, {"7": ["I", "counted", "12"], "12": ["Sea"]})
    assert [(r.id, float(r.line.start), [p.text for p in r.parts]) for r in rows] == [("7", 0, ["12"]), ("12", 6, [])]
    assert loose == []


def test_two_rows_of_one_line_are_an_error():
    with pytest.raises(InputError, match=r"labels\.txt:2: line 7 has a row already"):
        sorted_out(parse_labels("0\t5\t7\n6\t8\t7\n"), {"7": ["Sea"]})


def test_labels_are_those_beside_a_sound_and_one_without_sound_is_told(tmp_path):
    root = tmp_path / "recordings"
    root.mkdir()
    for name in ("a.m4a", "b.wav", "notes.txt"):
        (root / name).write_bytes(b"Buy milk")
    (root / "a.txt").write_bytes(b"0\t1\t7\n")
    (root / "c.txt").write_bytes(b"0\t1\t7\n")
    labels, findings = labels_below(tmp_path, "recordings", {".m4a", ".wav"})
    assert list(labels) == ["recordings/a.m4a"]
    assert [(f.code, f.facts["file"]) for f in findings] == [(FindingCode.LABEL_UNUSED, "recordings/c.txt")]
    (root / "a.wav").write_bytes(b"")
    with pytest.raises(InputError, match=r"recordings/a\.txt: lies beside a\.m4a and a\.wav"):
        labels_below(tmp_path, "recordings", {".m4a", ".wav"})


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a.m4a", ("a.m4a", None, None)), ("recordings/a b.m4a@31.27-36.56", ("recordings/a b.m4a", 31.27, 36.56)),
        ("a.m4a@31,5", ("a.m4a", 31.5, None)), ("me@home.wav", ("me@home.wav", None, None)),
        ("me@home.wav@3 - 4", ("me@home.wav", 3.0, 4.0)),
    ],
)  # fmt: skip
def test_a_chosen_reading_is_a_file_a_second_or_a_stretch(text, found):
    chosen = chosen_reading(text)
    assert (chosen.file, chosen.at and float(chosen.at), chosen.until and float(chosen.until)) == found


@pytest.mark.parametrize("text", ["a.m4a@", "a.m4a@31.27-", "a.m4a@soon", "a.m4a@36-31", "a.m4a@1:20"])
def test_a_chosen_reading_that_means_nothing_is_an_error(text):
    with pytest.raises(ValueError, match=r"write \"a.m4a@41.5\""):
        chosen_reading(text)
