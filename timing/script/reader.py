"""A script file -> :class:`timing.model.Script`: which reader reads it, and what is said about the whole."""

from __future__ import annotations

import hashlib
from pathlib import Path

from timing.model import Finding, LineKind, Remark, Script, ScriptLine, Where
from timing.model.findings import FindingCode
from timing.plain.errors import ScriptError
from timing.plain.inputs import read_regular, require_regular
from timing.plain.limits import LONGEST_TITLE, MOST_LINES
from timing.script.assemble import Assembler, name_findings
from timing.script.blocks import LONGEST_LINE_CHARACTERS, Block, Prepared, SourceLine, prepare
from timing.script.decoding import decode
from timing.script.directions import is_known_direction
from timing.script.fountain import FountainReader, is_cue, read_title_page
from timing.script.plain import PlainReader
from timing.script.set_aside import without_chat
from timing.script.together import each_apart

LARGEST_SCRIPT_BYTES = 10_000_000
FOUNTAIN_SUFFIXES = (".fountain", ".spmd")


def read_script(path: Path) -> Script:
    """Return the script in a file: Fountain for ``.fountain``, else whichever it clearly is.

    Raises ScriptError with file and line for what cannot be read at all; whatever could be read in more than
    one way is in the findings.
    """
    data = _bytes_of(Path(path))
    text, findings = decode(data, Path(path))
    return parse_script(text, str(path), hashlib.sha256(data).hexdigest()[:6], findings)


def parse_script(text: str, path: str, text_hash: str = "", findings: tuple[Finding, ...] = ()) -> Script:
    """Return the script in ``text``; ``path`` is its name for messages and for the choice of the reader."""
    if not text.strip():
        raise ScriptError("the script is empty; write for example a line TANSY: Where does the sea go?", path)
    if text.count("\n") > 8 * MOST_LINES:
        raise ScriptError(f"has {text.count(chr(10)):,} lines; {8 * MOST_LINES:,} are the most", path)
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE_CHARACTERS:
            raise ScriptError(
                f"this line has {len(line):,} characters, too many for a line of a script; put line breaks into it",
                path,
                number,
            )
    is_fountain = path.lower().endswith(FOUNTAIN_SUFFIXES)
    prepared = prepare(text, path, boneyard=True)
    plain = PlainReader(prepared, path)
    cues = _cue_count(prepared.lines if is_fountain else plain.lines)
    if is_fountain and not cues and plain.speech_count:
        prepared.findings.append(
            Finding(FindingCode.READ_AS_PLAIN, "no Fountain speech was found; read as NAME: words", {}, Where(path))
        )
        is_fountain = False
    elif not is_fountain:
        is_fountain = cues > plain.speech_count
    if is_fountain and not path.lower().endswith(FOUNTAIN_SUFFIXES):  # pasted: a chat's words may stand around it
        prepared.lines, aside = without_chat(prepared.lines, path, plain.is_speech)
        prepared.findings += aside
    facts, blocks = _fountain(prepared, path) if is_fountain else plain.read()
    blocks, together = each_apart(blocks, path)
    joint = {f.where for f in together}
    doubted = [f for f in prepared.findings if f.code == FindingCode.SPEAKER_DOUBTFUL and f.where in joint]
    prepared.findings[:] = [f for f in prepared.findings if f not in doubted] + together
    if len(blocks) > MOST_LINES:
        raise ScriptError(f"has {len(blocks):,} lines; {MOST_LINES:,} are the most: make an episode of each part", path)
    assembler = Assembler(prepared, path)
    lines = assembler.assemble(blocks)
    title = _title(facts)
    if title and len(title) > LONGEST_TITLE:
        raise ScriptError(f"its title has {len(title):,} characters; {LONGEST_TITLE} are the most", path)
    whole = (*findings, *assembler.findings, *name_findings(lines), *_dialogue_findings(lines, path))
    remarks = tuple(note.remark for note in prepared.notes if note.remark)
    whole = (*whole, *_directions_in_notes(remarks))
    return Script(lines, path, text_hash, title, facts, whole, remarks)


def _directions_in_notes(remarks: tuple[Remark, ...]) -> list[Finding]:
    """Return a finding for "[[whispering]]": a direction has no effect in a note."""
    return [
        Finding(
            FindingCode.NOTE_NOT_UNDERSTOOD,
            f"[[{remark.text}]] was not understood: a direction stands in round brackets, ({remark.text})",
            {"note": remark.text},
            remark.where,
        )
        for remark in remarks
        if is_known_direction(remark.text)
    ]


def _bytes_of(path: Path) -> bytes:
    if path.is_dir():
        raise ScriptError("this is a folder, not a script file", path)
    try:
        require_regular(path)
        size = path.stat().st_size
        if size > LARGEST_SCRIPT_BYTES:
            raise ScriptError(f"this file has {size / 1e6:.0f} MB, too many for a script; is it another file?", path)
        return read_regular(path, LARGEST_SCRIPT_BYTES)
    except FileNotFoundError:
        raise ScriptError("there is no such file", path) from None
    except OSError as error:
        raise ScriptError(f"the file cannot be read ({error.strerror or error})", path) from None


def _cue_count(lines: list[SourceLine]) -> int:
    """Count what only Fountain writes: a capital name on its own line, words right under it."""
    lines = [line for line in lines if not line.is_notes_only]
    count = 0
    for before, line, after in zip([None, *lines], lines, lines[1:], strict=False):
        text = line.text.strip()
        if (before is None or before.is_blank) and not after.is_blank:
            count += text.startswith("@") or (is_cue(text) and ":" not in text and text[0] not in "#>=.!~")
    return count


def _fountain(prepared: Prepared, path: str) -> tuple[dict[str, str], list[Block]]:
    facts, taken = read_title_page(prepared.lines)
    return facts, FountainReader(prepared, path, taken).read()


def _title(facts: dict[str, str]) -> str | None:
    from timing.script.markup import strip_emphasis

    title = " ".join(strip_emphasis(line)[0] for line in facts.get("title", "").split("\n")).strip()
    return " ".join(title.split()) or None


def _dialogue_findings(lines: tuple[ScriptLine, ...], path: str) -> list[Finding]:
    if any(line.kind is not LineKind.PICTURE for line in lines):
        return []
    message = (
        "no dialogue was found, all is picture; write speeches as a capital name with the words on the next line"
        if lines
        else "nothing that is seen or heard was found in this script"
    )
    return [Finding(FindingCode.NO_DIALOGUE, message, {}, Where(path))]
