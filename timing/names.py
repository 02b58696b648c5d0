"""Names from a script or settings as parts of file names, safe on every system."""

from __future__ import annotations

import re

# Names that Windows keeps for devices, whatever the ending (Microsoft, "Naming Files, Paths, and Namespaces").
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)")


def safe_name(name: str, longest: int = 60) -> str:
    """Return ``name`` with everything but letters, digits, dot, dash and underscore made a dash; never empty.

    >>> safe_name("Out & In/../x"), safe_name("con"), safe_name("..")
    ('Out-In-x', 'con-', 'unnamed')
    """
    kept = re.sub(r"[^\w.-]+", "-", name)
    kept = re.sub(r"\.{2,}|-{2,}|-\.+-", "-", kept)
    kept = re.sub(r"-{2,}", "-", kept).strip(".-_ ")[:longest].rstrip(".-_ ")
    if not kept:
        return "unnamed"
    return kept + "-" if _RESERVED.fullmatch(kept.split(".")[0]) else kept
