"""What stands around a script, line by line: which numbers are named, and the limits beyond which a line is script."""

from __future__ import annotations

import pytest

from timing.script.blocks import SourceLine
from timing.script.set_aside import line_ranges, set_aside


def is_speech(text):
    return text.startswith(("TANSY:", "BRAM:", "Sure, a story:"))


def name_in(text):
    name, colon, _ = text.partition(":")
    return name if colon else None


def left_out(text):
    """Return the numbers of the lines left out of a script, and who is cast."""
    lines = [SourceLine(i, one) for i, one in enumerate(text.split("\n"), start=1)]
    kept, findings, cast = set_aside(lines, "script.txt", is_speech, name_in)
    gone = [line.number for line, after in zip(lines, kept, strict=True) if line.text != after.text]
    assert [f.facts["lines"] for f in findings] == ([gone] if gone else [])
    assert [f.where.line_number for f in findings] == gone[:1]
    assert all(not after.text for line, after in zip(lines, kept, strict=True) if line.number in gone)
    return gone, sorted(cast)


@pytest.mark.parametrize(
    ("numbers", "written"),
    [
        ([3], "line 3"),
        ([3, 4], "lines 3-4"),
        ([3, 5], "lines 3, 5"),
        ([9, 4, 3], "lines 3-4, 9"),
        ([1, 2, 3, 5, 7, 8], "lines 1-3, 5, 7-8"),
    ],
)
def test_numbers_of_lines_are_written_as_people_write_them(numbers, written):
    assert line_ranges(numbers) == written


SPEECH = "TANSY: Out and in."


@pytest.mark.parametrize(
    ("text", "gone"),
    [
        # a chat's first words are the first or the first two written lines, no more, and speak of a script
        (f"Sure! Here is a script for the story.\n\n{SPEECH}", [1]),
        (f"Sure!\n\n{SPEECH}", []),
        (f"Sure, coming up:\n\n{SPEECH}", [1]),
        (f"Sure! A story for you.\nHere is the script:\n\n{SPEECH}", [1, 2]),
        (f"Sure! A story for you.\nHere is the script:\nHere is the scene:\n\n{SPEECH}", [1, 2]),
        (f"A wave.\nHere is the script:\n\n{SPEECH}", []),
        (f"A story of the sea.\n\n{SPEECH}", []),
        (f"Sure, a story: I tell it.\n\n{SPEECH}", []),  # a speech
        (f"Sure, a story:\n\n{SPEECH}", [1]),  # ... only where words follow the colon
        (f"**Sure! Here is a script.**\n\n{SPEECH}", [1]),
        # a chat's last words stand after a blank line, from the foot up, as far as nothing else stands between
        (f"{SPEECH}\n\nWould you like another?", [3]),
        (f"{SPEECH}\nWould you like another?", []),
        (f"{SPEECH}\n\nWould you like another?\n\nA wave.", []),
        (f"{SPEECH}\n\nLet me know!\n\nWould you like another?", [3, 5]),
        (f"{SPEECH}\n\nLet me know!\n---\n\nWould you like another?", [3, 6]),
        ("Would you like another?", [1]),
        (f"{SPEECH}\n\nHere is the script.", []),  # the third line at the earliest is after the script ...
        (f"{SPEECH}\n\n\nHere is the script.", [4]),  # ... and this is
        (f"{SPEECH}\n\n\nHere is the sea.", []),
        (f"{SPEECH}\n(Word count: 120)", [2]),
        (f"{SPEECH}\nThe end.\nAbout 2 minutes", [2, 3]),
        (f"{SPEECH}\n*The End!*", [2]),
        (f"{SPEECH}\nThe end of the sea.", []),
        # notes for the makers: down to a heading, a rule, or (below a plain heading) a speech
        (f"{SPEECH}\n\nProduction Notes:\nBlue light.\n- BRAM: a low voice\nBRAM: Hm.", [3, 4, 5]),
        (f"{SPEECH}\n\n# Production Notes\nBlue light.\nBRAM: Hm.", [3, 4, 5]),
        (f"# Props\nA bucket.\n# Scene\n{SPEECH}", [1, 2]),
        (f"**Props**\nA bucket.\n***\n{SPEECH}", [1, 2]),
        (f"__Props__\nA bucket.\n- - -\n{SPEECH}", [1, 2]),
        (f"*Props*\nA bucket.\n{SPEECH}", []),  # no heading
        (f"Props\nA bucket.\n{SPEECH}", []),
        (f"Animation note: slow waves\n{SPEECH}", [1]),
        (f"Animation note:\n{SPEECH}", [1]),
    ],
)
def test_lines_around_a_script(text, gone):
    assert left_out(text)[0] == gone


@pytest.mark.parametrize(
    ("text", "gone", "cast"),
    [
        (f"Characters:\nTansy, a crab\nBram (a rock)\n\n{SPEECH}", [1, 2, 3], ["BRAM", "TANSY"]),
        (f"**Cast**\n- The Old Rock\n- Bram\n\n{SPEECH}", [1, 2, 3], ["BRAM", "OLD ROCK"]),
        (f"Characters\nTansy, a crab\n\n{SPEECH}", [], []),  # no heading
        (f"Characters:\n\nTansy, a crab\n\nA wave, (small) and blue.\n\n{SPEECH}", [1, 3], ["TANSY"]),
        (f"Characters:\n- Tansy\n\n- Bram\n\nA wave.\n{SPEECH}", [1, 2, 4], ["BRAM", "TANSY"]),
        (f"Characters:\n- Tansy, a crab who\n  likes the sea\n- Bram\n\n{SPEECH}", [1, 2, 3, 4], ["BRAM", "TANSY"]),
        (f"Characters:\n- Tansy\nlikes the sea\n{SPEECH}", [1, 2], ["TANSY"]),  # not wrapped: it begins the line
        (f"Characters:\n- Tansy\n---\n- Bram\n{SPEECH}", [1, 2], ["TANSY"]),
        (f"Characters:\n- Tansy\n# Scene\n- Bram\n{SPEECH}", [1, 2], ["TANSY"]),
        # a name is of three words at most, the first with a capital
        ("Characters:\n- Big Old Rock\n- A Very Big Old Rock\n- they sing\n", [1, 2, 3, 4], ["BIG OLD ROCK"]),
        # in one line: two or more, or one with what it is; all of them names
        (f"Cast: Tansy (a crab), Bram (a rock)\n{SPEECH}", [1], ["BRAM", "TANSY"]),
        (f"Cast: Tansy and Bram\n{SPEECH}", [1], ["BRAM", "TANSY"]),
        (f"Cast: Tansy (a crab and, yes, a friend)\n{SPEECH}", [1], ["TANSY"]),
        (f"Cast: Tansy, a crab; Bram, a rock.\n{SPEECH}", [1], ["BRAM", "TANSY"]),
        (f"Cast: Tansy\n{SPEECH}", [], []),
        (f"Look: Tansy, Bram\n{SPEECH}", [], []),
        (f"Cast: Tansy, and they sing\n{SPEECH}", [], []),
        # within twelve written lines of the head
        ("A wave.\n\n" * 11 + "Cast: Tansy, Bram\n", [23], ["BRAM", "TANSY"]),
        ("A wave.\n\n" * 12 + "Cast: Tansy, Bram\n", [], []),
    ],
)
def test_who_is_cast(text, gone, cast):
    assert left_out(text) == (gone, cast)
