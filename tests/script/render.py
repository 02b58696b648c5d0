"""A script as the cases write it: one readable line for each script line and finding."""

from __future__ import annotations

from timing.model import LineKind, Script, ScriptLine


def render(script: Script) -> str:
    """Return the whole script; a scene is printed where it changes, findings as ``! code line``."""
    out = []
    if script.title:
        out.append(f"title {script.title}")
    scene = None
    for line in script.lines:
        if line.scene != scene:
            scene = line.scene
            out.append(f"scene {scene}")
        out.append(_line(line))
        out += [f"! {f.code} {f.where.line_number if f.where else ''}".strip() for f in line.findings]
    out += [f"! {f.code} {f.where.line_number or ''}".strip() for f in script.findings if f.where]
    return "\n".join(out)


def _line(line: ScriptLine) -> str:
    marks: dict[int, str] = {}
    for start, end in line.emphasis:
        marks[start] = marks.get(start, "") + "*"
        marks[end] = marks.get(end, "") + "*"
    for pause in line.pauses:
        marks[pause.offset] = marks.get(pause.offset, "") + f"<{float(pause.length):g} s>"
    text = "".join(marks.get(i, "") + c for i, c in enumerate(line.text)) + marks.get(len(line.text), "")
    head = f"{line.where.line_number} {line.passage if line.kind is LineKind.PICTURE else line.kind}"
    head += f" ↻{line.again.line_number}" if line.again else ""
    head += " +" if line.is_dual else ""
    head += f" {line.speaker}" if line.speaker else ""
    head += "".join(f" ({d})" for d in line.directions)
    head += f" {{{line.cue.song} {line.cue.bar}}}" if line.cue else ""
    head += f" [{float(line.length.amount):g} {line.length.unit}]" if line.length else ""
    head += f" @{line.at_offset}" if line.at_offset is not None else ""
    return f"{head}: {text}"
