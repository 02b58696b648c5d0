"""Measures how far off each number of the tool is and rewrites the accuracy table in README.md.

    python tests/bench/bench_accuracy.py [--sets FOLDER] [--songs FOLDER] [--only lengths,tempo] [--dry]

Runs the other benchmarks of this folder and takes the figures from what they print. FOLDER holds evaluation sets that
are no part of the project: syllables/, speech/, music/truth/, music/lines_open.json, as bench_words.py,
bench_listen.py, bench_songs.py and train_setting.py describe them; ``--songs`` the songs of music/truth as sound.
Synthesised speech needs flite. A row whose set or program is missing stays as it was, and the program says so.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BENCH = Path(__file__).parent
HEAD = ["| number | how far off | in your day | measured on |", "| --- | --- | --- | --- |"]


@dataclass(frozen=True)
class Row:
    """One row: ``found`` names what to look for in the benchmark's output, by the names in braces elsewhere."""

    key: str
    number: str
    far_off: str
    meaning: str
    data: str
    command: Sequence[str]  # {sets} and {songs} are put in
    found: Sequence[str]  # patterns with named groups; all must be found
    program: str | None = None


_DURATIONS = ("bench_words.py", "--durations", "{sets}/speech/durations.json", "{sets}/syllables/durations.json")
_SPEECH = ("bench_listen.py", "clean", "--speech", "{sets}/speech")
_SONGS = ("bench_songs.py", "songs", "{songs}", "{sets}/music/truth")
_LINES = ("train_setting.py", "{sets}/music/lines_open.json", "--folds", "5")


def _group(name: str, short: str) -> str:
    """Find one group of speakers in the table of lengths."""
    return (
        rf"(?m)^{name} +(?P<{short}_speakers>\d+) +(?P<{short}_n>\d+): [^|]*\| (?P<{short}_text>[\d.]+), [^|]*"
        rf"/ (?P<{short}_three>[\d.]+) \|.*\| (?P<{short}_range>\d+) %"
    )


_GROUPS = (_group("narrators", "nar"), _group("acted", "act"), _group("acted strong", "strong"))
_SPOKEN = (
    r"clean synth[^\n]*\n *word starts +n= *(?P<said>\d+).* 1 f +(?P<made_1>[\d.]+) 2 f +(?P<made_2>[\d.]+)"
    r"[^\n]*\n *vowel onsets.* 1 f +(?P<made_vowel>[\d.]+)",
    r"human speech[^\n]*\n *word starts +n= *(?P<words>\d+).* 1 f +(?P<read_1>[\d.]+) 2 f +(?P<read_2>[\d.]+)"
    r"[^\n]*\n *vowel onsets +n= *(?P<vowels>\d+).* 1 f +(?P<read_vowel>[\d.]+)",
)
_DIFFERENCES = (
    r"(?m)^new, [^:]*: (?P<found>[\d.]+) % of (?P<changed>\d+) words",
    r"(?ms)^new, .*?as written: (?P<false>[\d.]+) % of (?P<plain>\d+) words",
    r"script changed: not said (?P<missing>[\d.]+) % of (?P<people>\d+) found, "
    r"said differently (?P<other>[\d.]+) %[^;]*; as written (?P<doubted>\d+) of (?P<human>\d+) words",
)
_STEADY = r"(?m)^steady +bpm, metre.* n=(?P<songs>\d+) .*CMLt (?P<held>[\d.]+) .*offset ms median (?P<typical>[\d.]+)"
_ALONE = r"(?m)^steady +no help.*bpm error median (?P<bpm>[\d.]+) .*octave right (?P<octave>[\d.]+)"


def _lines(kind: str, short: str) -> Sequence[str]:
    return tuple(
        rf"(?m)^{kind} +(?P<{short}_n>\d+) lines, pinned {pins} *: syllables (?P<{short}_{name}>[\d.]+) %".replace(
            f"(?P<{short}_n>", f"(?P<{short}_n>" if name == "free" else "(?:"
        )
        for name, pins in (("free", "nothing"), ("both", "both"))
    )


