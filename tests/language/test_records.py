"""One record a language: what hangs on it, what is missing by name, and what a language without one gets."""

from __future__ import annotations

import json
import re
from dataclasses import fields
from fractions import Fraction
from pathlib import Path

import pytest

from timing import estimate, plan
from timing.hearing.followed_words import tokens_of
from timing.hearing.foreign_sounds import manners
from timing.language import languages, phones_for, read_line, spoken_form, syllabify
from timing.language.manners import CHANGES
from timing.language.record import Language
from timing.language.registry import LANGUAGES, is_written_in, language_of, name_of
from timing.language.script_words import FACTS, PARTS, ScriptWords
from timing.model import VOWELS
from timing.model.settings import SayEntry
from timing.plain.errors import SettingsError
from timing.timers.pace import PaceTimer

DATA = Path(__file__).parent / "data"
PACKAGE = Path(__file__).parents[2] / "timing"
# Syllables a second of adults reading without pauses: F. Pellegrino, C. Coupé and E. Marsico, "A cross-language
# perspective on speech information rate", Language 87 (2011); Dutch was not in it (our guess). Portuguese:
# European like Spanish (Voigt and Schüppert 2013, abstract), Brazilian dialects 4.8 to 6.6 (Meireles and Gambarini
# 2012, abstract), the middle of which is (4.8 + 6.6) / 2.
SAMPLES = {row["language"]: row for row in json.loads((DATA / "reading_rates.json").read_text("utf-8"))}
PUBLISHED = {"en": 6.19, "es": 7.82, "fr": 7.18, "it": 6.99, "de": 5.97, "pt_PT": 7.82, "pt_BR": (4.8 + 6.6) / 2}
MEASURED_ON_ENGLISH = 6.19


def missing(code: str, record: Language) -> list[str]:
    """Return what a language's record or tests leave out, by name."""
    rules, base = record.rules, code.split("_")[0]
    there = {
        "function_words": rules.function_words,
        "never_after": rules.never_after,
        "phrase_before": rules.phrase_before,
        "abbreviations": rules.abbreviations,
        "counted_before": rules.counted_before,
        "figures.units": rules.figures.units,
        "figures.currencies": rules.figures.currencies,
        "figures.letters": rules.figures.letters,
        "pace": record.pace.source != Language(rules).pace.source,
        "usual_rate": record.usual_rate.source != Language(rules).usual_rate.source,
        "common_words": record.common_words,
        "manners.acting": record.manners.acting,
        "manners.narrators": record.manners.narrators,
        **{f"manners.changes.{kind}": record.manners.changes.get(kind) for kind in CHANGES},
        **{f"script_words.{one.name}": getattr(record.script_words, one.name) for one in fields(ScriptWords)},
        **{f"script_words.parts.{part}": record.script_words.parts.get(part) for part in PARTS},
        **{f"script_words.facts for {fact}": fact in record.script_words.facts.values() for fact in FACTS},
        "script_words.numbers, ten of them": len(record.script_words.numbers) == 10,
        "a sample text in tests/language/data/reading_rates.json": any(c.startswith(base) for c in SAMPLES),
        f"hand-made list tests/language/data/hand_{base}.json": base == "en" or (DATA / f"hand_{base}.json").is_file(),
    }
    return [name for name, value in there.items() if not value]


@pytest.mark.parametrize("code", languages())
def test_every_record_is_whole(code: str) -> None:
    assert not missing(code, language_of(code)), f"{name_of(code)}: missing in its record or tests"


def test_what_a_bare_record_lacks_is_told_by_name() -> None:
    found = missing("pl_PL", language_of("pl"))
    assert {"function_words", "pace", "common_words", "hand-made list tests/language/data/hand_pl.json"} <= set(found)
    assert {"script_words.waiting", "script_words.parts.chorus", "script_words.facts for title"} <= set(found)


def rate_by_rule(code: str) -> float:
    """Return the syllables a second of a language's sample text at the record's pace, pauses left out."""
    utterance = read_line(SAMPLES[code]["text"], code)
    timer = PaceTimer(code, "narration")
    timer.scale = language_of(code).pace.value
    spoken = sum(float(s.end - s.start) for w in timer.time(utterance).words for s in w.syllables)
    return utterance.syllable_count / spoken


@pytest.mark.parametrize("code", [c for c in SAMPLES if c != "en_US"])
def test_each_language_is_as_much_faster_than_english_as_published(code: str) -> None:
    wanted = SAMPLES[code]["syllables_per_s"] / MEASURED_ON_ENGLISH
    assert rate_by_rule(code) / rate_by_rule("en_US") == pytest.approx(wanted, rel=0.01)


def published(code: str) -> float | None:
    return PUBLISHED.get(code, PUBLISHED.get(code[:2]))


