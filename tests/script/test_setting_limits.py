"""Each limit of episode.toml from both sides: what is just allowed, and what is just refused, with its sentence.

Limits are our own choices, as the template of `timing new` says them; rates from 12 to 120 frames a second.
"""

from fractions import Fraction as F

import pytest

from timing.model.settings import ClipProfile, SayEntry
from timing.plain.csv_text import CsvForm
from timing.plain.errors import SettingsError
from timing.plain.limits import LONGEST_TITLE, MOST_SAYINGS
from timing.script.episode import parse_episode

ALLOWED_AND_REFUSED = [
    (f'title = "{"x" * LONGEST_TITLE}"', f'title = "{"x" * (LONGEST_TITLE + 1)}"', "title has 301 characters; 300 are"),
    ('title = "x"', 'title = " "', "title is empty"),
    ("rate = 12", "rate = 11.9", "a frame rate lies between 12 and 120"),
    ("rate = 120", "rate = 120.1", "a frame rate lies between 12 and 120"),
    ('rate = "25 fps"', "rate = true", "rate is a frame rate such as 24 or 23.976, not true"),
    ('rate = 59.94\ndrop_frame = true', "rate = 24\ndrop_frame = true", "drop-frame time code exists for 29.97 and"),
    ("delivery_rate = 29.97\ndelivery_drop_frame = true", "delivery_drop_frame = true", "needs delivery_rate"),
    ("caption_gap_frames = 0", "caption_gap_frames = -1", "caption_gap_frames is a whole number from 0 to 12, not -1"),
    ("caption_gap_frames = 12", "caption_gap_frames = 13", "from 0 to 12, not 13"),
    ("caption_gap_frames = 1", "caption_gap_frames = 1.5", "from 0 to 12, not 1.5"),
    ("caption_gap_frames = 1", "caption_gap_frames = true", "from 0 to 12, not true"),
    ("[cast.X]\npace = 0.25", "[cast.X]\npace = 0.249", "pace lies between 0.25 and 4, not 0.249"),
    ("[cast.X]\npace = 4", "[cast.X]\npace = 4.001", "pace lies between 0.25 and 4"),
    ("[cast.X]\npace = 1.1", '[cast.X]\npace = "slow"', '"slow" is a delivery: delivery = "slow"'),
    ('[cast.X]\ndelivery = "slow"', '[cast.X]\ndelivery = "slo"', 'delivery is one of .*, not "slo"; did you mean "slow"'),
    ("[song.x]\nbpm = 20", "[song.x]\nbpm = 19.99", "bpm lies between 20 and 400"),
    ("[song.x]\nbpm = 400", "[song.x]\nbpm = 400.01", "bpm lies between 20 and 400"),
    ("[song.x]\ndownbeat_s = 0", "[song.x]\ndownbeat_s = -0.01", "downbeat_s cannot be negative"),
    ("[song.x]\nfirst_bar = -999", "[song.x]\nfirst_bar = -1000", "from -999 to 9999"),
    ("[song.x]\nfirst_bar = 9999", "[song.x]\nfirst_bar = 10000", "from -999 to 9999"),
    ("[song.x]\nbars_a_line = 1", "[song.x]\nbars_a_line = 0", "from 1 to 64"),
    ("[song.x]\nbars_a_line = 64", "[song.x]\nbars_a_line = 65", "from 1 to 64"),
    ('[song.x]\nmetre = "6/8"', "[song.x]\nmetre = 6", "beats over note value in quotes"),
    ("[song.x]\noffset_ms = 1000000000", "[song.x]\noffset_ms = 1000000001", "offset_ms is far too large"),
    ("[song.x]\noffset_ms = -1000000000", "[song.x]\noffset_ms = -1000000001", "offset_ms is far too large"),
    ('[song.x]\nfile = "a.mp3"', '[song.x]\nfile = "a\\tb.mp3"', "in quotes a backslash means another sign"),
    ('[song.x]\nfile = "a b.mp3"', '[song.x]\nfile = "a\\u001fb.mp3"', "is not a file name"),
    ("[gaps]\nline_s = 0", "[gaps]\nline_s = -0.1", "line_s lies between 0 and 3600"),
    ("[gaps]\nscene_s = 3600", "[gaps]\nscene_s = 3600.1", "scene_s lies between 0 and 3600"),
    ("[gaps]\npicture_s = 0.1", "[gaps]\npicture_s = 0", "picture_s must be more than 0, not 0"),
    ("[budget]\nseconds_a_month = 1", "[budget]\nseconds_a_month = 0", "without this line nothing is limited"),
    ("[profile.x]\ntakes = 1", "[profile.x]\ntakes = 0", "takes is a whole number from 1 to 1000"),
    ("[profile.x]\ntakes = 1000", "[profile.x]\ntakes = 1001", "takes is a whole number from 1 to 1000"),
    ("[profile.x]\ngenerations_a_month = 1", "[profile.x]\ngenerations_a_month = 0", "from 1 to 1000000"),
    ("[profile.x]\ngenerations_a_month = 1000000", "[profile.x]\ngenerations_a_month = 1000001", "from 1 to 1000000"),
    ("[profile.x]\nminutes_each = 0.1", "[profile.x]\nminutes_each = 0", "minutes_each must be more than 0"),
    ("[profile.x]\ncost_per_s = 0", "[profile.x]\ncost_per_s = -1", "cost_per_s cannot be negative"),
    ("[profile.x]\nlengths = [0.6001]", "[profile.x]\nlengths = [0.6]", r"head and tail \(0.6 s together\) leave no room"),
    ("[profile.x]\nlengths = [3, 5]", "[profile.x]\nlengths = [3, 0]", "every length must be more than 0 seconds, not 0"),
    ("[profile.x]\nlengths = [3]", "[profile.x]\nlengths = []", "a list of seconds with at least one entry"),
    ("[profile.x]\nlengths = [3]", "[profile.x]\nlengths = 3", "a list of seconds with at least one entry"),
    ("[profile.x]\nshortest_s = 2\nlongest_s = 2", "[profile.x]\nshortest_s = 2\nlongest_s = 1.9", "is more than longest"),
    ("[profile.x]\nshortest_s = 2\nlongest_s = 3", "[profile.x]\nshortest_s = 2", "longest_s is missing"),
    ("[profile.x]\nshortest_s = 2\nlongest_s = 3", "[profile.x]\nlongest_s = 2", "shortest_s is missing"),
    ("[profile.x]\nlengths = [2]", "[profile.x]\nlengths = [2]\nstep_s = 1", "give either lengths or shortest_s"),
    ("[profile.x]\nlengths = [2]", "[profile.x]\nlengths = [2]\nlongest_s = 3", "give either lengths or shortest_s"),
    (
        "[profile.x]\nshortest_s = 1\nlongest_s = 2\nstep_s = 0.0001",
        "[profile.x]\nshortest_s = 1\nlongest_s = 2.0001\nstep_s = 0.0001",
        "step_s is too small: it makes more than 10000 lengths",
    ),
    ("[profile.x]\nlengths = [3]\nprice_each = {3 = 1}", "[profile.x]\nlengths = [3]\nprice_each = {4 = 1}", "no price for 3 s"),
    (
        "[profile.x]\nlengths = [3]\nprice_each = {3 = 1}", "[profile.x]\nlengths = [3]\nprice_each = {3 = 1, 4 = 1}",
        "a price for 4 s, which is no length of it",
    ),
    ("[profile.x]\nprice_each = 1", "[profile.x]\nprice_each = 1\ncost_per_s = 1", "give either cost_per_s or price_each"),
    ("[profile.x]\nunlimited = true", "[profile.x]\nunlimited = true\nprice_each = 1", "unlimited means"),
    ("[profile.x]\nunlimited = true", "[profile.x]\nunlimited = true\nseconds_a_month = 1", "unlimited means"),
    ("[profile.x]\nprice_each = 1\nmoney_a_month = 1", "[profile.x]\nmoney_a_month = 1", "needs a price"),
    ("[profile.x]\nprice_each = 1", "[profile.x]\nprice = 1", "price of what"),
    ("[profile.x]\nlengths = [3]", "[profile.x]\nlengths = [3]\n[profile.X]\nlengths = [3]", "write both names alike"),
    ("[song.a-b]\nbpm = 90", '[song.a-b]\nbpm = 90\n[song."A b"]\nbpm = 90', "are one name for a song"),
    ('[sheet]\npaper = "letter"', '[sheet]\npaper = "A5"', "paper is one of A4, Letter, not"),
    ('[sheet]\nlayout = "wide"', '[sheet]\nlayout = "Wide"', "layout is one of page, wide"),
    ('[sheet]\nonly_clips = ["C01"]', '[sheet]\nonly_clips = "C01"', "only_clips is a list of texts"),
    ('fit_by = "likely"', 'fit_by = "low"', "fit_by is one of high, likely"),
    ('csv_separator = ";"', 'csv_separator = "|"', "csv_separator is one of"),
    ('language = "es-419"', 'language = "e"', "language is a language such as"),
    ('language = "Dutch"', 'language = "en_USA"', "language is a language such as"),
    ("[say]\nboing = { stress = 1, syllables = \"bo-ing\" }", "[say]\nboing = { stress = 3, syllables = \"bo-ing\" }",
     "stress is a whole number from 1 to 2"),
    ("[say]\nboing = { stress = 1, sounds = \"B OY1 NG\" }", "[say]\nboing = { stress = 2, sounds = \"B OY1 NG\" }",
     "stress is a whole number from 1 to 1"),
    ("[say]\nboing = { stress = 30 }", "[say]\nboing = { stress = 31 }", "stress is a whole number from 1 to 30"),
    ('[say]\nb = { sounds = "B OY1" }', '[say]\nb = { sounds = "B OY3" }', '"OY3" is not an ARPABET sound'),
    ('[say]\nb = { sounds = "B OY" }', '[say]\nb = { sounds = "B NG" }', "has no vowel"),
    ('[say]\nb = { sounds = "B OY" }', '[say]\nb = { sounds = "B1 OY" }', '"B1" is not an ARPABET sound'),
    ('[say]\nb = "bee"', "[say]\nb = {}", r"says nothing; write for example b = "),
    ('[rest]\n8 = "said-differently"', "[rest]\n8 = [1]", "is a list of findings"),
]  # fmt: skip


