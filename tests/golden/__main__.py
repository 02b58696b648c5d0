"""``python -m tests.golden [songs | readings | NAME ...]``: writes expected outputs anew. Read the difference before you keep it."""

import sys
import tempfile
from pathlib import Path

from tests.golden import test_readings, test_songs
from tests.golden.outputs import EPISODES, rewrite, run_episode

wanted = sys.argv[1:] or [*EPISODES, "songs", "readings"]
for name in wanted:
    with tempfile.TemporaryDirectory() as folder:
        if name == "songs":
            test_songs.rewrite(Path(folder))
        elif name == "readings":
            test_readings.rewrite()
        else:
            rewrite(name, run_episode(name, Path(folder)))
