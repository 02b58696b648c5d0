"""The dictionary is searched as it lies sorted in the recogniser's wheel: every word of it is found."""

from __future__ import annotations

from pathlib import Path

import pocketsphinx

from timing.hearing.dictionary import look_up


def test_every_word_is_found_with_all_its_pronunciations_in_order():
    path = Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    truth = {}
    for line in path.read_text("utf-8").splitlines():
        word, *phones = line.split()
        truth.setdefault(word.partition("(")[0] or word, []).append(tuple(phones))
    assert len(truth) > 100_000
    assert {word: look_up(word) for word in truth} == {word: tuple(found) for word, found in truth.items()}
    for unknown in ("frondle", "", "zzzz", "~", "(", "sea "):
        assert look_up(unknown) == ()
