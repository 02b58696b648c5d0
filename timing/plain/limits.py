"""How large an episode may be: far beyond any that is made, far below what a slip or a stranger's file may ask for."""

from __future__ import annotations

LONGEST_EPISODE_S = 24 * 3600  # time code has no 25th hour (SMPTE ST 12-1)
LONGEST_RECORDING_S = 3 * 3600
MOST_LINES = 20_000  # of one script: a day of speech
MOST_SYLLABLES_SUNG = 150  # in one sung line; eight bars of sixteenths are 128
LONGEST_TITLE = 300  # characters
LONGEST_GAP_S = 3600
MOST_SAYINGS = 2_000  # words under [say]
