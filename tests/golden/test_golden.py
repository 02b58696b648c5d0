"""Five whole episodes, every output against what was read and approved by a person.

``low-tide`` is the example (24 frames a second, a finished song, scratch recordings); ``ebbe`` is German, 25 frames,
6/8, with pauses, a split, lengths in bars and frames, two who speak at once; ``landed`` is 29.97 drop-frame with a clip
that came back, a scratch recording, short lines that share a generation; ``songbook`` has four songs in 4/4, 3/4, 9/8
and 5/4 with every mark of a lyric, on letter paper; ``messy`` is a script as it is pasted from anywhere. ``python -m tests.golden`` writes the
expected files anew; figures that matter are worked out by hand in ``test_figures.py`` and do not rest on these.
"""

import difflib
import re
from pathlib import Path

import pytest

from tests.golden.outputs import EPISODES, expected_folder, run_episode


@pytest.mark.parametrize("name", EPISODES)
def test_every_output_is_as_approved(name, tmp_path):
    found = run_episode(name, tmp_path)
    folder = expected_folder(name)
    wanted = {p.relative_to(folder).as_posix().removesuffix(".txt"): p for p in folder.rglob("*.txt")}
    assert sorted(found) == sorted(wanted)
    for inside, path in wanted.items():
        before = path.read_text("utf-8")
        if found[inside] != before:
            rows = difflib.unified_diff(before.splitlines(), found[inside].splitlines(), "approved", "now", lineterm="")
            pytest.fail(f"{name}/{inside} changed; python -m tests.golden rewrites it\n" + "\n".join(list(rows)[:60]))


def test_every_output_stands_in_the_readme():
    readme = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    written = {p.relative_to(expected_folder(n) / "out").parts[0].removesuffix(".txt")
               for n in EPISODES for p in (expected_folder(n) / "out").rglob("*.txt")}  # fmt: skip
    named = {re.sub(r"^song-.*\.mid$", "song-NAME.mid", re.sub(r"-\d+\.edl$", ".edl", name)) for name in written}
    assert [name for name in sorted(named) if name not in readme] == []
