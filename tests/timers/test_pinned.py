"""A length noted beside a speech is how long it lasts, worked out by hand from words of known length."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import pytest

from timing.model import Origin, TimedLine, TimedSyllable, TimedWord, Utterance
from timing.model.findings import FindingCode
from timing.pipeline import plan_source
from timing.timers.pinned import PinnedTimer


@dataclass
class Fixed:
    """A timer that gives the line it was given."""

    line: TimedLine

    def time(self, utterance: Utterance) -> TimedLine:
        return self.line


def line_of(*spans: tuple[str, str], take: str | None = None) -> TimedLine:
    words = []
    for n, (start, end) in enumerate(spans):
        syllable = TimedSyllable(f"w{n}", Fraction(start), Fraction(end), Origin.ESTIMATED)
        words.append(TimedWord(f"w{n}", f"w{n}", (syllable,)))
    length = words[-1].end
    return TimedLine(tuple(words), Origin.MEASURED if take else Origin.ESTIMATED, length, length, 0.9, take)


def utterance_of(*pauses: str | None) -> Utterance:
    from timing.language import read_line

    plain = read_line("sea tide moon"[: 4 * len(pauses)].strip(), language="en_US")
    words = tuple(replace(w, pause_after=p and Fraction(p)) for w, p in zip(plain.words, pauses, strict=True))
    return replace(plain, words=words)


def spans(line: TimedLine) -> list[tuple[Fraction, Fraction]]:
    return [(w.start, w.end) for w in line.words]


def test_words_are_drawn_out_in_their_own_rhythm() -> None:
    # 1 s and 2 s with half a second between, 3.5 s in all, onto 7 s: everything twice as long.
    line = PinnedTimer(Fixed(line_of(("0", "1"), ("1.5", "3.5"))), Fraction(7)).time(utterance_of(None, None))
    assert spans(line) == [(0, 2), (3, 7)]
    assert (line.origin, line.low, line.high, line.length) == (Origin.PINNED, 7, 7, 7)
    assert {s.origin for s in line.syllables} == {Origin.PINNED}


def test_a_noted_silence_keeps_its_length() -> None:
    # 1 s, 1 s of noted silence, 2 s: onto 7 s the words share 6 s, so each is twice as long.
    line = PinnedTimer(Fixed(line_of(("0", "1"), ("2", "4"))), Fraction(7)).time(utterance_of("1", None))
    assert spans(line) == [(0, 2), (3, 7)]


def test_silences_longer_than_the_line_give_way() -> None:
    line = PinnedTimer(Fixed(line_of(("0", "1"), ("4", "5"))), Fraction(2)).time(utterance_of("3", None))
    assert spans(line) == [(0, Fraction(2, 5)), (Fraction(8, 5), 2)]


def test_a_reading_gives_its_rhythm_and_the_overruling_is_said() -> None:
    line = PinnedTimer(Fixed(line_of(("0", "1"), take="recordings/1.wav")), Fraction(4)).time(utterance_of(None))
    assert (line.take, line.length) == (None, 4)
    assert [f.code for f in line.findings] == [FindingCode.LENGTH_OVERRULES]


@pytest.mark.parametrize("note", ["[[4 s]]", "[[96 frames]]", "[[four seconds]]"])
def test_a_length_beside_a_speech_pins_how_long_it_lasts(tmp_path: Path, note: str) -> None:
    (tmp_path / "script.txt").write_text(f"TANSY: Where does the sea go? {note}\n\nBRAM: Out.\n")
    line, other = plan_source(tmp_path).lines
    assert (line.origin, line.length, line.low, line.high) == (Origin.PINNED, 4, 4, 4)
    assert other.origin is Origin.ESTIMATED
    assert line.findings == ()
    clip = plan_source(tmp_path).clips[0]
    assert (clip.speech, clip.need, clip.ask) == (4, Fraction("4.6"), 5)  # with handles of 0.25 and 0.35 s


def test_a_length_in_fountain_belongs_to_the_words_it_stands_beside(tmp_path: Path) -> None:
    text = "TANSY\n[[5 s]] Where does the sea go?\n(pointing)\nIt is over there.\n[[2 s]]\n\nBRAM\n(slowly) [[3 s]]\nOut.\n"
    (tmp_path / "script.fountain").write_text(text)
    assert [line.length for line in plan_source(tmp_path).lines if line.origin is Origin.PINNED] == [5, 2, 3]


def test_bars_beside_a_speech_have_no_effect_and_that_is_said(tmp_path: Path) -> None:
    (tmp_path / "script.txt").write_text("TANSY: Where does the sea go? [[2 bars]]\n")
    (line,) = plan_source(tmp_path).lines
    assert line.origin is Origin.ESTIMATED
    assert [f.code for f in line.findings] == [FindingCode.LENGTH_IN_SPEECH]


def test_of_a_silence_shorter_than_the_noted_one_all_is_kept_and_sounds_move_with_their_syllable() -> None:
    # 1 s, half a second of silence (a whole one is noted), 2 s with a sound from 2.5 s on; onto 7 s: half a second
    # stays, 3 s of words become 6.5 s, so each second becomes 13/6 s: the second word begins at 13/6 + 1/2 s.
    line = line_of(("0", "1"), ("1.5", "3.5"))
    (word, last), second = line.words, Fraction(13, 6)
    sounds = (Fraction("1.5"), Fraction("2.5"))
    last = replace(last, syllables=(replace(last.syllables[0], phones=("S", "IY1"), phone_starts=sounds),))
    timed = PinnedTimer(Fixed(replace(line, words=(word, last))), Fraction(7)).time(utterance_of("1", None))
    begin = second + Fraction(1, 2)
    assert spans(timed) == [(Fraction(0), second), (begin, Fraction(7))]
    assert timed.words[1].syllables[0].phone_starts == (begin, begin + second)
