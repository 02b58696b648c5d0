"""The length of a line from its sounds."""

from __future__ import annotations

import math
from fractions import Fraction
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timing import estimate
from timing.language import read_line
from timing.model import VOWELS, Break, Origin, PauseMark, Syllable, Utterance, Word
from timing.model.learnt import LearntPace
from timing.model.settings import CastMember, EpisodeSettings
from timing.plain.errors import SettingsError
from timing.timers.delivery import measured_pace
from timing.timers.pace import TABLE, PaceTimer, SpeakerFactor, calibrate, delivery_for
from timing.timers.sound_lengths import LENGTHS, phone_lengths
from timing.timers.speaker import pace_timer, usual_delivery


def _word(text: str, phones: str, mark: str = "", quality: Break = Break.SENTENCE, **more: object) -> Word:
    return Word(text, text, (Syllable(text, 1, tuple(phones.split())),), 0, len(text), quality, mark, **more)  # type: ignore[arg-type]


def test_every_sound_of_the_alphabet_has_a_length() -> None:
    consonants = set("B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH".split())
    assert set(LENGTHS) == VOWELS | consonants | {"AX"}
    assert all(inherent >= least for inherent, least in LENGTHS.values())


def test_klatts_worked_factors_for_one_syllable() -> None:
    """Klatt 1987, Table II, by hand: a phrase-final stressed open vowel is 1.4 long, its open end by half of 1.2;
    an initial single consonant keeps its inherent length."""
    (((m, iy),),) = phone_lengths([_word("me", "M IY")])
    assert m == pytest.approx(70)
    assert iy == pytest.approx((155 - 55) * 1.4 * 1.1 + 55)


def test_vowel_is_longer_before_a_voiced_consonant() -> None:
    """House and Fairbanks 1953; Klatt's rule 9."""
    (((_, voiceless, _),),) = phone_lengths([_word("seat", "S IY T")])
    (((_, voiced, _),),) = phone_lengths([_word("seed", "S IY D")])
    assert voiced > voiceless


def test_last_syllable_of_a_phrase_is_longest() -> None:
    timed = PaceTimer().time(read_line("go go go")).words
    lengths = [w.end - w.start for w in timed]
    assert lengths[2] > lengths[0] == lengths[1]


def test_sounds_without_a_vowel_are_held_as_long_as_they_are_written() -> None:
    """Common practice: a hum or a hush lasts about as long as a long vowel, and longer the longer it is written."""

    def length(text: str) -> Fraction:
        return PaceTimer().time(read_line(text)).length

    assert length("Hm.") < length("Hmm.") < length("Hmmm.") < length("Hmmmmm.")
    assert length("Mm.") < length("Mmm.") < length("Mmmmm.")
    assert length("Shh!") < length("Shhhh!")
    assert length("Hmmmmm.") > length("Mmm.")
    for text in ("Hm.", "Mm.", "Shh!", "Brr!", "Psst!", "Zzz."):
        assert Fraction(3, 10) < length(text) < 1, text
    (hummed,) = PaceTimer().time(read_line("Hmmm.")).syllables
    (_, opens, closes), (_, start, end) = hummed.sounds()
    assert end - start > 2 * (closes - opens)


def test_sounds_fill_their_syllable_and_syllables_their_word() -> None:
    line = PaceTimer().time(read_line("Where does the sea go, little limpet?"))
    assert line.start == 0
    assert {s.origin for s in line.syllables} == {Origin.ESTIMATED}
    for word in line.words:
        for before, after in zip(word.syllables, word.syllables[1:], strict=False):
            assert before.end == after.start
        for syllable in word.syllables:
            assert syllable.phone_starts[0] == syllable.start
            assert list(syllable.phone_starts) == sorted(set(syllable.phone_starts))
            assert syllable.phone_starts[-1] < syllable.end


def test_pauses_lie_between_words_by_their_mark() -> None:
    def gap(text: str) -> Fraction:
        first, second = PaceTimer().time(read_line(text)).words
        return second.start - first.end

    assert gap("look there") == 0
    assert 0 < gap("look, there") < gap("look. There") < gap("look… there")


def test_pause_asked_for_is_exact_at_any_pace() -> None:
    utterance = read_line("look there", pauses=(PauseMark(5, Fraction(4, 5)),))
    for pace in (Fraction(1, 2), Fraction(2)):
        line = PaceTimer(pace=pace).time(utterance)
        assert line.words[1].start - line.words[0].end == Fraction(4, 5)
        assert line.low > Fraction(4, 5)


def test_a_pause_that_was_asked_for_does_not_vary() -> None:
    """By hand: dialogue spreads by sqrt(0.07^2 + 0.14^2) = 0.15652; 80 % lie within 1.2816 of it, a factor of
    e^0.20060 = 1.22214. With 0.8 s pinned, only what is left of the length is multiplied or divided by it."""
    line = PaceTimer().time(read_line("look there", pauses=(PauseMark(5, Fraction(4, 5)),)))
    free = float(line.length) - 0.8
    assert float(line.high) == pytest.approx(0.8 + free * 1.22214, abs=2e-5)
    assert float(line.low) == pytest.approx(0.8 + free / 1.22214, abs=2e-5)


