"""An episode in another language on the clips that exist: from Python."""

from __future__ import annotations

from pathlib import Path

from timing.dub.edition import MadeEdition, make_edition
from timing.dub.texts import find_text, read_texts
from timing.model.dub import Edition
from timing.pipeline import Progress, make_plan
from timing.script.source import Source, open_source
from timing.store.store import Store


def edition(source: Path | str, language: str, out: Path | str | None = None) -> Edition:
    """Return how the words of an episode in another language fit the clips that exist.

    The words lie beside the script, as ``script.LANGUAGE.fountain`` (or ``.txt``) or ``lines.LANGUAGE.csv``. Nothing is
    written. Raises InputError for what cannot be read, and where cues or ids are not those of the script.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     script = Path(folder) / "tide.txt"
    ...     _ = script.write_text("TANSY: Where does the sea go?", encoding="utf-8")
    ...     _ = (Path(folder) / "tide.de.txt").write_text("TANSY: Wohin geht das Meer?", encoding="utf-8")
    ...     made = edition(script, "German")
    >>> made.lines[0].line.text, made.lines[0].verdict.value
    ('Wohin geht das Meer?', 'record it')
    """
    return edition_of(open_source(Path(source)), language, None if out is None else Path(out)).edition


def edition_of(
    source: Source, language: str, out: Path | None = None, progress: Progress | None = None, keep_ids: bool = False
) -> MadeEdition:
    """Return the edition of an opened source; with ``keep_ids`` its line numbers are remembered, as they are shown."""
    file = find_text(source, language)
    made = make_plan(source, out, progress, keep_ids)
    texts = read_texts(file, made.plan, source.script)
    store = Store.below(out or source.default_out)
    return make_edition(made.plan, made.factors, file, texts, source.folder, store, progress)


def write_edition(edition: Edition, out: Path | str, force: bool = False) -> list[Path]:
    """Write an edition's files into LANGUAGE/ below ``out``, whole or not at all, and return their paths.

    Raises OutputError when a file there was not written by the tool, unless ``force`` allows to replace it.
    """
    from timing.dub.outputs import write_edition as write

    return write(edition, Path(out), force)
