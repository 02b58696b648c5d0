"""How the property tests choose their examples."""

import os

from hypothesis import settings

# A run that fails must fail again when it is repeated, so examples are the same each time; no clock decides.
# HYPOTHESIS_PROFILE=explore draws fresh ones: run it now and then, by hand.
settings.register_profile("repeatable", deadline=None, derandomize=True, print_blob=True)
settings.register_profile("explore", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeatable"))
