"""Words to syllables: reading aloud, breaks, stress and sounds.

In: a line as written. Out: an :class:`~timing.model.Utterance`, whose syllables join to what was written.
"""

from timing.language.reading import assumptions, phones_for, read_line, spoken_form, syllabify
from timing.language.registry import languages, resolve

__all__ = ["assumptions", "languages", "phones_for", "read_line", "resolve", "spoken_form", "syllabify"]