def test_usual_rates_are_the_published_ones() -> None:
    for code in languages():
        figure = language_of(code).usual_rate
        assert figure.value == pytest.approx(published(code) or figure.value), code
        assert figure.is_assumed == (published(code) is None), code
    for code, row in SAMPLES.items():
        assert row["syllables_per_s"] == pytest.approx(published(code) or row["syllables_per_s"])


def test_a_language_multiplies_the_length_by_its_own_pace() -> None:
    """By hand: the factors of the records, on one utterance read by English rules."""
    utterance = read_line("The sea sleeps.")
    plain = float(PaceTimer("en_US").time(utterance).length)
    for code, factor in (
        ("it", 1.09),
        ("de", 0.90),
        ("es", 0.89),
        ("fr", 0.91),
        ("pt", 1.18),
        ("pt_PT", 0.95),
        ("en_GB", 1.0),
    ):
        assert float(PaceTimer(code).time(utterance).length) / plain == pytest.approx(factor, abs=1e-4), code


def test_defaults_are_said() -> None:
    assert language_of("it").assumed() == ()
    assert language_of("nl").assumed() == (
        "how fast it is spoken: our guess: as many syllables a second as German",
        "which rate is usual: the rate of German",
    )
    assert language_of("pl").assumed() == (
        "how fast it is spoken: the pace of English",
        "which rate is usual: the rate of English",
    )
    (finding,) = read_line("dzień", "pl").findings
    assert "the pace of English" in finding.message
    assert "the rate of English" in finding.message


@pytest.mark.parametrize("code", ["pl", "el", "hu", "nl_BE"])
def test_a_language_without_a_record_works_to_the_end(code: str) -> None:
    utterance = read_line("Tansy, 3 dolma 21 km!", code)
    assert utterance.words
    assert estimate("Tansy dolma", language=code).seconds > 0
    assert all(token.pronunciations for token in tokens_of(utterance, lambda word: ()))
    assert language_of(code).usual_rate.value > 0
    assert list(manners(("T",), language_of(code).hearing)) == [("T",)]


@pytest.mark.parametrize(
    "ask", [language_of, PaceTimer, lambda code: read_line("sea", code), lambda c: estimate("a", c)]
)
def test_an_unknown_language_is_said_to_be_unknown(ask: object) -> None:
    with pytest.raises(SettingsError, match='"xx_XX" is not a language this tool knows'):
        ask("xx_XX")  # type: ignore[operator]


def test_only_a_record_tells_one_language_from_another() -> None:
    """Adding a language touches its module and its row, so nothing else may ask for a code."""
    codes = "|".join(sorted({row.base for row in LANGUAGES}))
    case = re.compile(rf'(startswith\(|[=!]= |in \()"(?:{codes})(?:_[A-Z]+)?"|\blanguage\[:2\]')
    own = {PACKAGE / "language" / f"{row.module.replace('.', '/')}.py" for row in LANGUAGES}
    for path in PACKAGE.rglob("*.py"):
        if path not in own and "english" not in path.parts:
            assert not case.search(path.read_text("utf-8")), path


# --- what hangs on the records -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "like", "phones"),
    [
        ("es", "yu-an", "Y UW AA N"),  # y before a vowel, u, a, n: the letters' own sounds
        ("de", "schohn", "SH OW N"),  # sch, oh
        ("fr", "choux", "SH UW"),  # ch, ou, a silent x
        ("it", "ciao", "CH AA OW"),  # soft ci, a, o
        ("pt", "chá", "SH AA"),
        ("nl", "sjaak", "SH AA K"),
    ],
)
def test_a_respelling_is_read_by_the_rules_of_its_own_language(code: str, like: str, phones: str) -> None:
    """The letters' sounds: school rules of each spelling, from memory. As English all of them would sound otherwise."""
    say = {"bram": SayEntry("Bram", sounds_like=like)}
    (word,) = read_line("Bram", code, say=say).words
    assert [p for s in word.syllables for p in s.phones] == phones.split()


def test_numbers_agree_with_their_noun() -> None:
    """Grammar, from memory: veintiún kilómetros, veintiuna horas; duas horas; ventun chilometri."""
    assert spoken_form("21 km", "es") == "veintiún kilómetros"
    assert spoken_form("21 h", "es") == "veintiuna horas"
    assert spoken_form("31 h", "es") == "treinta y una horas"
    assert spoken_form("31 km", "es") == "treinta y un kilómetros"
    assert spoken_form("2 h", "pt") == "duas horas"
    assert spoken_form("21 km", "it") == "ventun chilometri"


def test_roman_figures_are_read_as_each_language_does() -> None:
    assert spoken_form("Part V", "en") == "part five"
    assert spoken_form("Otter III", "en") == "otter the third"
    assert spoken_form("Teil V", "de") == "teil fünf"
    assert spoken_form("Deel IV", "nl") == "deel vier"


