"""Linear algebra keeps to one core inside the block and to as many as before outside it."""

import numpy as np
from threadpoolctl import threadpool_info

from timing.plain.one_core import one_core


def threads():
    np.ones((2, 2)) @ np.ones((2, 2))
    return [pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"]


def test_one_core_inside_and_as_before_outside():
    before = threads()
    with one_core():
        assert set(threads()) <= {1}
    assert threads() == before
