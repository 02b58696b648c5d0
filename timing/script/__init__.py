"""Scripts and episode folders -> script lines and settings.

In: a script file (Fountain or plain ``NAME: words``), ``episode.toml``. Out: :class:`timing.model.Script` and
:class:`timing.model.settings.EpisodeSettings`. Nothing here knows about syllables or time beyond what the user noted.
"""

from timing.script.reader import parse_script, read_script

__all__ = ["parse_script", "read_script"]
