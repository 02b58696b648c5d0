"""The commented episode.toml that ``timing new`` writes; every key that is known stands in it."""

import re
from collections.abc import Sequence

from timing.model.settings import DELIVERIES, FEWEST_ROWS, MOST_ROWS, SHEET_PARTS, SheetSettings

_TEXT = """\
# episode.toml: everything the script does not say. Every line is optional;
# take the "#" away in front of a line to use it. Times are in seconds, money in your own currency.

# title = "Where Does the Sea Go?"
# code = "LT01"                  # short production number for the head of the sheets
# language = "en_US"             # also "pt_BR", "es", "fr", "de" ...
# rate = 24                      # frames a second: 12 to 120, also 23.976, 29.97, 59.94
# drop_frame = false             # drop-frame time code, for 29.97 and 59.94 only
# delivery_rate = 60             # the rate of the finished film, where it differs
# delivery_drop_frame = false
# paper = "A4"                   # or "Letter"
# fit_by = "high"                # choose clip lengths by the "high" or the "likely" end of an estimate
# share_short_lines = false      # short neighbours of one speaker share one generation where that is cheaper
# mute_e = true                  # French: a final e is silent in speech
# csv_separator = ","            # between the cells of tables; ";" where the spreadsheet's decimal sign is a comma
# csv_decimal = "."              # or ","
# caption_gap_frames = 0         # so many frames of the delivery between two captions, where a delivery asks for it
# caption_speed = false          # say which captions are faster than children read (130 to 150 words a minute)
# default_profile = "talking"    # for everybody who has none of their own (a single profile needs no such line)
# picture_profile = "wide"       # for picture passages; a note beside one, [[with wide]], comes first
# song_profile = "talking"       # for sung lines of speakers who have no profile of their own

# Clip profiles: what one generation can return. Name them as you like.
# [profile.talking]
# lengths = [3, 5, 8]            # the menu, in seconds
# head_s = 0.25                  # silence kept before the first sound
# tail_s = 0.35                  # silence kept after the last sound
# takes = 7                      # generations for each one used
# cost_per_s = 0.05              # price of one generated second
# seconds_a_month = 1200         # what a month allows of this profile; or money_a_month, generations_a_month
# money_a_month = 30

# [profile.effects]
# lengths = [5, 10]
# price_each = {5 = 10, 10 = 20} # price of one generation, by its length; or one for all: price_each = 10
# generations_a_month = 100
# minutes_each = 4               # how long one generation takes

# [profile.wide]
# shortest_s = 2                 # instead of a menu: any length from ... to ... in steps
# longest_s = 10
# step_s = 0.5
# unlimited = true               # generations cost nothing more: no price, no allowance

# Who speaks, and how.
# [cast.TANSY]
# delivery = "dialogue"          # {deliveries}
# pace = 1.1                     # 1.1 = a tenth longer than usual
# profile = "talking"

# Songs: the best help is bpm, metre and the time of one first beat of a bar.
# [song.out-and-in]
# title = "Out and In"
# file = "songs/out-and-in.wav"
# bpm = 96
# metre = "4/4"
# downbeat_s = 2.5               # the time in the file of one first beat of a bar
# first_bar = 1                  # the number of the bar that begins there
# offset_ms = 0                  # added to every measured beat
# half_beat_shift = false        # true where the tool heard the off-beats
# vocal = "songs/out-and-in-vocal.wav"  # where the singing is heard: a vocal-only stem if you have one,
#                                # else the song's own file; the sung syllables are then measured in it
# instrumental = "songs/out-and-in-band.wav"  # the same song without the singing: taken away, it leaves the voice
# tune = "songs/out-and-in.mid"  # MIDI or MusicXML of the tune
# bars_a_line = 2                # how many bars one line of the lyrics takes

# Silences put between lines.
# [gaps]
# line_s = 0.6
# scene_s = 1.5
# picture_s = 3                  # a picture passage without a length of its own

# What may be generated in a month: seconds, money, or both. A profile's own allowance is counted apart.
# [budget]
# seconds_a_month = 1800
# money_a_month = 40
# currency = "EUR"

# How words are said, where the tool gets it wrong.
# [say]
# Bram = "bramm"                 # an ordinary respelling
# plippering = { syllables = "plip-per-ing", stress = 1 }
# limpet = { sounds = "L IH1 M P AH0 T" }
# Tansy = { like = "tan zee" }

# The printed sheets.
# [sheet]
# layout = "page"                # or "wide"
# rows = 72                      # frame rows in one panel of a sheet, {fewest} to {most}; without this line as many
#                                # as a clip needs and a hand can write on
# parts = [{usual}]  # all there are: {parts}
# every_frame = false            # print silent stretches too
# only_clips = ["C04", "C05"]
# only_speakers = ["TANSY"]
# only_scenes = ["EXT. ROCK - LOW TIDE"]
# font = "fonts/MyFont"          # a TrueType family, without -Regular.ttf and -Bold.ttf

# Recordings you have chosen for a line, by the line's id.
# [takes]
# 12 = "recordings/tansy-12-take3.wav"
# 14 = "recordings/memo.m4a@41.5"        # the reading near that second
# 15 = "recordings/memo.m4a@52.1-55.8"   # this stretch, from its first sound to its last

# Findings that you looked into, by the line's id: they rest while the line's words and its take stay the same.
# [rest]
# 8 = ["said-differently"]
"""

