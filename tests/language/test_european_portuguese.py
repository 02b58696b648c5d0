"""Portuguese as in Portugal beside Brazil's: M. H. Mateus and E. d'Andrade, "The Phonology of Portuguese" (from memory).

In their IPA: tarde [ˈtaɾdɨ], dia [ˈdiɐ], mal [ˈmaɫ], mas [mɐʃ], noites [ˈnojtɨʃ], gente [ˈʒẽtɨ], casas [ˈkazɐʃ],
feliz [fɨˈliʃ], passo [ˈpasu]; Brazil has an affricate in tarde, dia, gente. The nearest English sounds stand for them.
"""

import pytest

from timing.language import read_line, spoken_form
from timing.language.registry import language_of


def sounds(word, language):
    return " ".join(p for s in read_line(word, language).words[0].syllables for p in s.phones)


@pytest.mark.parametrize(
    ("word", "wanted"),
    [
        ("tarde", "T AA R D AH"), ("dia", "D IY AH"), ("mal", "M AA L"), ("mas", "M AA SH"),
        ("noites", "N OY T AH SH"), ("gente", "ZH EH N T AH"), ("casas", "K AA Z AH SH"), ("feliz", "F AH L IY SH"),
        ("passo", "P AA S UW"),
    ],
)  # fmt: skip
def test_weak_vowels_hard_stops_and_hushed_s(word, wanted):
    assert sounds(word, "pt_PT") == wanted


def test_brazil_keeps_its_own():
    assert (sounds("tarde", "pt_BR"), sounds("dia", "pt_BR")) == ("T AA R JH IY", "JH IY AA")


def test_numbers_are_those_of_each_country():
    assert spoken_form("16, 17, 19", "pt_PT") == "dezasseis dezassete dezanove"
    assert spoken_form("16, 17, 19", "pt_BR") == "dezesseis dezessete dezenove"
    assert spoken_form("3 km", "pt_PT") == "três quilómetros"


def test_the_pace_is_sourced_and_said_to_be():
    for code in ("pt_PT", "pt_BR"):
        assert language_of(code).assumed() == ()
    assert language_of("pt_PT").usual_rate.value == language_of("es").usual_rate.value
