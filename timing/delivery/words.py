"""The words of one clip as an utterance again, so that they can be looked for in a sound."""

from __future__ import annotations

from timing.model import Clip, Plan, Syllable, TimedWord, Utterance, Word


def clip_utterance(plan: Plan, clip: Clip) -> Utterance:
    """Return the words a clip holds, untimed, its text being they with single spaces."""
    timed: list[TimedWord] = []
    for line_id in clip.lines or (clip.line,):
        line = plan.line(line_id)
        timed += line.words[clip.words[0] : clip.words[1]] if line_id == clip.line else line.words
    words, at = [], 0
    for word in timed:
        syllables = tuple(Syllable(s.text, s.stress, s.phones, s.said) for s in word.syllables)
        words.append(
            Word(
                word.text, word.spoken, syllables, at, at + len(word.text), word.break_after, word.mark,
                is_guessed=word.is_guessed, is_emphasised=word.is_emphasised, is_function=word.is_function,
            )
        )  # fmt: skip
        at += len(word.text) + 1
    return Utterance(" ".join(w.text for w in timed), tuple(words), plan.language)
