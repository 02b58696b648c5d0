"""What the episodes of a series share: who wins, and in which file an error stands."""

from __future__ import annotations

from fractions import Fraction

import pytest

from timing.pipeline import plan_source
from timing.plain.errors import InputError
from timing.script.source import open_source

F = Fraction
SERIES = """\
# ours
language = "pt_BR"
picture_profile = "pans"
paper = "Letter"

[profile.talking]
lengths = [3, 5, 8]
takes = 4
cost_per_s = 0.05

[profile.pans]
lengths = [10]
unlimited = true

[cast.Tansy]
delivery = "slow"
profile = "talking"

[cast.BRAM]
profile = "talking"

[gaps]
line_s = 0.5
scene_s = 2

[budget]
money_a_month = 30
currency = "EUR"

[say]
limpet = "limpit"
Bram = "bramm"
"""


@pytest.fixture
def series(tmp_path):
    """Return a function (episode.toml or None, series.toml) -> the settings of the episode "storm"."""

    def settings(episode=None, shared=SERIES):
        folder = tmp_path / "storm"
        folder.mkdir(exist_ok=True)
        (tmp_path / "series.toml").write_text(shared, "utf-8")
        (folder / "script.txt").write_text("TANSY: The wind is here.\n", "utf-8")
        if episode is not None:
            (folder / "episode.toml").write_text(episode, "utf-8")
        return open_source(folder).settings

    return settings


def message(series, *texts):
    with pytest.raises(InputError) as error:
        series(*texts)
    return str(error.value)


def test_an_episode_without_settings_has_the_series_ones(series):
    found = series()
    assert (found.language, found.sheet.paper, found.budget.money_a_month) == ("pt_BR", "Letter", 30)
    assert found.cast["TANSY"].delivery == "slow"
    assert found.profiles["talking"].takes == 4
    assert set(found.say) == {"limpet", "bram"}


def test_what_the_episode_says_counts_key_by_key(series):
    found = series(
        'language = "es"\n[profile.talking]\ntakes = 2\n[cast.TANSY]\npace = 1.1\n[gaps]\nline_s = 0.7\n'
        '[say]\nBRAM = { like = "brahm" }\n'
    )
    assert found.language == "es"
    assert (found.profiles["talking"].takes, found.profiles["talking"].cost_per_s) == (2, F("0.05"))
    assert (found.cast["TANSY"].pace, found.cast["TANSY"].delivery) == (F("1.1"), "slow")
    assert (found.gaps.line, found.gaps.scene) == (F("0.7"), 2)
    assert found.say["bram"].sounds_like == "brahm"


def test_without_a_series_nothing_changes(tmp_path):
    folder = tmp_path / "storm"
    folder.mkdir()
    (folder / "script.txt").write_text("TANSY: The wind is here.\n", "utf-8")
    (folder / "episode.toml").write_text("[cast.TANSY]\npace = 1.1\n", "utf-8")
    source = open_source(folder)
    assert source.series is None
    assert source.settings.shared == frozenset()


def test_an_error_names_the_file_and_line_it_stands_in(series):
    assert "series.toml:8: profile.talking.takes is a whole number" in message(series, "", SERIES.replace("= 4", "= 0"))
    assert "episode.toml:2: profile.talking.takes is a whole number" in message(
        series, "[profile.talking]\ntakes = 0\n"
    )
    assert 'series.toml:33: there is no key "bugdet"' in message(series, "", SERIES + "[bugdet]\nx = 1\n")
    assert 'episode.toml:1: there is no key "laguage"' in message(series, 'laguage = "es"\n')
    assert "series.toml:2: not valid TOML" in message(series, "", SERIES.replace('"pt_BR"', "pt_BR"))


@pytest.mark.parametrize("key", ['title = "Storm"', 'code = "S1"', "[song.theme]\nbpm = 96", '[takes]\n1 = "a.wav"'])
def test_what_belongs_to_one_episode_is_refused_in_the_series(series, key):
    name = key.split(" ")[0].strip("[]").split("\n")[0].split(".")[0].split("]")[0]
    told = message(series, "", f"{key}\n")
    assert f"series.toml:1: {name} belongs to one episode" in told


def test_the_series_has_to_make_sense_by_itself(series):
    """Else each episode would have to mend it."""
    told = message(series, "[profile.boats]\nlengths = [3]\n", SERIES.replace('"pans"\npaper', '"boats"\npaper'))
    assert 'series.toml:3: there is no clip profile "boats"' in told


def test_prices_of_two_kinds_are_one_sentence_that_names_both_places(series):
    told = message(series, "[profile.talking]\nprice_each = 2\n")
    assert told.count("\n") == 0
    assert "episode.toml:1:" in told
    assert "give either cost_per_s or price_each, not both (cost_per_s stands in" in told
    assert told.endswith("series.toml:9; a profile of another name may differ)")


