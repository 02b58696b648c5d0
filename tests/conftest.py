"""How the property tests choose their examples, and synthesised and made-up sound for what listens."""

from __future__ import annotations

import os

import numpy as np
import pytest
from hypothesis import settings

from tests.recording import flite
from tests.recording.sounds import RATE_HZ

# A run that fails must fail again when it is repeated, so examples are the same each time; no clock decides.
# HYPOTHESIS_PROFILE=explore draws fresh ones: run it now and then, by hand.
settings.register_profile("repeatable", deadline=None, derandomize=True, print_blob=True)
settings.register_profile("explore", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeatable"))


@pytest.fixture
def say():
    """Speech with known times, where a synthesiser is installed."""
    if not flite.is_installed():
        pytest.skip("the flite synthesiser is not installed")
    return flite.say


@pytest.fixture
def room():
    """Return a maker of room noise: seconds in, samples out; the same each run."""
    dice = np.random.default_rng(7)
    return lambda seconds: (dice.standard_normal(int(seconds * RATE_HZ)) * 8).astype(np.int16)
