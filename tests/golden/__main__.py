"""``python -m tests.golden``: writes the expected outputs anew. Read the difference before you keep it."""

import tempfile
from pathlib import Path

from tests.golden.outputs import EPISODES, rewrite, run_episode

for name in EPISODES:
    with tempfile.TemporaryDirectory() as folder:
        rewrite(name, run_episode(name, Path(folder)))