ROWS = (
    Row(
        "syllables", "syllables of an English word",
        "the count is right for {known} % of words in the dictionary, {other} % of the others",
        "about one word in a hundred is a syllable off; `timing lines --wide` shows the hyphens",
        "{n:,} words on which two dictionaries agree",
        ("bench_words.py", "--syllables", "{sets}/syllables"),
        (r"en_breaks +n +(?P<n>\d+)", r"in the dictionary +n +\d+ +count +(?P<known>[\d.]+)",
         r"not in it +n +\d+ +count +(?P<other>[\d.]+)"),
    ),
    Row(
        "lengths", "seconds of a line, from its text alone (`~`)",
        "on average {nar_text} % (narrators), {act_text} % (acted), {strong_text} % (strong acting)",
        "a 4 s line is half a second longer or shorter: good for planning, not for cutting",
        "{nar_n} lines of {nar_speakers} narrators, {act_n} + {strong_n} of {act_speakers} actors; one factor for each "
        "kind was fitted on them",
        _DURATIONS, _GROUPS,
    ),
    Row(
        "three", "the same, three lines of the speaker recorded",
        "{nar_three} %, {act_three} %, {strong_three} %",
        "most of the rest is how the line is played; only recording it tells",
        "the same; the three lines are not among those measured", _DURATIONS, _GROUPS,
    ),
    Row(
        "range", "the range beside it",
        "holds {nar_range} %, {act_range} %, {strong_range} % of the lines (80 % is meant)",
        "one line in five falls outside: the clip length asked for covers the long end",
        "the same; speakers it was not fitted on", _DURATIONS, _GROUPS,
    ),
    Row(
        "words", "start of a word in a scratch recording",
        "within one frame (24 a second) {read_1} %, within two {read_2} %; clean synthetic voices {made_1} %, {made_2} %",
        "cut two frames before a word and its start is hardly ever lost",
        "{words} hand-marked words; {said:,} synthetic ones, whose times are known exactly",
        _SPEECH, _SPOKEN, "flite",
    ),
    Row(
        "vowels", "the vowel of a syllable there (where the mouth opens)",
        "within one frame {read_vowel} %; synthetic {made_vowel} %",
        "draw the mouth on the frame that the sheet says",
        "{vowels} hand-marked vowels, few; the same synthetic voices", _SPEECH, _SPOKEN, "flite",
    ),
    Row(
        "differences", "a word left out or replaced by the reader",
        "told {found} % of the time; of words said as written {false} % are doubted (synthetic voices). Human speech: "
        "{missing} % (words too many in the script) and {other} % (another word); {doubted} of {human} doubted",
        "listen to what is named; in a long script one or two of the doubts are false",
        "{changed} + 2 x {people} changed words, {plain:,} + {human} as written; lines it was not fitted on",
        ("bench_listen.py", "mismatch", "--speech", "{sets}/speech"), _DIFFERENCES, "flite",
    ),
    Row(
        "tempo", "tempo of a song made to a click",
        "half of the songs within {bpm} bpm; the right octave without help {octave} of the time",
        "give `bpm` if you know it; then only a half or double can no longer happen",
        "{songs} rendered songs; real songs by spot checks only", _SONGS, (_STEADY, _ALONE),
    ),
    Row(
        "beats", "its beats, with bpm, metre and one first beat given",
        "typically {typical} ms off; {held} of the beats right from end to end",
        "a beat is on its frame; a voice without instruments can sit half a beat out, which is said",
        "the same", _SONGS, (_STEADY, _ALONE),
    ),
    Row(
        "sung", "a syllable laid on a beat by the tool's own choice",
        "where people sing it: {n_free} % in nursery songs, {n_both} % with the first and last pinned; {a_free} % and "
        "{a_both} % in art songs",
        "look at each lyric line once; pin what is wrong (`fall@3`), or record it",
        "{n_n} nursery lines (from memory), {a_n} English art-song lines; songs it had not learnt from",
        _LINES, (*_lines("nursery", "n"), *_lines("art-en", "a")),
    ),
)  # fmt: skip


