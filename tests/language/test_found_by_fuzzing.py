"""Inputs that generated testing found to break reading aloud; each must come back whole."""

import pytest

from timing.language import read_line


@pytest.mark.parametrize(
    "text",
    [
        "¹¼",
        "m²³",
        "①½",
        "**bar½#\t=[[2(50%",
        "bar\u200bİsoooTO::~s]]10...9BRAM:bars]]",
        "İİİstanbul",
        "ﬁİooo",
        "9" * 4401 + ".5",
    ],
)
@pytest.mark.parametrize("language", ["nl", "pl", "en_US", "de"])
def test_letters_that_grow_when_made_small(text, language):
    words = read_line(text, language).words
    assert words
    for word in words:
        assert "".join(s.text for s in word.syllables) == word.text
