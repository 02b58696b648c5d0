"""Words in their syllables with the stressed one in capitals, by each language's school rules; from memory.

Chosen for what the rules must tell apart: hiatus and diphthong, glides, silent letters, clusters, prefixes, endings
that move the stress. French has no written stress: its last sounded syllable.
"""

import pytest

from timing.hearing.foreign_sounds import manners
from timing.language import languages, read_line
from timing.language.registry import language_of

WORDS = {
    "es": """
        ca-BA-llo ca-mi-NAR ca-MI-nan re-LOJ LÁ-piz a-VIÓN can-CIÓN CA-sas fe-LIZ a-ZUL dor-MIR co-MÍ ÁR-bol te-A-tro
        ma-ÍZ ra-ÍZ RÍ-o TÍ-o PIA-no RUI-do ciu-DAD A-gua LEN-gua ver-GÜEN-za ci-GÜE-ña GUE-rra gui-TA-rra QUIE-ro
        es-TRE-lla a-BRI-go o-CLU-so in-GLÉS al-re-de-DOR ins-TAN-te pers-pi-CAZ obs-TÁ-cu-lo ex-TRA-ño a-HO-ra
        pro-HI-bo BÚ-ho al-co-HOL BAI-le AU-to eu-RO-pa rei-NAR HOY BUEY es-TOY le-ER cre-ER zo-o-lo-GÍ-a lim-PIÁIS
        a-É-re-o o-CÉ-a-no cho-co-LA-te mur-CIÉ-la-go CUÍ-da-te ca-SUÍS-ti-ca lin-GÜÍS-ti-ca in-ter-VIÚ vein-TIÚN
        chi-I-ta du-un-VI-ro BY-ron LYN-da REY-no sa-mu-RÁI ui-GUR""",
    "pt": """
        ca-VA-lo ca-MI-nho ca-LOR a-MOR fu-NIL a-ZUL ca-FÉ so-FÁ LÁ-pis FÁ-cil ir-MÃO ir-MÃ co-ra-ÇÃO PÃO MÃE
        PÕE li-MÕES HO-mem o-ON-tem jar-DIM al-GUM bom-BOM sa-ÍR ra-IZ ju-IZ sa-Í-da VIU PAI REI OU-ro BOI
        MUI-to QUA-tro a-GUEN-ta QUEI-jo GUER-ra LÍN-gua pin-GUIM CAR-ro as-SAR nas-CER ex-CE-to PNEU ad-vo-GA-do
        RIT-mo BRA-ço LI-vro FLOR A-tlas te-LHA-do ga-LI-nha cha-PÉU he-RÓI a-NÉIS ba-Ú re-Ú-ne en-JO-o VO-o LE-em
        TI-o DI-a pi-A-no JÓI-a i-DÉI-a""",
    "it": """
        ca-VAL-lo cit-TÀ per-CHÉ TA-vo-lo FIO-re FI-glio FI-gli fa-MI-glia GIO-co GIAL-lo CIE-lo SCIAR-pa
        PE-sce GNO-mo BA-gno AC-qua QUAN-do GUAN-to LIN-gua SUO-no UO-vo UO-mo PIE-de VIO-la AU-to au-TUN-no
        PAU-sa pa-U-ra ZI-o MI-o TU-o DU-e po-E-ta le-O-ne be-A-to sta-ZIO-ne a-ZIO-ne STRA-da SPEC-chio
        MO-stro BO-sco PA-sta LIB-bro SOT-to AN-che CHIE-sa GHI-ro FUN-ghi BAR-ca AL-be-ro COR-po in-GLE-se ME-di-co
        MU-si-ca a-ni-MA-le far-FAL-la BAR BUS GAS
        QUIE-te in-QUIE-to PIÙ CIÒ lag-GIÙ ZÌ-o pa-Ù-ra a-Ì-da HOB-by YO-ga NI-ño CAU-sa neu-TRA-le bu-GI-a ma-GI-a FI-lo NOI""",
    "fr": """
        ba-TEAU cha-PEAU oi-SEAU sa-PIN ma-TIN RIEN BIEN CHIEN LION ca-MION cri-ER ou-bli-ER pri-ER a-VION VIANDE
        PIED YEUX FEUILLE so-LEIL tra-VAIL tra-vail-LER gre-NOUILLE pa-pil-LON BILLE VILLE FILLE pi-GEON man-GEAIT
        MANGENT PARLENT ILS chan-TAIENT sou-VENT con-TENT mo-MENT vrai-MENT LUNE pe-TITE TABLE ARBRE QUATRE
        LIVRE le-ÇON gar-ÇON CŒUR SŒUR NŒUD OUI lou-ER NUIT HUIT FRUIT PUIS é-TOILE MOI TROIS no-ËL ma-ÏS na-ÏF ai-GUILLE
        é-QUIPE fa-ti-GUER LONGUE jou-ER rou-ER thé-ÂTRE pho-TO CHÈVRE or-CHESTRE a-GNEAU mon-TAGNE in-SECTE ac-CENT
        a-GENT VIVENT OUEST OUATE AIENT a-MIE VIES IODE io-TA yo-GA bour-GEON plon-GEOIR es-QUISSE fa-TIGUE LOIN clou-ER trou-ER""",
    "de": """
        VA-ter MUT-ter KIN-der SCHU-le WAS-ser ge-HEN ver-GES-sen be-GIN-nen ent-DE-cken er-ZÄH-len zer-BRE-chen
        ge-SCHICH-te mu-SIK na-TUR pa-pa-GEI stu-DIE-ren te-le-fo-NIE-ren bä-cke-REI AR-bei-ten FLA-sche
        TA-sche ZU-cker BRÜ-cke KAT-ze SIT-zen PFLAU-me AP-fel KÄMP-fen STERN FENS-ter SCHMET-ter-ling
        AU-ge EU-le FREU-de EI-mer BIE-ne BOOT SEE MEER TEE OH-ren SE-hen ZE-hen STROH FÜH-len
        AM-sel EN-kel VO-gel VÖ-gel RE-gen SON-ne IN-seln AN-zug AUS-flug A-bend UN-ten MON-tag ge-MACHT na-ti-ON
        i-DEE RA-di-o pa-PIER kla-VIER stu-DENT ta-LENT ad-VENT den-TIST pro-BIERT FRIE-ren TIE-ren YO-ga""",
    "nl": """
        MOE-der be-GIN-nen ver-GE-ten ge-ZIEN ont-DEK-ken er-VA-ren her-IN-ne-ren LO-pen KIN-de-ren SCHOE-nen
        BLOE-men ZEE-ën KNIE-ën IJ-zer TIJ-ger EEU-wen NIEUW LEEUW KEU-ken DEUR HUI-zen VUUR-to-ren SCHAA-pen SCHRIJ-ven
        STER-ren ANG-stig ZIN-gen DEN-ken KA-chel LA-chen VO-gel-tje BOOM-pje mu-ZIEK pa-pe-GAAI ko-NIJN
        pro-BE-ren AR-men HERFST FIET-sen be-KEERT ver-EERT YO-ga te-GEN BED""",
}
ROWS = [(code, word) for code, words in WORDS.items() for word in words.split()]


