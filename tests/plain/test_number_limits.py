"""Numbers as people type them, and what a message shows of what is none."""

from __future__ import annotations

import pytest

from timing.plain.numbers import MOST_CHARACTERS, whole


@pytest.mark.parametrize(("text", "number"), [("1", 1), (" 99 ", 99), ("+7", 7), ("007", 7)])
def test_whole_numbers_within_their_bounds(text: str, number: int) -> None:
    assert whole(text, 1, 99) == number


@pytest.mark.parametrize("text", ["0", "100", "-1", "1.5", "²", "", "1" * 19])
def test_anything_else_is_one_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="is not a whole number from 1 to 99"):
        whole(text, 1, 99)


def test_a_message_shows_sixty_characters_at_most() -> None:
    long = "x" * MOST_CHARACTERS
    with pytest.raises(ValueError, match=f'"{long}" is not'):
        whole(long, 1, 9)
    with pytest.raises(ValueError, match=f'"{"x" * (MOST_CHARACTERS - 3)}[.]{{3}}" is not'):
        whole(long + "x", 1, 9)