@pytest.mark.parametrize(("allowed", "refused", "said"), ALLOWED_AND_REFUSED)
def test_each_limit_from_both_sides(allowed, refused, said):
    parse_episode(allowed, "e")
    with pytest.raises(SettingsError, match=said):
        parse_episode(refused, "e")


def test_as_many_words_may_be_said_as_the_limit_says():
    rows = [f'w{n} = "x"' for n in range(MOST_SAYINGS + 1)]
    assert len(parse_episode("[say]\n" + "\n".join(rows[:-1]), "e").say) == 2000
    with pytest.raises(SettingsError, match=r"\[say\] has 2,001 words; 2,000 are the most"):
        parse_episode("[say]\n" + "\n".join(rows), "e")


def test_a_range_has_both_its_ends_and_the_same_step_between():
    def lengths(text):
        return parse_episode(f"[profile.x]\n{text}", "e").profiles["x"].lengths

    assert lengths("shortest_s = 2\nlongest_s = 4") == (2, 3, 4)
    assert lengths("shortest_s = 2\nlongest_s = 4\nstep_s = 0.8") == (2, F("2.8"), F("3.6"))
    assert lengths("lengths = [5, 3, 5.0]") == (3, 5)


@pytest.mark.parametrize(
    ("typed", "code"),
    [("en-us", "en_US"), ("PT", "pt"), ("zh-hant-tw", "zh_Hant_TW"), ("es-419", "es_419"), ("spanish", "spanish")],
)
def test_a_language_code_is_written_as_bcp_47_writes_it(typed, code):
    """Language small, script with a capital, region large: RFC 5646, 2.1.1; with underlines as locales have them."""
    assert parse_episode(f'language = "{typed}"', "e").language == code


