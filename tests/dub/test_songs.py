"""Sung words in another language on the notes of the song; placements worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.dub.editions import edition_of
from tests.export.plans import line, plan_of
from timing.dub.songs import sing, stress_findings
from timing.language import read_line
from timing.model import LineKind, Plan, PlanLine
from timing.model.dub import DubLine, Verdict
from timing.model.settings import EpisodeSettings

BEAT = Fraction(1, 2)


def sung(beats: str = "1 2 3 4", text: str = "one two three four") -> PlanLine:
    """Return a sung line of one-syllable words, half a second each, on these beats of bar 1."""
    plain = line("1", text, "0", EpisodeSettings().rate, LineKind.SUNG, a_word="0.5", song="out-and-in")
    words = tuple(
        replace(word, syllables=(replace(word.syllables[0], bar=1, beat=Fraction(beat)),))
        for word, beat in zip(plain.words, beats.split(), strict=True)
    )
    return replace(plain, words=words)


def places(text: str, on: PlanLine) -> list[tuple[str, Fraction, Fraction]]:
    timed = sing(on, read_line(text, "de_DE", sung=True))
    return [(s.heard, s.start, s.end) for s in timed.syllables]


def test_as_many_syllables_as_notes_take_one_each() -> None:
    assert places("aus und ein geht", sung()) == [
        ("aus", 0, BEAT), ("und", BEAT, 1), ("ein", 1, 3 * BEAT), ("geht", 3 * BEAT, 2)
    ]  # fmt: skip


def test_a_syllable_too_few_is_held_and_every_note_is_sung() -> None:
    found = places("aus und ein", sung())
    assert found[0][1] == 0
    assert found[-1][2] == 2
    assert [end - start for _, start, end in found] in ([1, BEAT, BEAT], [BEAT, 1, BEAT], [BEAT, BEAT, 1])


def test_a_syllable_too_many_shares_the_note_on_which_no_stress_is_lost() -> None:
    """Five syllables on four notes: "Wel-le" shares one note of 0.5 s, because its second syllable is weak."""
    found = places("die Welle kommt heim", sung())
    lengths = {text: end - start for text, start, end in found}
    assert lengths["Wel"] == lengths["le"] == BEAT / 2
    assert found[-1] == ("heim", 3 * BEAT, 2)


def test_vowels_that_meet_between_words_share_a_note_first() -> None:
    """ "pu-xa o mar lá" is five syllables on four notes: "xa" and "o" are sung on one."""
    timed = sing(sung(), read_line("puxa o mar lá", "pt_BR", sung=True))
    assert [(s.heard, s.end - s.start) for s in timed.syllables] == [
        ("pu", BEAT), ("xa", BEAT / 2), ("o", BEAT / 2), ("mar", BEAT), ("lá", BEAT)
    ]  # fmt: skip


def test_the_originals_pins_hold_for_the_new_words() -> None:
    """A note pinned to beat 3 of the second bar is where the third syllable is sung."""
    pinned = sung("1 2 3 4")
    words = list(pinned.words)
    moved = replace(words[2].syllables[0], start=Fraction(5), end=Fraction(6), bar=2, beat=Fraction(3))
    last = replace(words[3].syllables[0], start=Fraction(6), end=Fraction(7), bar=2, beat=Fraction(4))
    words[2:] = [replace(words[2], syllables=(moved,)), replace(words[3], syllables=(last,))]
    found = sing(replace(pinned, words=tuple(words)), read_line("aus und ein geht", "de_DE", sung=True))
    assert (found.syllables[2].start, found.syllables[2].bar, found.syllables[2].beat) == (5, 2, 3)


def test_a_stress_between_the_beats_beside_a_weak_syllable_on_one_is_said() -> None:
    """Notes on 1, 1 1/2, 2, 2 1/2: "ge-gan-gen" from beat 1 on has its stress on 1 1/2 and a weak one on 1."""
    notes = sung("1 3/2 2 5/2")
    (found,) = stress_findings(sing(notes, read_line("gegangen sein", "de_DE", sung=True)), None)
    assert found.code == "stress-off-beat"
    assert (found.facts["syllable"], found.facts["beat"]) == ("gan", 1.5)
    assert stress_findings(sing(notes, read_line("Wellen Wellen", "de_DE", sung=True)), None) == ()


def dubbed(text: str) -> DubLine:
    plan: Plan = plan_of([sung()])
    return edition_of(plan, {"1": text}).lines[0]


def test_a_sung_verdict_counts_syllables_against_notes() -> None:
    """Four notes: five syllables are 1.25 of them (over 1.1), three are 0.75 (under 0.8), four fit."""
    more, same, less = dubbed("die Welle kommt heim"), dubbed("die Welle kommt"), dubbed("die Welle")
    assert [d.verdict for d in (more, same, less)] == [Verdict.TOO_LONG, Verdict.FITS, Verdict.SHORT]
    assert [(d.lose, d.gain) for d in (more, same, less)] == [(1, 0), (0, 0), (0, 1)]
    (finding,) = [f for f in more.findings if f.code == "dub-syllables"]
    assert finding.message.startswith("5 syllables on 4 notes: 1 must go")
    assert more.new_clips == ()  # another clip has the same song
    joined = dubbed("die~da Welle kommt")  # five syllables, two of them on one note: four
    assert (joined.verdict, joined.lose, joined.gain) == (Verdict.FITS, 0, 0)


def test_lyric_marks_of_the_new_words_are_read_and_not_sung() -> None:
    """ "vor-ü-ber" is divided by hand, "her__" is held."""
    found = dubbed("vor-ü-ber her__")
    assert found.line.text == "vorüber her"
    assert [s.text for s in found.line.syllables] == ["vor", "ü", "ber", "her"]


def test_far_too_many_syllables_are_spread_evenly() -> None:
    text = "und immer immer immer immer immer immer immer immer immer"  # 19 on 4 notes: more than four to one
    found = places(text, sung())
    assert {end - start for _, start, end in found} == {Fraction(2, 19)}