def said(word: str, code: str) -> str:
    (found,) = read_line(word.replace("-", "").lower(), code).words
    return "-".join(s.text.upper() if s.stress == 1 else s.text for s in found.syllables)


if __name__ == "__main__":
    for code, word in ROWS:
        if (found := said(word, code)) != word:
            print(code, word, found)


@pytest.mark.parametrize(("code", "word"), ROWS)
def test_words_are_divided_and_stressed_as_in_school(code: str, word: str) -> None:
    assert said(word, code) == word


@pytest.mark.parametrize("code", [code for code in languages() if code[:2] != "en"])
def test_every_common_word_has_one_stressed_syllable(code: str) -> None:
    """English and Dutch have words with a weak vowel alone; elided letters and clipped words have none."""
    record = language_of(code)
    words = record.rules.function_words | record.rules.never_after | record.common_words
    for word in sorted(word for word in words if len(word) > 1 and "'" not in word):
        found = record.rules.pronounce(word, False)[0]
        assert found.stresses.count(1) == 1, word
        assert "".join(found.pieces) == word


@pytest.mark.parametrize(
    ("phones", "word", "following", "others"),
    [
        ("L EY", "les", "algues", ["L EY Z"]), ("L EY", "les", "vagues", []), ("L EY", "les", "", []),
        ("G R AA N", "grand", "ami", ["G R AA N T"]), ("P AH T IY", "petit", "oiseau", ["P AH T IY T"]),
        ("S EH T", "sept", "amis", []),  # the t is heard anyway
        ("D IY", "dix", "vagues", ["D IY S"]), ("P L UW", "plus", "", ["P L UW S"]),
        ("K OW N T AA N", "content", "", ["K OW N T"]),  # ils content, or content
        ("AA ZH AA N", "agent", "vague", ["AA ZH"]), ("V AA N", "vent", "", []), ("M AA M AA N", "maman", "", []),
        ("P AA R L", "parlent", "", []),
    ],
)  # fmt: skip
def test_french_endings_hang_on_the_next_word_or_on_what_is_meant(
    phones: str, word: str, following: str, others: list[str]
) -> None:
    """Liaison and silent endings as handbooks of pronunciation have them; from memory."""
    hearing = language_of("fr").hearing
    assert hearing.endings is not None
    assert [" ".join(p) for p in hearing.endings(tuple(phones.split()), word, following)] == others


def test_a_double_letter_is_two_sounds_in_italian_alone() -> None:
    """notte and note differ by it (school grammar, from memory); in German Mutter it only shortens the vowel."""
    doubled = ("N", "OW", "T", "T", "EH")
    assert next(manners(doubled, language_of("it").hearing)) == doubled
    assert next(manners(doubled, language_of("de").hearing)) == ("N", "OW", "T", "EH")
