"""``python -m tests.golden [songs | NAME ...]``: writes expected outputs anew. Read the difference before you keep it."""

import sys
import tempfile
from pathlib import Path

from tests.golden import test_songs
from tests.golden.outputs import EPISODES, rewrite, run_episode

wanted = sys.argv[1:] or [*EPISODES, "songs"]
for name in wanted:
    with tempfile.TemporaryDirectory() as folder:
        if name == "songs":
            test_songs.rewrite(Path(folder))
        else:
            rewrite(name, run_episode(name, Path(folder)))
