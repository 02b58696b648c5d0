"""What one episode teaches the next: learnt.toml, read strictly, written with people's comments."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from click.testing import CliRunner

from timing.cli import cli
from timing.commands.series import paces_told
from timing.memory.clips import ACCEPTED, DELIVERED, Entry, Memory, Wording
from timing.memory.learnt_toml import keep_learnt, read_learnt, takes_needed
from timing.memory.ledger import read_ledger
from timing.model.learnt import LearntPace, LearntTakes
from timing.pipeline import make_plan, plan_source
from timing.plain.errors import OutputError, SettingsError
from timing.script.source import open_source

F = Fraction
OLD = """\
# kept by us
[pace.Tansy] # she is slow
low-tide = {lines = 9, pace = 1.1} # the first
by-hand = { lines = 3, pace = 1.2, who = "me" }

[takes.talking]
low-tide = {clips = 6, takes = 4.5}
"""


@pytest.fixture
def series(tmp_path):
    (tmp_path / "series.toml").write_text("[profile.talking]\nlengths = [3, 5, 8]\n", "utf-8")
    storm = tmp_path / "storm"
    storm.mkdir()
    (storm / "script.txt").write_text("TANSY: The wind is blowing over all the rocks and pools.\n", "utf-8")
    return tmp_path


def length(series):
    return float(plan_source(series / "storm").lines[0].length)


def test_rows_are_added_and_changed_and_what_people_wrote_stays(series):
    path = series / "learnt.toml"
    path.write_text(OLD, "utf-8")
    assert keep_learnt(series, "storm", {"TANSY": LearntPace(1.25, 4)}, {})
    assert keep_learnt(series, "low-tide", {"TANSY": LearntPace(1.1, 9), "BRAM": LearntPace(0.9, 5)}, {})
    text = path.read_text("utf-8")
    for kept in ("# kept by us", "[pace.Tansy] # she is slow", "# the first", 'who = "me"'):
        assert kept in text
    learnt = read_learnt(series)
    assert learnt.paces["TANSY"] == {
        "low-tide": LearntPace(1.1, 9), "by-hand": LearntPace(1.2, 3), "storm": LearntPace(1.25, 4)
    }  # fmt: skip
    assert learnt.paces["BRAM"]["low-tide"] == LearntPace(0.9, 5)
    assert learnt.takes["talking"]["low-tide"] == LearntTakes(F("4.5"), 6)
    before = path.stat().st_mtime_ns
    assert not keep_learnt(series, "storm", {"TANSY": LearntPace(1.25, 4)}, {})  # nothing new, nothing written
    assert path.stat().st_mtime_ns == before


def test_a_new_file_can_be_read_again(series):
    keep_learnt(series, "storm", {'TANSY\'S "MUM"': LearntPace(1.0, 4)}, {"slow one": LearntTakes(F(7, 2), 2)})
    learnt = read_learnt(series)
    assert learnt.paces == {'TANSY\'S "MUM"': {"storm": LearntPace(1.0, 4)}}
    assert learnt.takes == {"slow one": {"storm": LearntTakes(F(7, 2), 2)}}


def test_a_pace_that_nobody_speaks_at_is_not_kept(series):
    """A recording that was wrongly cut must not make a file that cannot be read."""
    assert not keep_learnt(series, "storm", {"TANSY": LearntPace(5.0, 4)}, {})
    assert not (series / "learnt.toml").exists()


def test_a_folder_that_cannot_be_written_is_one_sentence(series):
    (series / ".lock").mkdir()
    with pytest.raises(OutputError, match="cannot be written"):
        keep_learnt(series, "storm", {"TANSY": LearntPace(1.0, 4)}, {})


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("pace = 1.1", 'pace = "1.1"', "3: [pace.Tansy] low-tide: pace is a number from 0.25 to 4"),
        ("pace = 1.1", "pace = 11", "3: [pace.Tansy] low-tide: pace is a number from 0.25 to 4"),
        ("lines = 9", "lines = 0", "3: [pace.Tansy] low-tide: lines is a whole number, 1 or more"),
        ("lines = 9", "line = 9", '3: [pace.Tansy.low-tide] there is no key "line"; did you mean "lines"?'),
        ("[pace.Tansy]", "[paces.Tansy]", '2: there is no key "paces"; did you mean "pace"?'),
        ("= {clips = 6, takes = 4.5}", "= 4.5", "7: [takes.talking] low-tide is a row such as"),
        ("takes = 4.5", "takes = 0.5", "7: [takes.talking] low-tide: takes is a number from 1 to 1000"),
        ("9, pace = 1.1}", "9, pace = 1.1", "3: cannot be read: not valid TOML"),
    ],
)
def test_a_damaged_file_is_one_sentence_and_never_overwritten(series, old, new, message):
    path = series / "learnt.toml"
    text = OLD.replace(old, new, 1)
    path.write_text(text, "utf-8")
    with pytest.raises(SettingsError) as error:
        keep_learnt(series, "storm", {"TANSY": LearntPace(1.25, 4)}, {})
    assert f"learnt.toml:{message}" in str(error.value)
    done = CliRunner().invoke(cli, ["sheet", str(series / "storm")])
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    assert path.read_text("utf-8") == text
    assert not (series / "storm" / "out").exists()


def test_the_next_episode_is_estimated_at_the_learnt_pace_and_says_so(series):
    usual = length(series)
    (series / "learnt.toml").write_text("[pace.TANSY]\nlow-tide = { lines = 9, pace = 1.2 }\n", "utf-8")
    # Three lines' weight stays with the delivery: 1.2 to the power of 9 / (9 + 3) is 1.1465.
    assert length(series) == pytest.approx(usual * 1.1465, rel=2e-4)
    told = CliRunner().invoke(cli, ["sheet", str(series / "storm")]).output
    assert "estimates of TANSY: pace 1.20, learnt from 9 lines (low-tide 9)" in told
    assert plan_source(series / "storm").to_json()["learnt"]["paces"] == {
        "TANSY": {"pace": 1.2, "lines": 9, "episodes": ["low-tide"]}
    }


def test_two_lines_are_too_few_and_so_is_the_episodes_own_row(series):
    usual = length(series)
    (series / "learnt.toml").write_text("[pace.TANSY]\nlow-tide = { lines = 2, pace = 1.2 }\n", "utf-8")
    assert length(series) == usual
    assert "learnt from" not in CliRunner().invoke(cli, ["sheet", str(series / "storm")]).output
    (series / "learnt.toml").write_text("[pace.TANSY]\nstorm = { lines = 9, pace = 1.2 }\n", "utf-8")
    assert length(series) == usual
    (series / "learnt.toml").write_text(
        "[pace.TANSY]\nlow-tide = { lines = 2, pace = 1.2 }\nbay = { lines = 1, pace = 1.2 }\n", "utf-8"
    )
    assert length(series) > usual


def test_listening_prints_each_pace_where_it_comes_from_and_why_it_is_not_used(series):
    rows = "[pace.TANSY]\nlow-tide = { lines = 2, pace = 1.2 }\n[pace.CRAB]\nlow-tide = { lines = 9, pace = 1.2 }\n"
    (series / "learnt.toml").write_text(rows, "utf-8")
    made = replace(make_plan(open_source(series / "storm")), paces={"TANSY": LearntPace(1.123, 1)})
    assert paces_told(made) == [
        "",
        "pace, beside the estimate (1.10: a tenth longer):",
        "  TANSY: 1.12 in 1 line here; 1.20 learnt from 2 lines (low-tide 2), fewer than 3: not used",
    ]
    (series / "series.toml").write_text("[cast.TANSY]\npace = 1.5\n", "utf-8")
    (series / "learnt.toml").write_text(rows.replace("lines = 2", "lines = 4"), "utf-8")
    assert paces_told(make_plan(open_source(series / "storm")))[2:] == [
        "  TANSY: 1.20 learnt from 4 lines (low-tide 4), not used: the cast has a pace of its own"
    ]


def test_a_pace_of_the_users_own_holds(series):
    (series / "series.toml").write_text("[cast.TANSY]\npace = 1.5\n", "utf-8")
    own = length(series)
    (series / "learnt.toml").write_text("[pace.TANSY]\nlow-tide = { lines = 9, pace = 1.2 }\n", "utf-8")
    assert length(series) == own


def test_files_follow_series_toml_and_learnt_toml(series):
    """What was written before is not taken for true when only a file above the episode changed."""

    def asked():
        done = CliRunner().invoke(cli, ["sheet", str(series / "storm")])
        assert done.exit_code == 0, done.output
        return (series / "storm" / "out" / "clips.csv").read_text("utf-8-sig"), (
            series / "storm" / "out" / "sheets.pdf"
        ).read_bytes()

    first = asked()
    assert asked() == first
    (series / "series.toml").write_text("[profile.talking]\nlengths = [4, 6, 9]\n", "utf-8")
    second = asked()
    assert second[0] != first[0]
    assert second[1] != first[1]
    (series / "learnt.toml").write_text("[pace.TANSY]\nlow-tide = { lines = 9, pace = 1.9 }\n", "utf-8")
    third = asked()
    assert third[0] != second[0]
    assert third[1] != second[1]


def test_learnt_takes_stand_where_nobody_chose_them(series):
    (series / "learnt.toml").write_text("[takes.talking]\nlow-tide = { clips = 6, takes = 4.5 }\n", "utf-8")
    plan = plan_source(series / "storm")
    assert plan.clips[0].takes == 5  # 4.5, whole takes
    told = CliRunner().invoke(cli, ["sheet", str(series / "storm")]).output
    assert "takes of profile talking: 5, learnt from 6 clips (low-tide 6) (4.5 each)" in told
    (series / "series.toml").write_text("[profile.talking]\nlengths = [3, 5, 8]\ntakes = 7\n", "utf-8")
    assert plan_source(series / "storm").clips[0].takes == 7
    (series / "series.toml").write_text("[profile.talking]\nlengths = [3, 5, 8]\n", "utf-8")
    (series / "learnt.toml").write_text("[takes.talking]\nlow-tide = { clips = 2, takes = 4.5 }\n", "utf-8")
    assert plan_source(series / "storm").clips[0].takes == 7


def test_takes_are_counted_on_accepted_clips_with_those_thrown_away(series):
    (series / "storm" / "script.txt").write_text("TANSY: The wind.\n\nBRAM: The rain.\n\nTANSY: The sea.\n", "utf-8")
    plan = plan_source(series / "storm")
    wording = Wording("x")
    memory = Memory(
        {
            "C01": Entry(wording, ACCEPTED, files={"clips/C01 a.mp4": "a", "clips/C01 b.mp4": "b"}),
            "C02": Entry(wording, ACCEPTED, files={"clips/C02.mp4": "c"}),
            "C03": Entry(wording, DELIVERED, files={"clips/C03.mp4": "d"}),
        }
    )
    (series / "generated.csv").write_text(
        "date,profile,clip,seconds,file\n"
        "2026-03-01,talking,C02,3,storm/clips/C02.mp4\n"
        "2026-03-01,talking,storm/C02,3,\n2026-03-01,talking,storm/C02,3,\n2026-03-01,talking,storm/C02,3,\n"
        "2026-03-01,talking,C02,3,bay/clips/C02.mp4\n"
        "2026-03-01,talking,C02,3,\n",  # nobody knows of which episode
        "utf-8",
    )
    rows = read_ledger(series / "generated.csv")
    # C01: 2 files. C02: 1 that came back and 3 thrown away. (2 + 4) / 2 clips = 3.
    assert takes_needed(plan, memory, rows, "storm") == {"talking": LearntTakes(F(3), 2)}


def test_a_recorded_episode_teaches_the_next_one(tmp_path):
    """The example's own recordings, which it travels with as heard."""
    from timing.plain.files import write_outputs
    from timing.plain.resources import example_files, example_heard

    low_tide = tmp_path / "low-tide"
    write_outputs(low_tide, example_files())
    write_outputs(low_tide / "out" / ".store", example_heard(), force=True)
    (tmp_path / "series.toml").write_text("", "utf-8")
    done = CliRunner().invoke(cli, ["listen", str(low_tide)])
    assert done.exit_code == 0, done.output
    learnt = read_learnt(tmp_path)
    assert {who: rows["low-tide"].lines for who, rows in learnt.paces.items()} == {"BRAM": 4, "TANSY": 4}
    # TANSY's lines 2, 6, 8 and 21 lie at -11, -3, -3 and -18 % of their estimates: exp((ln .89 + ln .97 + ln .97 +
    # ln .82) / 4) = exp(-.3759 / 4) = 0.910.
    assert learnt.paces["TANSY"]["low-tide"].pace == pytest.approx(0.910, abs=0.005)
    assert "  TANSY: 0.91 in 4 lines here" in done.output