def test_pace_multiplies_the_length() -> None:
    utterance = read_line("The tide comes in, and the tide goes out.")
    plain, double = PaceTimer().time(utterance), PaceTimer(pace=Fraction(2)).time(utterance)
    assert float(double.length / plain.length) == pytest.approx(2, abs=1e-4)


def test_deliveries_are_ordered_as_measured() -> None:
    """Acted dialogue is faster than strong acting, narration slower, careful speech slowest."""
    lengths = [
        estimate("The sea sleeps behind the moon.", delivery=d).seconds
        for d in ("dialogue", "strong", "narration", "young", "slow")
    ]
    assert lengths == sorted(lengths)


def test_narrator_rate_is_that_of_audio_books() -> None:
    """155 words a minute is the usual figure for audio books (9,300 words an hour)."""
    text = (  # L. Carroll, Alice's Adventures in Wonderland (1865), the first words
        "Alice was beginning to get very tired of sitting by her sister on the bank, and of having nothing to do: "
        "once or twice she had peeped into the book her sister was reading, but it had no pictures or "
        "conversations in it."
    )
    rate = 60 * len(text.split()) / estimate(text, delivery="narration").seconds
    assert 130 < rate < 200


def test_range_is_log_normal_about_the_length() -> None:
    found = estimate("The sea sleeps.")
    assert found.low_s * found.high_s == pytest.approx(found.seconds**2, rel=1e-4)
    assert found.low_s < found.seconds < found.high_s


@pytest.mark.parametrize(
    ("member", "speaker", "directions", "wanted"),
    [
        (None, "TANSY", (), "dialogue"),
        (None, "NARRATOR", (), "narration"),
        (None, "TANSY", ("V.O.",), "narration"),
        ("narration", "TANSY", (), "narration"),
        ("narration", "TANSY", ("shouting",), "strong"),
        (None, "BRAM", ("slowly",), "slow"),
        (None, "BRAM", ("whispered",), "dialogue"),
        (None, None, (), "dialogue"),
    ],
)
def test_delivery_comes_from_direction_then_cast_then_name(
    member: str | None, speaker: str | None, directions: tuple[str, ...], wanted: str
) -> None:
    assert delivery_for(member, speaker, directions) == wanted


def test_whisper_is_longer_and_hurry_shorter() -> None:
    utterance = read_line("The tide is coming in.")
    plain, whispered, hurried = (
        PaceTimer(directions=d).time(utterance).length for d in ((), ("whispers",), ("quickly",))
    )
    assert hurried < plain < whispered


def test_unknown_delivery_is_refused_with_the_known_ones() -> None:
    with pytest.raises(SettingsError, match="narration, dialogue"):
        PaceTimer(delivery="loud")


# --- calibration -------------------------------------------------------------------------------------------------


def test_calibration_shrinks_with_the_weight_of_three_lines() -> None:
    usual = TABLE["dialogue"].factor
    found = calibrate([(2.0, 2.0 * usual * 1.5)] * 3, "dialogue")
    assert found.factor == pytest.approx(usual * math.sqrt(1.5))  # half way in the logarithm
    assert found.lines == 3


def test_calibration_narrows_the_range() -> None:
    spreads = [calibrate([(2.0, 2.0)] * n, "narration").sd for n in (0, 1, 5, 50)]
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[-1] > 0.1  # lines of one speaker differ still


@given(st.lists(st.tuples(st.floats(0.2, 20), st.floats(0.2, 20)), max_size=8))
@settings(max_examples=60, deadline=None)
def test_calibrated_factor_lies_between_the_delivery_and_the_lines(samples: list[tuple[float, float]]) -> None:
    ratios = [m / p for p, m in samples]
    found = calibrate(samples, "strong")
    usual = TABLE["strong"].factor
    assert min([usual, *ratios]) - 1e-9 <= found.factor <= max([usual, *ratios]) + 1e-9


def test_calibrated_timer_uses_the_speakers_factor() -> None:
    utterance = read_line("The tide is coming in.")
    plain = PaceTimer(factor=SpeakerFactor("dialogue", 1.0, 0.14, 0)).time(utterance).length
    own = PaceTimer(factor=SpeakerFactor("dialogue", 1.25, 0.14, 5)).time(utterance).length
    assert float(own / plain) == pytest.approx(1.25, abs=1e-4)


# --- other languages, odd input ----------------------------------------------------------------------------------


def test_language_without_sounds_is_timed_by_syllables() -> None:
    line = PaceTimer("pl_PL").time(read_line("Dokąd płynie morze", "pl_PL"))
    assert all(s.phone_starts == () for s in line.syllables)
    assert line.length > 1


def test_spanish_syllables_are_shorter_than_english_ones() -> None:
    """Pellegrino, Coupe and Marsico 2011: 7.82 syllables a second against 6.19."""

    def rate(text: str, code: str) -> float:
        utterance = read_line(text, code)
        return utterance.syllable_count / float(PaceTimer(code).time(utterance).length)

    spanish = rate("Mañana el mar volverá con todas sus olas y cantaremos la canción de la orilla", "es")
    english = rate(
        "Tomorrow the sea will come back with all its waves and we shall sing the song of the shore", "en_US"
    )
    assert 1.1 < spanish / english < 1.5


