"""Synthesised and made-up sound for the tests of what listens."""

from __future__ import annotations

import numpy as np
import pytest

from tests.recording import flite
from tests.recording.sounds import RATE_HZ


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
