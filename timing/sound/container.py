"""pydub's AudioSegment, the project's container for cutting sound, without the warnings of its import.

pydub looks for a converter program when it is imported; nothing here needs one (files are decoded by PyAV).
"""

from __future__ import annotations

import os
import warnings

os.environ.setdefault("PATH", os.defpath)  # without one pydub cannot be imported
with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from pydub import AudioSegment, silence

__all__ = ["AudioSegment", "silence"]
