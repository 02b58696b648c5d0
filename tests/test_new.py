"""``timing new``: an episode by itself, a series, and an episode inside it."""

from __future__ import annotations

import tomllib

from click.testing import CliRunner

from timing.cli import cli


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
