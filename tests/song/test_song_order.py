"""The table to order a song by, against values worked out by hand and against episodes planned at that tempo."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from timing.cli import cli
from timing.pipeline import plan_source

SCRIPT = """INT. ROCK - DAY

BRAM
[[song out-and-in, bar 1]]
~ |Out and in, the sea |goes
~ |Twice a day, the big tide |flows

TANSY
The sea comes in.
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "script.fountain").write_text(SCRIPT, "utf-8")
    (tmp_path / "episode.toml").write_text("[profile.default]\nlengths = [3, 4, 5, 8]\ncost_per_s = 0.5\n", "utf-8")
    return tmp_path


def tempo(*arguments):
    return CliRunner().invoke(cli, ["tempo", *map(str, arguments)])


def rows(folder, wish, *more):
    made = tempo(wish, "--in", folder, "--json", *more)
    assert made.exit_code == 0, made.output
    return json.loads(made.stdout)["tempos"]


def test_a_song_of_four_bars_at_96_bpm_lasts_ten_seconds(folder):
    # By hand: 24 x 60 / 96 = 15 frames a beat; two lines of two bars of four beats: 16 x 15 = 240 frames = 10 s. At 15
    # frames the bar has 60; 59 and 61 frames a bar are 5760 / 59 = 97.627 and 5760 / 61 = 94.426 bpm.
    found = {row["bpm"]: row for row in rows(folder, 96)}
    assert (found[96]["frames"], found[96]["of"], found[96]["song_s"]) == (15, "beat", 10)
    assert (found[97.627119]["frames"], found[97.627119]["of"]) == (59, "bar")
    assert found[94.42623]["song_s"] == pytest.approx(16 * 60 / 94.42623, abs=1e-4)
    assert list(found) == sorted(found)
    assert [row["frames"] for row in found.values() if row["of"] == "beat"] == [18, 17, 16, 15, 14, 13]


def test_each_row_is_what_the_episode_costs_at_that_tempo(folder):
    found = rows(folder, 100)
    settings = (folder / "episode.toml").read_text("utf-8")
    for row in found[::3]:
        # Written to twelve figures, a tempo is still within a millionth of a frame after a thousand beats.
        exact = 60 * 24 * (1 if row["of"] == "beat" else 4) / row["frames"] if row["frames"] else row["bpm"]
        (folder / "episode.toml").write_text(settings + f"[song.out-and-in]\nbpm = {exact:.12f}\n", "utf-8")
        plan = plan_source(folder)
        assert row["generate_s"] == float(plan.totals.generate)
        assert row["cost"] == float(plan.totals.cost)
        sung = [line for line in plan.lines if line.song]
        assert [line["seconds"] for line in row["lines"]] == pytest.approx([float(x.length) for x in sung], abs=1e-5)
        asked = sorted(float(c.ask) for c in plan.clips if c.line in {x.id for x in sung})
        assert sorted(clip["ask_s"] for clip in row["clips"] for _ in range(clip["count"])) == asked


def test_a_wish_off_the_frames_is_shown_beside_its_neighbours(folder):
    found = rows(folder, 97)
    (own,) = [row for row in found if row["bpm"] == 97]
    assert own["frames"] is None
    made = tempo(97, "--in", folder)
    assert "not whole" in made.stdout
    assert "as wished" in made.stdout
    assert "least" in made.stdout


def test_a_bar_of_six_eights_has_two_beats(folder):
    # By hand: 60 dotted quarters a minute are 24 frames a beat, 48 a bar; 47 frames a bar are 2880 / 47 = 61.277 bpm.
    found = {row["bpm"]: row for row in rows(folder, 60, "--metre", "6/8")}
    assert (found[60]["frames"], found[60]["of"]) == (24, "beat")
    assert (found[61.276596]["frames"], found[61.276596]["of"]) == (47, "bar")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["96"], "timing tempo 96 --in SCRIPT"),
        (["96", "--in", ".", "--song", "out-and-inn"], 'did you mean "out-and-in"'),
        (["9", "--in", "."], "no tempo"),
        (["96", "--in", ".", "--downbeat", "2"], "--downbeat is about a recording"),
    ],
)
def test_a_slip_is_one_sentence(folder, monkeypatch, arguments, says):
    monkeypatch.chdir(folder)
    made = tempo(*arguments)
    assert made.exit_code == 2
    assert says in made.stderr
    assert "Traceback" not in made.stderr