class Missing(Exception):
    """A row cannot be measured here; ``str()`` says why."""


def output_of(row: Row, sets: Path | None, songs: Path | None, known: dict[tuple[str, ...], str]) -> str:
    """Return what the row's benchmark prints; raises Missing."""
    if row.program and shutil.which(row.program) is None:
        raise Missing(f"needs the program {row.program}")
    command = []
    for part in row.command:
        for name, folder in (("sets", sets), ("songs", songs)):
            if "{" + name + "}" in part:
                if folder is None:
                    raise Missing(f"needs --{name} FOLDER")
                part = part.replace("{" + name + "}", str(folder))
                if not Path(part).exists():
                    raise Missing(f"{part} is missing")
        command.append(part)
    key = tuple(command)
    if key not in known:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "OMP_NUM_THREADS": "1"}
        print("running", *command, file=sys.stderr, flush=True)
        done = subprocess.run(
            [sys.executable, str(BENCH / command[0]), *command[1:]], env=environment, text=True, capture_output=True
        )
        if done.returncode:
            print(done.stderr, file=sys.stderr)
        known[key] = done.stdout if not done.returncode else ""
    return known[key]


def written(row: Row, output: str) -> str:
    """Return the row of the table; raises Missing where the benchmark did not print a figure."""
    facts: dict[str, object] = {}
    for pattern in row.found:
        match = re.search(pattern, output)
        if match is None:
            raise Missing(f"{row.command[0]} printed no figure for it")
        facts |= {k: int(v) if v.isdigit() else _rounded(k, v) for k, v in match.groupdict().items()}
    cells = (row.number, row.far_off.format(**facts), row.meaning, row.data.format(**facts))
    return f"| {' | '.join(cells)} |"


def _rounded(name: str, value: str) -> str:
    if name in ("octave", "held"):
        return f"{100 * float(value):.1f} %"
    return f"{float(value):.3f}".rstrip("0").rstrip(".") if name == "bpm" else f"{float(value):.1f}"


def place_of_table(text: str) -> tuple[int, int]:
    return text.index("<!-- accuracy -->"), text.index("<!-- /accuracy -->")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sets", type=Path, help="folder of the evaluation sets")
    parser.add_argument("--songs", type=Path, help="folder of the songs as sound")
    parser.add_argument("--only", default="", help=f"rows: {', '.join(row.key for row in ROWS)}")
    parser.add_argument("--dry", action="store_true", help="print the table, leave README.md as it is")
    options = parser.parse_args()
    readme = ROOT / "README.md"
    text = readme.read_text("utf-8")
    start, end = place_of_table(text)
    old = {line.split(" | ")[0]: line for line in text[start:end].splitlines() if line.startswith("| ")}
    known: dict[tuple[str, ...], str] = {}
    rows = list(HEAD)
    for row in ROWS:
        try:
            if options.only and row.key not in options.only.split(","):
                raise Missing("not asked for")
            rows.append(written(row, output_of(row, options.sets, options.songs, known)))
        except Missing as reason:
            kept = old.get(f"| {row.number}")
            print(f"{row.number}: {reason}; {'the row stays' if kept else 'no row'}", file=sys.stderr)
            rows += [kept] if kept else []
    print("\n".join(rows))
    if not options.dry:
        table = "<!-- accuracy -->\n" + "\n".join(rows) + "\n"
        text = readme.read_text("utf-8")  # again: the benchmarks take minutes
        start, end = place_of_table(text)
        readme.write_text(text[:start] + table + text[end:], "utf-8")


if __name__ == "__main__":
    main()