def test_what_is_not_written_is_as_the_template_says():
    """The defaults that the template of `timing new` names."""
    plain = parse_episode("[cast.x]\n[song.x]\n[profile.x]\nlengths = [3]\n", "e")
    assert (plain.language, plain.rate.fps, plain.fit_by, plain.caption_gap_frames) == ("en_US", 24, "high", 0)
    assert (plain.share_short_lines, plain.caption_speed, plain.mute_e) == (False, False, True)
    assert (plain.rate.drop_frame, plain.delivery_rate, plain.csv) == (False, None, CsvForm())
    song = plain.songs["x"]
    assert (song.metre, song.first_bar, song.offset, song.half_beat_shift, song.bars_a_line) == ((4, 4), 1, 0, False, 2)
    assert (plain.gaps.line, plain.gaps.scene, plain.gaps.picture) == (F("0.6"), F("1.5"), 3)
    profile = plain.profiles["x"]
    assert (profile.head, profile.tail, profile.takes, profile.unlimited) == (F("0.25"), F("0.35"), 7, False)
    assert (plain.budget.seconds_a_month, plain.budget.currency, plain.sheet.every_frame) == (None, "", False)
    assert plain.default_profile == "x"  # the only one that was written is everybody's
    assert parse_episode("[profile.x]\n[profile.y]\n", "e").default_profile == "default"
    assert parse_episode("[profile.x]\n[profile.default]\nlengths = [9]", "e").default_profile == "default"