def test_menus_of_two_kinds_are_one_sentence_that_names_both_places(series):
    told = message(series, "[profile.talking]\nshortest_s = 2\nlongest_s = 9\n")
    assert "series.toml:7: give either lengths or shortest_s, longest_s and step_s, not both (shortest_s stands" in told
    assert "episode.toml:3; a profile of another name may differ)" in told


def test_another_currency_is_a_contradiction_as_the_ledger_is_one(series):
    told = message(series, '[budget]\ncurrency = "USD"\n')
    assert "episode.toml:2:" in told
    assert 'currency is "USD" here and "EUR" in ' in told
    assert series('[budget]\ncurrency = "EUR"\nmoney_a_month = 5\n').budget.money_a_month == 5


def test_two_profiles_that_differ_in_capitals_only_are_a_slip(series):
    told = message(series, "[profile.Talking]\ntakes = 2\n")
    assert 'there is a clip profile "talking" too' in told


def test_drop_frame_of_the_series_does_not_fit_an_episodes_rate(series):
    told = message(series, "rate = 24\n", 'rate = "29.97"\ndrop_frame = true\n')
    assert "series.toml:2: drop-frame time code exists for 29.97 and 59.94 only" in told
    assert "(rate stands in " in told
    assert "episode.toml:1)" in told


def test_what_the_series_shares_may_be_for_another_episode(series, tmp_path):
    from timing.pipeline import plan_source

    series("[cast.CRAB]\npace = 1.1\n", SERIES.replace("pt_BR", "en_US"))
    messages = [f.message for f in plan_source(tmp_path / "storm").findings]
    assert [m for m in messages if "[cast." in m] == ["[cast.CRAB]: nobody of that name speaks in the script"]
    assert not [m for m in messages if "[say]" in m or "pans" in m or "picture_profile" in m]


def test_an_unknown_language_is_said_of_the_file_it_stands_in(series, tmp_path):
    from timing.pipeline import plan_source

    series("", 'language = "tide"\n')
    with pytest.raises(InputError) as error:
        plan_source(tmp_path / "storm")
    assert "series.toml: language:" in str(error.value)


def test_an_unknown_profile_in_the_script_is_in_neither_file(series, tmp_path):
    from timing.pipeline import plan_source

    series("", SERIES.replace("pt_BR", "en_US"))
    (tmp_path / "storm" / "script.txt").write_text("TANSY: The wind is here. [[with pams]]\n", "utf-8")
    with pytest.raises(InputError) as error:
        plan_source(tmp_path / "storm")
    assert 'neither episode.toml nor series.toml has a clip profile "pams"; did you mean "pans"?' in str(error.value)


def test_the_series_folder_is_no_episode_and_an_episode_no_series(series, tmp_path):
    series("")
    with pytest.raises(InputError, match=r"holds a series; name one of its episodes: .*storm"):
        open_source(tmp_path)
    (tmp_path / "storm" / "series.toml").write_text("", "utf-8")
    with pytest.raises(InputError, match=r"series\.toml: belongs one folder above"):
        open_source(tmp_path / "storm")


def test_a_series_toml_that_is_a_folder_is_one_sentence(series, tmp_path):
    series("")
    (tmp_path / "series.toml").unlink()
    (tmp_path / "series.toml").mkdir()
    with pytest.raises(InputError, match="this is a folder, not a settings file"):
        open_source(tmp_path / "storm")


def test_an_episode_opened_from_inside_finds_its_series(series, tmp_path, monkeypatch):
    series("")
    monkeypatch.chdir(tmp_path / "storm")
    from pathlib import Path

    assert open_source(Path(".")).settings.language == "pt_BR"
    assert open_source(Path("../storm")).settings.language == "pt_BR"


def test_a_shared_name_that_is_a_slip_for_somebody_who_speaks_is_told(series, tmp_path):
    """BRAM is merely in other episodes; TANSIE is TANSY, who speaks here and is not in the cast."""
    series(shared=SERIES.replace("[cast.Tansy]", "[cast.Tansie]"))
    found = [(f.message, f.where.path) for f in plan_source(tmp_path / "storm").findings if f.code == "cast-unused"]
    message = "[cast.TANSIE]: nobody of that name speaks in the script; did you mean TANSY?"
    assert found == [(message, "series.toml")]
    series(shared=SERIES + "[cast.TANSYA]\n")  # Tansy is in the cast: another person of the series
    assert not [f for f in plan_source(tmp_path / "storm").findings if f.code == "cast-unused"]