_VALUES = {
    "deliveries": ", ".join(DELIVERIES),
    "fewest": str(FEWEST_ROWS),
    "most": str(MOST_ROWS),
    "usual": ", ".join(f'"{part}"' for part in SheetSettings().parts),
    "parts": ", ".join(SHEET_PARTS),
}
TEMPLATE = re.sub(r"\{(\w+)\}", lambda match: _VALUES[match[1]], _TEXT)

# The first script that ``timing new`` writes.
SAMPLE = """\
Title: {title}

INT. SOMEWHERE - DAY

[[3 s]]
[[picture wide]]
What the picture shows before anybody speaks.

{first}
What they say.

{second}
(whispered)
What they answer.
"""
_SAMPLE = re.compile(re.sub(r"\\\{\w+\\\}", "[^\\\\n]+", re.escape(SAMPLE.strip())))


def is_sample(text: str) -> bool:
    """True for the script that ``timing new`` writes while nobody has changed it.

    >>> is_sample(SAMPLE.format(title="Tide", first="TANSY", second="BRAM")), is_sample("TANSY: What they say.")
    (True, False)
    """
    return _SAMPLE.fullmatch(text.replace("\r\n", "\n").strip()) is not None


_HEAD = TEMPLATE.split("\n\n", 1)[0]
_SERIES_HEAD = """\
# series.toml: what all episodes in the folders beside this file share. Every line is optional; take the "#" away in
# front of a line to use it. What an episode's own episode.toml says counts instead. Times are in seconds."""
_OF_AN_EPISODE = ("# title =", "# code =", "# [song.", "# [takes]", "# [rest]", "# only_")


def _series_template() -> str:
    """Return the template without what belongs to one episode."""
    blocks = TEMPLATE.removeprefix(_HEAD).strip("\n").split("\n\n")
    own = [block for block in blocks if not any(f"\n{key}" in block for key in _OF_AN_EPISODE[2:5])]
    lines = [line for line in "\n\n".join(own).split("\n") if not line.startswith(_OF_AN_EPISODE)]
    return "\n".join([_SERIES_HEAD, "", *lines]) + "\n"


SERIES_TEMPLATE = _series_template()


def episode_template(shared: Sequence[str]) -> str:
    """Return the template of an episode in a series; ``shared`` says in words what the series gives it."""
    told = "".join(f"\n#   {one}" for one in shared)
    head = (
        f"{_HEAD}\n# series.toml, one folder above, holds what all episodes share; what stands here overrides it.{told}"
    )
    return TEMPLATE.replace(_HEAD, head, 1)