def test_how_a_word_is_said_is_read_whole():
    say = parse_episode(
        '[say]\nBoing = { syllables = "bo-ing", stress = 2, sounds = "b ow0 ih1 ng", like = "bo ing" }\nx = " eks "',
        "e",
    ).say
    assert say["boing"] == SayEntry("Boing", ("bo", "ing"), 1, ("B", "OW0", "IH1", "NG"), "bo ing")
    assert say["x"] == SayEntry("x", sounds_like="eks")


def test_prices_by_length_are_sorted_and_read_with_point_or_comma():
    text = '[profile.x]\nlengths = [2.5, 5]\nprice_each = {"5" = 20, "2,5" = 10}'
    profile = parse_episode(text, "e").profiles["x"]
    assert profile.price_by_length == ((F("2.5"), 10), (F(5), 20))
    assert [profile.price(F(n)) for n in ("2.5", "5", "4")] == [10, 20, None]
    assert ClipProfile("x", cost_per_s=F(1, 10)).price(F(5)) == F(1, 2)
    assert ClipProfile("x", unlimited=True).price(F(5)) == 0
    assert ClipProfile("x", price_each=F(3)).price(F(5)) == 3


def test_the_shortest_length_that_holds_a_need_is_asked_for():
    profile = ClipProfile("x", (F(3), F(5)))
    asked = [profile.ask_for(F(n)) for n in ("3", "3.01", "5", "5.01")]
    assert (asked, profile.longest, profile.room) == ([3, 5, 5, None], 5, F("4.4"))


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("rate = 1.50", "1.5"), ("takes = false", "false"), ("rate = []", "a list"), ("rate = {}", "a table"),
        (f"rate = {10**18 + 1}", "a number of many digits"), (f'rate = "{"9" * 57}x"', '"' + "9" * 56 + "..."),
    ],
)  # fmt: skip
def test_a_wrong_value_is_shown_shortly(text, shown):
    key = text.split()[0]
    with pytest.raises(SettingsError) as error:
        parse_episode(f"[sheet]\nrows{text.removeprefix(key)}", "e")
    assert error.value.message == f"sheet.rows is a whole number from 24 to 100, not {shown}"
