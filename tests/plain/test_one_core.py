"""Linear algebra keeps to one core inside the block and to as many as before outside it."""

import numpy as np
from threadpoolctl import threadpool_info

from timing.plain.one_core import _controller, one_core


def threads():
    """Threads of the libraries that `one_core` knows; a test that ran before may have loaded others since."""
    np.ones((2, 2)) @ np.ones((2, 2))
    known = {pool["filepath"] for pool in _controller().info()}
    return [p["num_threads"] for p in threadpool_info() if p["user_api"] == "blas" and p["filepath"] in known]


def test_one_core_inside_and_as_before_outside():
    before = threads()
    assert before
    with one_core():
        assert set(threads()) <= {1}
    assert threads() == before