def test_streets_are_english() -> None:
    assert spoken_form("Main St. is wet") == "main street is wet"
    assert "street" not in spoken_form("Die Kirche St. ist", "de")


def test_vowel_words_hold_their_vowel() -> None:
    """The sign of each key word's vowel by the tool's own table; the words by ear (General American)."""
    from timing.sheet.ipa import vowel_sign

    for code in languages():
        for sign, word in language_of(code).vowel_words.items():
            (read,) = read_line(word, code).words
            signs = {vowel_sign(p, s.stress, code) for s in read.syllables for p in s.phones if p in VOWELS}
            assert sign in signs, (code, sign, word)


# --- Dutch -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Om 7:30 uur", "om half acht"),
        ("Om 7:15", "om kwart over zeven"),
        ("om 7:45", "om kwart voor acht"),
        ("om 12:30", "om half één"),
        ("Het kost €5 voor 3,5 km", "het kost vijf euro voor drie komma vijf kilometer"),
        ("in 1980", "in negentienhonderdtachtig"),
        ("de 3e dag", "de derde dag"),
        ("de 21ste", "de eenentwintigste"),
        ("d.w.z. 50%", "dat wil zeggen vijftig procent"),
        ("3/4", "driekwart"),
        ("mijn tv's", "mijn tv's"),
    ],
)
def test_dutch_is_said_as_usual(text: str, said: str) -> None:
    """Common practice of reading aloud; from memory."""
    assert spoken_form(text, "nl") == said


@pytest.mark.parametrize(
    ("word", "stressed"),
    [
        ("water", "wa"), ("verhaal", "haal"), ("gelopen", "lo"), ("bekijken", "kij"), ("koningin", "gin"),
        ("station", "tion"), ("politie", "li"), ("kasteel", "teel"), ("bakkerij", "rij"), ("kinderen", "kin"),
        ("studeren", "de"), ("muziek", "ziek"), ("garage", "ra"), ("ontdekken", "dek"),
    ],
)  # fmt: skip
def test_dutch_stress(word: str, stressed: str) -> None:
    """School rules, from memory: the first syllable, but for weak prefixes and borrowed endings."""
    (read,) = read_line(word, "nl").words
    assert [s.text for s in read.syllables if s.stress == 1] == [stressed]


@pytest.mark.parametrize(
    ("word", "phones"),
    [
        ("zee", "Z EY"), ("schip", "S HH IH P"), ("bang", "B AA NG"), ("hond", "HH AO N T"), ("huis", "HH AW S"),
        ("nieuw", "N IY W"), ("boek", "B UW K"), ("neus", "N ER S"), ("strandje", "S T R AA N CH AH"),
        ("vrolijk", "V R OW L AH K"), ("'t", "AH T"), ("bed", "B EH T"), ("zes", "Z EH S"), ("te", "T AH"),
    ],
)  # fmt: skip
def test_dutch_sounds(word: str, phones: str) -> None:
    """Handbook descriptions of Dutch sounds (from memory) in the nearest English ones: ch and g as h, final d as t."""
    assert phones_for(word, "nl")[0] == tuple(phones.split())


@pytest.mark.parametrize(
    ("written", "word"),
    [("boooom", "boom"), ("zeeee", "zee"), ("jaaaa", "ja"), ("nuuuu", "nu"), ("visssss", "vis"), ("wiiit", "wit"),
     ("diiiep", "diep"), ("muuur", "muur"), ("zoooo", "zo")],
)  # fmt: skip
def test_dutch_words_drawn_out(written: str, word: str) -> None:
    """Spelling taught in school (from memory): a long vowel is doubled before a consonant, at the end only an e is."""
    assert spoken_form(written, "nl") == word


def test_a_dutch_line_in_an_english_script_is_noticed() -> None:
    (found,) = read_line("Waar gaat het water naartoe als de zee slaapt?").findings
    assert found.facts["language"] == "nl"
    assert "looks like Dutch; it is read as English" in found.message


def test_dutch_breaks_and_words() -> None:
    assert syllabify("zeeën", "nederlands") == ["zee", "ën"]
    assert is_written_in("zee", "nl")
    line = read_line("Tansy en Bram gaan naar de zee, want het is eb.", "nl")
    assert line.findings == ()
    assert Fraction(1) < PaceTimer("nl").time(line).length < Fraction(5)


def test_an_episode_says_once_what_was_assumed_of_its_language(tmp_path: Path) -> None:
    def codes(language: str) -> list[str]:
        folder = tmp_path / language
        folder.mkdir()
        (folder / "script.txt").write_text("TANSY: De zee slaapt.\nBRAM: Het is eb.\n", "utf-8")
        (folder / "episode.toml").write_text(f'language = "{language}"\n', "utf-8")
        return [f.code for f in plan(folder).findings]

    assert codes("nl").count("language-assumed") == 1
    assert "language-assumed" not in codes("en")