def test_text_without_a_spoken_word_has_no_length() -> None:
    found = estimate("(sighs) 🦀")
    assert (found.seconds, found.low_s, found.high_s, found.words) == (0.0, 0.0, 0.0, ())


def test_word_without_any_sound_still_takes_time() -> None:
    line = PaceTimer().time(Utterance("x", (_word("x", ""),)))
    assert line.length > 0


@given(st.text(alphabet="abcdefghij klmnopqrstuvwxyz.,!?'0123456789$%", max_size=40))
@settings(max_examples=80, deadline=None)
def test_any_line_is_timed_in_order(text: str) -> None:
    utterance = read_line(text)
    if utterance.words:
        line = PaceTimer().time(utterance)
        assert 0 < line.low <= line.length <= line.high
        assert len(line.words) == len(utterance.words)


@pytest.mark.parametrize(
    ("measured", "learnt", "factor", "lines"),
    [
        # three measured lines 1.5 times as long and three learnt ones 1.2 times: the mean of six logarithms, two thirds of it
        ([1.5] * 3, LearntPace(1.2, 3), (1.5 * 1.2) ** 0.5, 6), ([], LearntPace(1.2, 6), 1.2, 6), ([1.5] * 6, None, 1.5, 6),
        ([1.5] * 2 + [0.0, -1.0], None, 1.5, 2),  # what has no length says nothing
    ],
)  # fmt: skip
def test_what_was_learnt_counts_like_lines_of_ones_own(measured, learnt, factor, lines) -> None:
    usual = TABLE["dialogue"].factor
    found = calibrate([(2.0, 2.0 * usual * m) for m in measured], "dialogue", learnt)
    assert found.lines == lines
    assert found.factor == pytest.approx(usual * factor ** (lines / (lines + 3)))
    row = TABLE["dialogue"]
    assert found.sd == pytest.approx(math.sqrt(row.line_sd**2 + row.speaker_sd**2 * 3 / (lines + 3)))


def test_where_a_factor_comes_from_is_said() -> None:
    assert calibrate([(2.0, 2.0)], "dialogue").source == "from 1 recorded line"
    assert calibrate([(2.0, 2.0)] * 2, "dialogue").source == "from 2 recorded lines"
    usual = TABLE["slow"].factor
    assert measured_pace([(2.0, 2.0 * usual * 1.1)] * 4, "slow") == LearntPace(1.1, 4)
    assert measured_pace([(2.0, 2.0 * usual * 1.1)] * 4, "slow", Fraction(3, 2)) == LearntPace(1.65, 4)
    assert measured_pace([(0, 1), (1, 0)], "slow") is None


CAST = {
    "TANSY": CastMember("Tansy", pace=Fraction("1.2")),
    "BRAM": CastMember("Bram", "slow"),
}
BY_HAND = SpeakerFactor("dialogue", 0.8, 0.1, 5)


@pytest.mark.parametrize(
    ("speaker", "directions", "factor", "told_in", "wanted"),
    [  # the table: dialogue 0.91, strong 1.03, narration 1.14, slow 1.73; whispered 1.1, quickly 0.85
        (None, (), None, None, 0.91),
        ("Otto", (), None, None, 0.91),
        ("Narrator", (), None, None, 1.14),
        ("Tansy", (), None, None, 0.91 * 1.2),
        ("bram", (), None, None, 1.73),
        ("BRAM", ("shouted",), None, None, 1.03),  # what stands beside a line wins
        ("Tansy", ("whispered",), None, None, 0.91 * 1.2 * 1.1),
        ("Otto", ("flüsternd",), None, "de_DE", 0.91 * 1.1),
        ("Tansy", ("schnell",), None, "de_DE", 0.91 * 1.2 * 0.85),
        ("Otto", (), BY_HAND, None, 0.8),
        ("Otto", ("shouted",), BY_HAND, None, 0.8 * 1.03 / 0.91),  # keeps its relation to the usual delivery
        ("Bram", (), SpeakerFactor("slow", 1.5, 0.1, 5), None, 1.5),
    ],
)
def test_a_line_is_as_fast_as_its_speaker_and_what_stands_beside_it(speaker, directions, factor, told_in, wanted):
    line = SimpleNamespace(speaker=speaker, directions=directions)
    usual = PaceTimer().scale / 0.91  # the language's own
    assert pace_timer(line, EpisodeSettings(cast=CAST), factor, told_in).scale == pytest.approx(wanted * usual)


def test_a_speakers_usual_delivery_is_the_casts_or_what_the_name_says():
    settings_of_all = EpisodeSettings(cast=CAST)
    told = [usual_delivery(name, settings_of_all) for name in ("BRAM", "TANSY", "NARRATOR", "OTTO")]
    assert told == ["slow", "dialogue", "narration", "dialogue"]
