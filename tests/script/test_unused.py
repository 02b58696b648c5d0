"""Settings that name what the script does not have."""

from __future__ import annotations

from pathlib import Path

import pytest

from timing.pipeline import plan_source
from timing.script.episode import parse_episode, unused

SETTINGS = """
[cast.TANSY]
[cast.BARM]
[takes]
1 = "recordings/one.wav"
9 = "recordings/one.wav"
2 = "recordings/two.wav"
[song.out-and-in]
[song.lullaby]
[say]
Bram = "bramm"
limpit = "lim pit"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "recordings").mkdir()
    (tmp_path / "recordings" / "one.wav").touch()
    return tmp_path


def test_each_name_that_leads_nowhere_is_a_finding_with_the_nearest(folder: Path) -> None:
    settings = parse_episode(SETTINGS, "e")
    found = unused(settings, ["TANSY", "BRAM"], ["1", "2"], ["Bram,", "limpet"], ["out-and-in"], folder)
    assert [(f.code, f.message) for f in found] == [
        ("cast-unused", "[cast.BARM]: nobody of that name speaks in the script; did you mean BRAM?"),
        ("take-unused", "[takes] 9: there is no line 9"),
        (
            "take-missing",
            "[takes] 2: there is no file recordings/two.wav; did you mean recordings/one.wav?",
        ),
        ("song-unused", "[song.lullaby]: no sung line belongs to this song"),
        ("say-unused", '[say]: "limpit" is not said in the script; did you mean limpet?'),
    ]
    assert {f.where.path for f in found if f.where} == {"episode.toml"}


def test_settings_that_are_used_are_not_spoken_of(folder: Path) -> None:
    settings = parse_episode('[cast.Tansy]\n[takes]\n1 = "recordings/one.wav"\n[say]\n"don\'t" = "dohnt"', "e")
    assert unused(settings, {"TANSY"}, {"1"}, {"Don\u2019t!"}, set(), folder) == ()


def test_a_missing_folder_of_takes_is_just_a_missing_file(tmp_path: Path) -> None:
    settings = parse_episode('[takes]\n1 = "none/one.wav"', "e")
    assert [f.code for f in unused(settings, [], ["1"], [], [], tmp_path)] == ["take-missing"]


def test_a_first_picture_that_is_not_there_is_told_once_with_the_nearest(tmp_path: Path) -> None:
    script = "The bay. [[picture bay-wide]]\n\nTANSY\nOh! [[picture bay-wyde]]\n\nBRAM\nAh! [[picture Bay-Wide]]\n"
    (tmp_path / "script.fountain").write_text(script, "utf-8")
    # Nothing is drawn yet: the page of first pictures says what is to be.
    assert not [f for f in plan_source(tmp_path).findings if f.code == "picture-missing"]
    (tmp_path / "pictures").mkdir()
    (tmp_path / "pictures" / "rock.png").write_bytes(b"")
    told = [f for f in plan_source(tmp_path).findings if f.code == "picture-missing"]
    assert [f.facts["name"] for f in told] == ["bay-wide", "bay-wyde"]
    assert "draw it and save it there as bay-wide.png" in told[0].message
    (tmp_path / "pictures" / "bay-wide.JPG").write_bytes(b"")
    (one,) = [f for f in plan_source(tmp_path).findings if f.code == "picture-missing"]
    assert (one.facts["name"], one.facts["near"], one.where.line_number) == ("bay-wyde", "bay-wide", 4)
