"""``timing new`` and ``timing demo``: an episode by itself, a series, and an episode inside it."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace

import pytest
from click.testing import CliRunner

from timing.cli import cli
from timing.model.settings import EpisodeSettings
from timing.plain.files import write_outputs
from timing.plain.resources import example_files
from timing.script.source import open_source


def new(*arguments):
    return CliRunner().invoke(cli, ["new", *map(str, arguments)])


def test_a_series_and_its_first_episode(tmp_path):
    shore = tmp_path / "shore"
    done = new("--series", shore)
    assert done.exit_code == 0, done.output
    template = (shore / "series.toml").read_text("utf-8")
    assert tomllib.loads(template) == {}
    assert "# [cast.TANSY]" in template
    for own in ("[song.", "[takes]", "[rest]", "title =", "only_clips"):
        assert own not in template
    (shore / "series.toml").write_text('[cast.OTTER]\npace = 1.1\n[cast."SEA\\nGULL"]\n[profile.wide]\n', "utf-8")
    done = new(shore / "first")
    assert done.exit_code == 0, done.output
    text = (shore / "first" / "episode.toml").read_text("utf-8")
    assert "series.toml, one folder above" in text
    assert "#   cast: OTTER, SEA GULL" in text
    assert "#   profiles: wide" in text
    assert tomllib.loads(text) == {}
    assert "\nOTTER\nWhat they say." in (shore / "first" / "script.fountain").read_text("utf-8")
    done = CliRunner().invoke(cli, ["lines", str(shore / "first")])
    assert done.exit_code == 0, done.output
    assert "OTTER" in done.output


def test_every_key_of_the_series_template_is_one_a_series_may_have(tmp_path):
    new("--series", tmp_path)
    lines = (tmp_path / "series.toml").read_text("utf-8").split("\n")
    keys = [line[2:] for line in lines if line.startswith("# ") and (" = " in line or line.startswith("# ["))]
    taken = [line for line in keys if not line.startswith(("seconds_a_month = 1200", "drop", "delivery_drop"))]
    (tmp_path / "series.toml").write_text("\n".join(taken), "utf-8")
    assert new(tmp_path / "first").exit_code == 0
    done = CliRunner().invoke(cli, ["lines", str(tmp_path / "first")])
    assert done.exit_code == 0, done.output


def test_nothing_is_overwritten_and_a_bad_series_is_said(tmp_path):
    assert new("--series", tmp_path).exit_code == 0
    assert new("--series", tmp_path).exit_code == 1
    assert new(tmp_path).exit_code == 1  # the series' own folder is no episode
    (tmp_path / "series.toml").write_text("laguage = 1\n", "utf-8")
    done = new(tmp_path / "first")
    assert done.exit_code == 2
    assert "series.toml:1:" in done.output
    assert not (tmp_path / "first").exists()


def test_the_example_series_says_in_two_files_what_the_example_says_in_one(tmp_path):
    write_outputs(tmp_path / "low-tide", example_files())
    write_outputs(tmp_path / "shore", example_files("shore"))
    (tmp_path / "shore" / "low-tide" / "script.fountain").write_bytes(example_files()["script.fountain"])

    def comparable(settings: EpisodeSettings) -> EpisodeSettings:
        profiles = {name: replace(p, takes_noted=False) for name, p in settings.profiles.items()}
        return replace(settings, profiles=profiles, budget=EpisodeSettings().budget, shared=frozenset())

    one = open_source(tmp_path / "low-tide").settings
    both = open_source(tmp_path / "shore" / "low-tide").settings
    assert both.shared
    assert comparable(one) == comparable(both)


def test_the_demo_of_a_series_speaks_on_as_its_first_episode_taught(tmp_path):
    done = CliRunner().invoke(cli, ["demo", str(tmp_path / "shore"), "--series"])
    assert done.exit_code == 0, done.output
    first, second = done.output.split("Why Is the Sea Salty?")
    assert "learnt from" not in first
    assert "estimates of TANSY: pace 0.91, learnt from 4 lines (low-tide 4)" in second
    assert (tmp_path / "shore" / "high-tide" / "out" / "sheets.pdf").is_file()
    # Of the second episode a clip is back, and its sound in another voice: one generation, in the series' one ledger.
    plan = json.loads((tmp_path / "shore" / "high-tide" / "out" / "plan.json").read_text("utf-8"))
    (back,) = plan["deliveries"]
    assert (back["clip"], back["takes"], back["voice"]["file"]) == ("C03", 1, "clips/C03 voice.ogg")
    assert back["voice"]["used"] is True
    assert back["voice"]["delay_s"] == pytest.approx(0, abs=0.001)  # made of the clip itself, moment by moment
    rows = (tmp_path / "shore" / "generated.csv").read_text("utf-8-sig").split()
    assert len(rows) > 1
    assert [row.split(",")[2:4] for row in rows[1:] if row.startswith("20")] == [["C03", "8"]]
    assert not (tmp_path / "shore" / "high-tide" / "generated.csv").exists()
