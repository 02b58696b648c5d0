"""What makes each clip: the note beside it, its speaker, its kind, the default."""

import pytest

from timing.model import LineKind
from timing.pipeline import plan_source
from timing.plain.errors import ScriptError, SettingsError

PROFILES = """
default_profile = "talking"
picture_profile = "pans"
song_profile = "singing"
[profile.talking]
lengths = [3, 5, 8]
[profile.pans]
lengths = [10, 20]
[profile.effects]
lengths = [4]
takes = 3
[profile.singing]
lengths = [8, 10]
[cast.BRAM]
profile = "effects"
"""


def episode(tmp_path, script, toml=PROFILES, name="script.fountain"):
    (tmp_path / name).write_text(script, "utf-8")
    (tmp_path / "episode.toml").write_text(toml, "utf-8")
    return plan_source(tmp_path)


def made_by(plan):
    return {c.line: c.profile for c in plan.clips}


def test_the_note_wins_over_the_speaker_and_the_speaker_over_the_kind(tmp_path):
    script = (
        "The bay.\n\nA wave. [[with effects]]\n\nTANSY\nWhere does it go?\n\nBRAM\nOut.\n\n"
        "BRAM\nAnd in. [[with talking]]\n\nTANSY\n~ Out and in\n\nBRAM\n~ In and out\n"
    )
    assert made_by(episode(tmp_path, script)) == {
        "1": "pans", "2": "effects", "3": "talking", "4": "effects", "5": "talking", "6": "singing", "7": "effects",
    }  # fmt: skip


def test_a_clip_has_the_menu_takes_and_handles_of_its_own_profile(tmp_path):
    plan = episode(tmp_path, "A wave. [[with effects]]\n\nTANSY\nOh!\n")
    assert (plan.clips[0].ask, plan.clips[0].takes) == (4, 3)
    assert (plan.clips[1].ask, plan.clips[1].takes) == (3, 7)


@pytest.mark.parametrize(
    ("script", "expected"),
    [
        ("[[with effects]]\nA wave.\n\nTANSY\nOh!\n", ["effects", "talking"]),
        ("A wave.\n\n[[with effects]]\n\nTANSY\nOh!\n", ["effects", "talking"]),  # the passage above, as a length does
        ("TANSY\nOh!\n\n[[with effects]]\n\nA wave.\n", ["talking", "effects"]),
        ("TANSY\n[[with effects]]\nOh!\n(slowly)\nThe tide.\n", ["effects", "effects"]),  # at its head: the speech
        ("TANSY\nOh! [[with effects]]\n(slowly)\nThe tide.\n", ["effects", "talking"]),  # beside words: those words
        ("TANSY\nOh!\n(slowly)\nThe tide. [[With EFFECTS]]\n", ["talking", "effects"]),
        ("TANSY\n[[with effects]]\n~ Out and in\n~ In and out\n", ["effects", "effects"]),
        ("A wave. [[with effects]] [[4 s]]\n\nTANSY\nOh! [[with a heavy heart]]\n", ["effects", "talking"]),
    ],
)
def test_a_note_belongs_to_what_it_stands_beside(tmp_path, script, expected):
    assert list(made_by(episode(tmp_path, script)).values()) == expected


def test_a_note_works_in_plain_text(tmp_path):
    plan = episode(tmp_path, "TANSY: Oh! [[with effects]]\nBRAM: The tide!\n", name="script.txt")
    assert made_by(plan) == {"1": "effects", "2": "effects"}


def test_a_chorus_brought_back_is_made_as_it_was(tmp_path):
    plan = episode(tmp_path, "TANSY\n[[chorus]]\n~ Out and in [[with effects]]\n~ In and out\n[[again chorus]]\n")
    assert list(made_by(plan).values()) == ["effects", "singing", "effects", "singing"]


@pytest.mark.parametrize(
    ("note", "hint"),
    [("with efects", 'did you mean "effects"?'), ("with Zoe", "there are: effects, pans, singing, talking")],
)
def test_an_unknown_profile_is_an_error_with_the_nearest(tmp_path, note, hint):
    with pytest.raises(ScriptError) as error:
        episode(tmp_path, f"A wave. [[{note}]]\n\nTANSY\nOh!\n")
    assert hint in error.value.message
    assert error.value.line_number == 1


