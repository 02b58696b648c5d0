"""Reading a line aloud. Token and word lists: our own, from memory (school rules and common practice)."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timing.language import languages, phones_for, read_line, resolve, spoken_form, syllabify
from timing.language.neighbours import neighbour_of
from timing.model import VOWELS, Break, PauseMark
from timing.model.settings import SayEntry
from timing.plain.errors import InputError, SettingsError

DATA = Path(__file__).parent / "data"
TOKENS = json.loads((DATA / "tokens.json").read_text("utf-8"))
CODES = {"de": "de_DE", "es": "es", "fr": "fr", "it": "it_IT", "nl": "nl_NL", "pt": "pt_BR"}
SAMPLES = {row["language"][:2]: row["text"] for row in json.loads((DATA / "reading_rates.json").read_text("utf-8"))}


def _letters(text: str) -> str:
    return "".join(c for c in text if c.isalnum() or c in "'ñ").casefold()


@pytest.mark.parametrize("token", TOKENS, ids=lambda t: t["text"])
def test_tricky_token_is_said_counted_and_split(token: dict[str, str]) -> None:
    utterance = read_line(token["text"])
    assert spoken_form(token["text"]) == token["spoken"]
    assert utterance.syllable_count == token["syllables"]
    split = [_letters(s.said or s.text) for w in utterance.words for s in w.syllables]
    assert split == [_letters(p) for p in token["split"].replace("- ", "-").replace("-", " ").split()]


@pytest.mark.parametrize("name", sorted(CODES))
def test_hand_list_of_a_language(name: str) -> None:
    rows = json.loads((DATA / f"hand_{name}.json").read_text("utf-8"))
    wrong = [r["word"] for r in rows if "-".join(syllabify(r["word"], CODES[name])) not in r["accept"]]
    assert len(wrong) <= len(rows) * 0.02, wrong


# Common practice of reading aloud; each row from memory.
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("In 1905 and 2007.", "in nineteen oh five and two thousand seven"),
        ("1,500 shells", "one thousand five hundred shells"),
        ("3.5 km", "three point five kilometers"),
        ("1 km", "one kilometer"),
        ("$1", "one dollar"),
        ("$0.50", "fifty cents"),
        ("$5 million", "five million dollars"),
        ("2½ cups", "two and a half cups"),
        ("3/4", "three quarters"),
        ("1/2", "one half"),
        ("at 7:05", "at seven oh five"),
        ("at 9:00", "at nine o'clock"),
        ("at 7:30 am", "at seven thirty A M"),
        ("the 21st", "the twenty first"),
        ("#1", "number one"),
        ("5-10 waves", "five to ten waves"),
        ("Dr. Shell", "doctor shell"),
        ("Thank you, Dr.!", "thank you doctor"),
        ("at 9 Shore Dr. today", "at nine shore drive today"),
        ("Main St. is wet", "main street is wet"),
        ("etc.", "et cetera"),
        ("U.S.A.", "U S A"),
        ("Chapter IV", "chapter four"),
        ("5 in my bag", "five in my bag"),
        ("sooo cooool", "so cool"),
        ("swimmin' in the sea", "swimmin in the sea"),
        ("and/or", "and or"),
        ("007", "zero zero seven"),
        ("-5", "minus five"),
        ("ﬁsh’s cafe\u0301", "fish's cafe"),
    ],
)
def test_english_is_said_as_usual(text: str, said: str) -> None:
    assert spoken_form(text) == said


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("Tengo $5 y 21 km.", "es", "tengo cinco dólares y veintiún kilómetros"),
        ("Son las 7:30", "es", "son las siete y media"),
        ("2 libras", "es", "dos libras"),
        ("R$ 5,50", "pt", "cinco reais e cinquenta"),
        ("50%", "pt", "cinquenta por cento"),
        ("2 €, le 1er", "fr", "deux euros le premier"),
        ("à 14h30", "fr", "à quatorze heures et demie"),
        ("um 7:30 Uhr", "de", "um sieben Uhr dreißig"),
        ("der 3. Tag", "de", "der dritte tag"),
        ("z. B. 1980", "de", "zum Beispiel neunzehnhundertachtzig"),
        ("Costa 5 €.", "it", "costa cinque euro"),
        ("3,5 km", "it", "tre virgola cinque chilometri"),
    ],
)
def test_other_languages_are_said_as_usual(text: str, code: str, said: str) -> None:
    assert spoken_form(text, code) == said


@given(st.text(max_size=40), st.sampled_from([*languages(), "pl_PL", "ru_RU"]))
@settings(max_examples=150, deadline=None)
def test_any_text_is_read_and_keeps_its_letters(text: str, code: str) -> None:
    at = 0
    for word in read_line(text, code).words:
        assert at <= word.start < word.end <= len(text)
        assert word.text == text[word.start : word.end]
        at = word.end


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz'’-.,!?", max_size=30).filter(lambda t: read_as_printed(t)))
@settings(max_examples=100, deadline=None)
def test_pieces_join_to_the_word(text: str) -> None:
    assert "".join(syllabify(text)) == text


def read_as_printed(text: str) -> bool:
    return not any(s.said for w in read_line(text).words for s in w.syllables)


def test_syllabify_takes_one_word_and_spells_what_is_heard_of_a_figure() -> None:
    with pytest.raises(InputError, match="takes one word, not 'a limpet'"):
        syllabify("a limpet")
    assert syllabify("limpet, ") == ["lim", "pet, "]
    assert syllabify("3x") == ["three", "times"]
    assert syllabify("5 km") == ["five", "ki", "lo", "me", "ters"]


# Breaks of printed dictionaries and common practice of reading figures aloud; from memory.
@pytest.mark.parametrize(
    ("token", "heard"),
    [("7", "sev-en"), ("4cm", "four-cen-ti-me-ters"), ("1987.", "nine-teen-eight-y-sev-en"), ("Mrs", "mis-sus"),
     ("Dr.", "doc-tor"), ("37!", "thir-ty-sev-en")],
)  # fmt: skip
def test_token_said_otherwise_keeps_what_is_heard_of_every_syllable(token: str, heard: str) -> None:
    (word,) = read_line(token).words
    assert [s.said for s in word.syllables] == heard.split("-")
    assert [s.text for s in word.syllables] == [token, *[""] * (len(word.syllables) - 1)]
    first = heard.split("-")[0]
    assert [s.shown for s in word.syllables] == [f"{token} ({first})", *heard.split("-")[1:]]


def test_guessed_words_are_named_without_the_lines_punctuation() -> None:
    found = read_line("“Glimpo..” Whelk,. glimpo--glimpo!").findings
    assert [f.facts["syllables"] for f in found] == [["glim", "po"], ["whelk"]]
    assert "read as glim-po. If" in found[0].message
    words = read_line("trrrrick-le--trick-le").words
    assert [(w.text, w.mark, len(w.syllables)) for w in words] == [("trrrrick-le--", "—", 2), ("trick-le", "", 2)]


@pytest.mark.parametrize(
    ("line", "language"),
    [
        ("¿Adónde va el mar cuando la marea está baja?", "es"),
        ("Quiero ver la luna con mis amigos.", "es"),
        ("Où va la mer quand la marée est basse ?", "fr"),
        ("Dove va il mare quando la marea è bassa?", "it"),
        ("Wohin geht das Meer, wenn das Wasser fällt?", "de"),
        ("Aonde vai o mar quando a maré está baixa?", "pt"),
    ],
)
def test_a_line_in_another_language_is_one_finding(line: str, language: str) -> None:
    found = read_line(line).findings
    assert [(f.code, f.facts["language"]) for f in found] == [("other-language", language)]
    assert not any(f.code == "other-language" for f in read_line(line, language).findings)


@pytest.mark.parametrize(
    "line",
    ["Bram and Glimpo go to the sea.", "Tra la la la, Glimpo!", "Do re mi fa sol la ti do, Glimpo.", "Um, er, Glimpo?",
     "Da da dum, la la, Glimpo.", "Glimpo! Zorble! Whelkish!", "The señor and the piñata, Glimpo."],
)  # fmt: skip
def test_english_with_odd_names_stays_english(line: str) -> None:
    assert not any(f.code == "other-language" for f in read_line(line).findings)


def test_humming_is_held_with_closed_lips() -> None:
    def sounds(text: str) -> tuple[str, ...]:
        return read_line(text).words[0].syllables[0].phones

    assert sounds("mmm") == sounds("Mm,") == sounds("MMM!") == ("M",)
    assert sounds("Hmmmm.") == ("HH", "M")
    assert sounds("Shhh!") == ("SH",)
    assert sounds("psst") == ("P", "S", "T")
    assert read_line("4 mm").words[0].spoken == "four millimeters"
    assert read_line("schhh", "de").words[0].syllables[0].phones == ("SH",)


def test_french_elided_que_keeps_its_vowel() -> None:
    assert phones_for("qu'il", "fr") == (("K", "IY", "L"),)
    assert phones_for("soleil", "fr")[0][-1] == "Y"


@pytest.mark.parametrize(
    "line",
    """because_the and_Bram but_some when_every_limpet every_shell this_rock some_water Tansy's_shell my_rock
    will_come can't_swim isn't_sleeping without_water across_the after_dinner you_swim it_sleeps another_wave
    let's_go that's_mine whose_shell until_morning though_Bram""".split(),
)
def test_no_cut_after_a_word_that_leans_on_the_next(line: str) -> None:
    for word in read_line(line.replace("_", " ") + " here").words[: line.count("_")]:
        assert word.break_after is Break.NEVER, word.text


@pytest.mark.parametrize(
    ("line", "before"),
    [("We waited because Bram slept", "because"), ("I can because I swim", "because"), ("It goes out and in", "and"),
     ("I will come with you to the sea", "to"), ("I saw it when you slept", "when"), ("It rolled across the sand", "across"),
     ("Sing until the tide turns", "until")],
)  # fmt: skip
def test_a_cut_before_a_conjunction_or_preposition_is_good(line: str, before: str) -> None:
    words = read_line(line).words
    at = [w.text for w in words].index(before)
    assert words[at - 1].break_after is Break.PHRASE


def test_offsets_point_into_the_line_as_written() -> None:
    line = "“Wait…” (sighs) — I’m here—look!"
    words = read_line(line).words
    assert [line[w.start : w.end] for w in words] == ["“Wait…”", "I’m", "here—", "look!"]
    assert [w.mark for w in words] == ["…", "", "—", "!"]


def test_cuts_are_best_at_marks_and_never_after_an_article() -> None:
    words = read_line("The sea sleeps, and the tide waits behind the moon.").words
    quality = {w.text: w.break_after for w in words}
    assert quality["The"] is Break.NEVER
    assert quality["sleeps,"] is Break.CLAUSE
    assert quality["waits"] is Break.PHRASE
    assert quality["behind"] is Break.NEVER
    assert quality["moon."] is Break.SENTENCE


def test_title_stays_with_its_name_and_its_full_stop_ends_nothing() -> None:
    assert read_line("Dr. Shell waits").words[0].break_after is Break.NEVER


def test_pinned_pause_lies_after_the_word_before_it() -> None:
    words = read_line("Look here now", pauses=(PauseMark(10, Fraction(4, 5)),)).words
    assert [w.pause_after for w in words] == [None, Fraction(4, 5), None]


def test_capitals_and_ranges_stress_a_word() -> None:
    words = read_line("I am NOT a rock", emphasis=((5, 8),)).words
    assert [w.text for w in words if w.is_emphasised] == ["NOT"]
    assert not any(w.is_emphasised for w in read_line("I AM NOT A ROCK AT ALL").words)


def test_stretched_word_is_longer_and_keeps_its_letters() -> None:
    word = read_line("sooooo").words[0]
    assert (word.spoken, word.text) == ("so", "sooooo")
    assert word.stretch > 1


def test_users_word_wins_over_dictionary_and_guess() -> None:
    say = {
        "bram": SayEntry("Bram", ("Br", "am"), 1, ("B R AH", "AE M")),
        "zog": SayEntry("Zog", sounds_like="zo-gee"),
    }
    words = read_line("Bram and Zog's", say=say).words
    assert [(s.text, s.stress, s.phones) for s in words[0].syllables] == [
        ("Br", 0, ("B", "R", "AH")),
        ("am", 1, ("AE", "M")),
    ]
    assert [p for s in words[2].syllables for p in s.phones] == ["Z", "OW", "JH", "IY", "Z"]
    assert not any(w.is_guessed for w in words)


def test_users_syllables_must_spell_the_word() -> None:
    with pytest.raises(SettingsError, match=r'do not spell "Bram"'):
        read_line("Bram", say={"bram": SayEntry("Bram", ("Br", "om"))})


def test_hand_split_wins_and_a_held_vowel_sounds_on() -> None:
    word = read_line("fire!", sung=True, splits={0: ("fi", "re")}).words[0]
    assert [(s.text, s.phones) for s in word.syllables] == [("fi", ("F", "AY")), ("re!", ("ER",))]
    word = read_line("glow", sung=True, splits={0: ("glo", "o", "ow")} | {0: ("gl", "o", "w")}).words[0]
    assert [s.phones for s in word.syllables] == [("G", "L", "OW"), ("OW",), ("OW",)]


def test_french_mute_e_is_silent_in_speech_and_sung_before_a_consonant() -> None:
    def pieces(**how: bool) -> list[list[str]]:
        return [[s.text for s in w.syllables] for w in read_line("une lune est ronde", "fr", **how).words]

    assert pieces() == [["une"], ["lune"], ["est"], ["ronde"]]
    assert pieces(sung=True) == [["u", "ne"], ["lune"], ["est"], ["ron", "de"]]
    assert pieces(mute_e=False) == pieces(sung=True)


def test_findings_name_guesses_homographs_pictures_and_bare_languages() -> None:
    found = read_line("Glimpo, live! 🦀").findings
    assert [f.code for f in found] == ["guessed-word", "homograph", "unspoken-emoji"]
    assert found[0].facts["word"] == "glimpo"
    assert [f.code for f in read_line("hallo", "da").findings] == ["unknown-language"]


@pytest.mark.parametrize("text", ["", "   ", "🦀", "(sighs)", "—", "…", "[[", "*laughs*"])
def test_nothing_spoken_gives_no_words(text: str) -> None:
    assert read_line(text).words == ()
    assert spoken_form(text) == ""


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("en", "en_US"),
        ("en-GB", "en_GB"),
        ("pt-br", "pt_BR"),
        ("English", "en_US"),
        ("de", "de_DE"),
        ("fr-CA", "fr"),
        ("es_MX", "es"),
    ],
)
def test_languages_are_found_by_what_people_type(typed: str, code: str) -> None:
    assert resolve(typed) == code


def test_unknown_language_offers_the_nearest() -> None:
    with pytest.raises(SettingsError, match="did you mean"):
        resolve("Germn")
    with pytest.raises(SettingsError, match="not a language"):
        resolve("klingonese")


@pytest.mark.parametrize("code", languages())
def test_every_language_has_sounds_of_the_alphabet_only(code: str) -> None:
    text = SAMPLES[code[:2]]
    consonants = set("B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH".split())
    for word in read_line(text, code).words:
        for syllable in word.syllables:
            assert set(syllable.phones) <= VOWELS | consonants
            assert any(p in VOWELS for p in syllable.phones)


def test_variants_and_spelt_words_have_pronunciations() -> None:
    assert len(phones_for("either")) > 1
    assert phones_for("TV") == (("T", "IY", "V", "IY"),)
    assert phones_for("zog", say={"zog": SayEntry("zog", phones=("Z", "OW1", "G"))}) == (("Z", "OW", "G"),)


def test_long_words_in_brackets_are_not_spoken_but_reported() -> None:
    found = read_line("The sea (which nobody has ever seen asleep) sleeps.")
    assert [w.text for w in found.words] == ["The", "sea", "sleeps."]
    assert [f.code for f in found.findings] == ["unspoken-aside"]
    assert read_line("The sea (softly) sleeps.").findings == ()


def test_function_words_are_unstressed_unless_meant() -> None:
    stress = {w.text: w.syllables[0].stress for w in read_line("The sea is WHERE it was, you see it.").words}
    assert (stress["The"], stress["sea"], stress["it."]) == (0, 1, 0)
    assert stress["WHERE"] == 1


def test_letters_the_language_does_not_use_are_told_and_not_called_read() -> None:
    found = read_line("θάλασσα means the sea", "en_US").findings
    assert [f.code for f in found] == ["words-not-read"]
    assert found[0].facts["words"] == ["θάλασσα"]
    assert not [f for f in read_line("θάλασσα", "el_GR").findings if f.code == "words-not-read"]


@pytest.mark.parametrize(
    ("words", "unknown", "code"),
    [
        ("el la the rock", "el", "es"),  # half of it are Spanish words; beside an English one half is needed
        ("el la the rock sand", "el", None),
        ("el la rock sand moon foam", "el", "es"),  # a third, where no word is a small one at home
        ("el la rock sand moon foam tide", "el", None),
        ("el la the and", "el", None),  # as many small words of home
        ("el el rock", "el", None),  # one common word twice
        ("niño el rock", "el", "es"),  # one, and a letter that English has not
        ("niño rock sand", "niño", None),
        ("el la", "el", None), ("el la rock", "", None),
    ],
)  # fmt: skip
def test_a_line_of_another_language_is_told_by_its_common_words(words: str, unknown: str, code: str | None) -> None:
    """Limits by hand from what the function says of itself; el, la are Spanish, the, and English."""
    assert neighbour_of(words.split(), set(unknown.split()), {"the", "and"}) == code


@pytest.mark.parametrize(
    ("token", "spoken", "sounds", "printed"),
    [
        # letters by their names, a plural or possessive s on the last of them
        ("TVs", "T Vs", "T IY|V IY Z", "T|Vs"), ("XK's", "X Ks", "EH K S|K EY Z", "X|K's"), ("U.S.", "U S", "Y UW|EH S", "U.|S."),
        ("DIY", "D I Y", "D IY|AY|W AY", "D|I|Y"), ("NASA", "nasa", "N AE|S AH", "NA|SA"), ("NO", "no", "N OW", "NO"),
        ("W", "double u", "D AH|B AH L|Y UW", "W||"), ("TV-like", "T V like", "T IY|V IY|L AY K", "T|V-|like"),
        ("SHHH", "sh", "SH", "SHHH"), ("BRRR", "br", "B ER", "BRRR"), ("PSST", "psst", "P S T", "PSST"), ("QXTV", "Q X T V", "K Y UW|EH K S|T IY|V IY", "Q|X|T|V"),
        ("b-b-but", "b b but", "B AH|B AH|B AH T", "b-|b-|but"), ("and/or", "and or", "AH N D|AO R", "and/|or"),
        ("R&B", "R and B", "AA R|AH N D|B IY", "R|&|B"), ("I'd've", "I'd have", "AY D|AH V", "I'd|'ve"),
        ("5'", "five", "F AY V", "5'"), ("1st-grade", "first grade", "F ER S T|G R EY D", "1st-|grade"),
        ("10-year-old", "ten year old", "T EH N|Y IH R|OW L D", "10-|year-|old"), ("5  km", "five kilometers", None, "5  km||||"),
        ("Dr.", "doctor", "D AA K|T ER", "Dr.|"), ("x.y", "X Y", "EH K S|W AY", "x.|y"),
    ],
)  # fmt: skip
def test_tokens_that_are_several_words_or_letters(
    token: str, spoken: str, sounds: str | None, printed: str | None
) -> None:
    """Names of the letters and the words as CMUdict has them; what is printed joins to the token."""
    (word,) = read_line(token).words
    assert word.spoken == spoken
    assert sounds in (None, "|".join(" ".join(s.phones) for s in word.syllables))
    assert printed in (None, "|".join(s.text for s in word.syllables))
    assert (word.start, word.end, word.text) == (0, len(token), token)


@pytest.mark.parametrize(
    ("token", "spoken", "stretch"),
    [("sssnake", "snake", "1.5"), ("hellooooo", "hello", "2"), ("noooo", "no", "1.75"), ("gooood", "good", "1.5"), ("weee", "we", "1.5"),
     ("heeeey", "hey", "1.75"), ("shhhhh", "sh", "2"), ("zzzz", "z", "1.75"), ("trrrick", "trick", "1.5"), ("looong", "long", "1.5"),
     ("n" + "o" * 9, "no", "3"), ("n" + "o" * 20, "no", "3"), ("mooo", "moo", "1.25"), ("bellll", "bell", "1.5"), ("too", "too", "1")],
)  # fmt: skip
def test_letters_written_again_and_again_are_held(token: str, spoken: str, stretch: str) -> None:
    """A quarter longer for each letter more than the word has, three times at most; our own rule."""
    (word,) = read_line(token).words
    assert (word.spoken, word.stretch) == (spoken, Fraction(stretch))


def test_the_users_word_stays_the_users_when_it_is_drawn_out_or_leans() -> None:
    say = {"bram": SayEntry("Bram", ("Br", "am"), 1, ("B R AH", "AE M"))}

    def said(text: str) -> list[tuple[str, str]]:
        (word,) = read_line(text, say=say).words
        return [(s.text, " ".join(s.phones)) for s in word.syllables]

    assert said("Bram's") == [("Br", "B R AH"), ("am's", "AE M Z")]
    assert said("Braaaam!") == [("Br", "B R AH"), ("aaaam!", "AE M")]
    assert read_line("Braaaam!", say=say).words[0].stretch == Fraction(7, 4)


@pytest.mark.parametrize(
    ("line", "emphasised"),
    [
        ("ONE TWO", "ONE TWO"),  # two words in capitals are meant
        ("ONE TWO SIX", ""),  # three of three: the line is in capitals
        ("ONE TWO SIX TEN ONE TWO SIX and the sea", ""),  # seven of ten
        ("ONE TWO SIX TEN ONE TWO and the sea goes", "ONE TWO SIX TEN ONE TWO"),  # six of ten
        ("I am A rock", ""), ("a *big* rock", "big"), ("a **big old** rock", "big old"), ("NO, no", "NO,"),
    ],
)  # fmt: skip
def test_words_that_are_meant(line: str, emphasised: str) -> None:
    """Seven tenths of a line in capitals say that capitals mean nothing in it (our own limit)."""
    assert " ".join(w.text for w in read_line(line).words if w.is_emphasised) == emphasised


def test_what_is_left_out_or_not_read_is_told() -> None:
    def told(text: str, **more: object) -> list[tuple[str, object]]:
        return [(f.code.value, f.message) for f in read_line(text, **more).findings]  # type: ignore[arg-type]

    assert told("The sea (one two three four five) sleeps.") == []
    ((code, message),) = told("The sea (one two three four five six) sleeps.")
    assert (code, message) == (
        "unspoken-aside",
        '"(one two three four five six)" stands in brackets and so is not spoken; write it between dashes if it is.',
    )
    four, five = (" ".join("αβγδε"[:n]) for n in (4, 5))
    assert told(f"{four} the sea")[0][1].startswith("“α”, “β”, “γ”, “δ”: letters that en_US is not written in")
    assert told(f"{five} the sea")[0][1].startswith("“α”, “β”, “γ”, “δ” …: letters")
    assert told("Glimpo! 🦀🐚")[1:] == [("unspoken-emoji", "🦀🐚 is not spoken.")]
    (homograph,) = told("We live here")
    assert homograph[0] == "homograph"
    assert homograph[1].startswith('"live" is said in more than one way; read as ')
    assert told("We live here", say={"live": SayEntry("live", sounds_like="liv")}) == []


@pytest.mark.parametrize(
    ("line", "at", "quality", "mark"),
    [
        ("The sea… sleeps", 1, Break.SENTENCE, "…"), ("The sea... sleeps", 1, Break.SENTENCE, "…"), ("The sea -- sleeps", 1, Break.CLAUSE, "—"),
        ("The sea – sleeps", 1, Break.CLAUSE, "—"), ("The sea; sleeps", 1, Break.CLAUSE, ";"), ("The sea?! sleeps", 1, Break.SENTENCE, "?"),
        ("The sea sleeps,", 2, Break.SENTENCE, ","),
        ("The sea sleeps", 2, Break.SENTENCE, ""), ("The sea (softly) sleeps", 1, Break.CLAUSE, ""), ("Dr. Shell", 0, Break.NEVER, ""),
        ("Mrs. Shell.", 1, Break.SENTENCE, "."), ("Tansy Shell sleeps", 0, Break.NEVER, ""), ("A. Shell", 0, Break.NEVER, ""),
        ("the sea and the moon", 1, Break.PHRASE, ""), ("sleep now", 0, Break.WORD, ""), ("Tansy's rock", 0, Break.NEVER, ""),
    ],
)  # fmt: skip
def test_where_a_line_may_be_cut(line: str, at: int, quality: Break, mark: str) -> None:
    """A full stop ends a sentence, a comma or dash a clause; an abbreviation, a name and an owner end nothing."""
    word = read_line(line).words[at]
    assert (word.break_after, word.mark) == (quality, mark)


def test_a_pause_lies_between_the_words_around_its_place() -> None:
    line = "Look here now"
    for offset, places in (
        (0, [None] * 3),
        (1, [1, None, None]),
        (5, [1, None, None]),
        (6, [None, 1, None]),
        (13, [None, None, 1]),
    ):
        words = read_line(line, pauses=(PauseMark(offset, Fraction(1)),)).words
        assert [w.pause_after for w in words] == places, offset
    both = read_line(line, pauses=(PauseMark(4, Fraction(1)), PauseMark(5, Fraction(2)))).words
    assert both[0].pause_after == 3