@pytest.mark.parametrize("key", ["default_profile", "picture_profile", "song_profile"])
def test_a_key_that_names_no_profile_is_an_error_with_the_nearest(tmp_path, key):
    with pytest.raises(SettingsError, match='did you mean "talking"'):
        episode(tmp_path, "TANSY\nOh!\n", f'{key} = "talkin"\n[profile.talking]\nlengths = [3]\n')


def found(plan, code):
    return [f.message for f in plan.findings if f.code == code]


def test_keys_and_profiles_without_effect_are_said(tmp_path):
    plan = episode(tmp_path, "TANSY\nOh!\n")
    assert found(plan, "profile-unused") == [
        "picture_profile: there is no picture passage without a profile of its own",
        "song_profile: there is no sung line without a profile of its own",
        "[profile.pans]: no clip is made with it",
        "[profile.effects]: no clip is made with it",
        "[profile.singing]: no clip is made with it",
    ]


def test_keys_and_profiles_in_use_are_not_spoken_of(tmp_path):
    script = "The bay.\n\nTANSY\nOh!\n\nBRAM\nAh!\n\nTANSY\n~ Out and in\n"
    assert not found(episode(tmp_path, script), "profile-unused")


@pytest.mark.parametrize(
    "script", ["TANSY\nOh!\n\n[[with effects]]\n", "[[with effects]]\n\nSFX: PLOP!\n\nTANSY\nOh!\n"]
)
def test_a_note_with_nothing_beside_it_is_said(tmp_path, script):
    plan = episode(tmp_path, script)
    said = found(plan, "note-unused")
    assert bool(said) is ("effects" not in made_by(plan).values())
    assert all("[[with effects]]" in message for message in said)


def test_a_remark_after_with_is_left_alone(tmp_path):
    plan = episode(tmp_path, "TANSY\nOh!\n\n[[with a heavy heart, see Ada]]\n")
    assert not found(plan, "note-unused")


def test_clips_that_nobody_chose_a_profile_for_are_said(tmp_path):
    """The tool's own menu has no price, so a total is short by it: that must not pass in silence."""
    toml = '[profile.a]\nlengths = [5]\n[profile.b]\nlengths = [10]\n[cast.TANSY]\nprofile = "a"\n[cast.BRAM]\nprofile = "b"\n'
    plan = episode(tmp_path, "The bay.\n\nTANSY\nOh!\n\nBRAM\nAh!\n", toml)
    assert made_by(plan)["1"] == "default"
    assert found(plan, "profile-assumed") == [
        "no profile was chosen for 1 line, so any whole second from 3 to 8 was asked for, without a price; "
        "name one: picture_profile"
    ]
    assert not found(episode(tmp_path, "TANSY\nOh!\n", "[profile.a]\nlengths = [5]\n"), "profile-assumed")


def test_lines_of_two_profiles_do_not_share_a_generation(tmp_path):
    toml = f"share_short_lines = true\n{PROFILES}"
    plan = episode(tmp_path, "TANSY\nOh!\n\nTANSY\nAh! [[with effects]]\n", toml)
    assert [c.lines for c in plan.clips] == [("1",), ("2",)]


def test_a_first_picture_is_named_by_a_note(tmp_path):
    plan = episode(
        tmp_path,
        "The bay. [[picture bay-wide.png]]\n\nTANSY\nOh! [[picture rock]]\n\nBRAM\nAh! [[picture of the bay]]\n",
    )
    assert [n.still for n in plan.lines] == ["bay-wide", "rock", None]
    assert plan.lines[0].kind is LineKind.PICTURE


@pytest.mark.parametrize(
    ("note", "meant"),
    [
        ("using effects", "with effects"),
        ("effects", "with effects"),
        ("con efects", "with effects"),
        ("bay-wide", "picture bay-wide"),
        ("more effects here", None),
        ("ask Ada", None),
    ],
)
def test_a_note_that_names_a_profile_or_picture_in_other_words_is_told(tmp_path, note, meant):
    script = f"TANSY\nGo. [[picture bay-wide]]\n\nBRAM\nOut. [[{note}]]\n"
    found = [f.message for f in episode(tmp_path, script).findings if f.code == "note-not-understood"]
    assert found == ([f"[[{note}]] was not understood: did you mean [[{meant}]]?"] if meant else [])
