"""What other programs' libraries read in the files that are written: each row opens one file with one library.

A check takes the folder that was written and its plan.json, holds what the library reads against the plan, and returns
a short sentence with what agreed. It raises AssertionError where something does not, and whatever the library raises.
All are general-purpose readers of open formats from PyPI.
"""

from __future__ import annotations

import csv
import importlib
import json
import wave
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

Plan = Mapping[str, Any]
SCHEMA = Path(__file__).resolve().parents[2] / "timing" / "model" / "plan.schema.json"


@dataclass(frozen=True)
class Client:
    """``file`` is what it opens, ``package`` its name on PyPI ("" for Python's own), ``module`` what is imported."""

    file: str
    package: str
    module: str
    check: Callable[[Path, Plan], str]

    @property
    def name(self) -> str:
        try:
            return f"{self.package} {version(self.package)}" if self.package else f"Python's {self.module}"
        except PackageNotFoundError:
            return self.package

    @property
    def is_there(self) -> bool:
        try:
            importlib.import_module(self.module)
        except ImportError:
            return False
        return True


# --- the plan and the pages ----------------------------------------------------------------------------------


def plan_by_its_schema(out: Path, plan: Plan) -> str:
    import jsonschema

    schema = json.loads(SCHEMA.read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    errors = list(jsonschema.Draft202012Validator(schema).iter_errors(plan))
    assert not errors, errors[0].message
    return f"{len(plan['lines'])} lines, {len(plan['clips'])} clips valid"


def pages_pypdf(out: Path, plan: Plan) -> str:
    import pypdf

    reader = pypdf.PdfReader(out / "sheets.pdf", strict=True)
    text = " ".join(page.extract_text() for page in reader.pages)
    lacking = [clip["id"] for clip in plan["clips"] if clip["id"] not in text]
    assert not lacking, f"clips that the text of the pages lacks: {lacking}"
    return f"{len(reader.pages)} pages, {len(plan['clips'])} clips in their text"


def pages_pikepdf(out: Path, plan: Plan) -> str:
    import pikepdf

    with pikepdf.open(out / "sheets.pdf") as pdf:
        problems = pdf.check_pdf_syntax() if hasattr(pdf, "check_pdf_syntax") else pdf.check()
        assert not problems, problems
        fonts = {
            str(font["/BaseFont"]): font
            for page in pdf.pages
            for font in (page.get("/Resources", {}).get("/Font") or {}).values()
        }
        bare = [name for name, font in fonts.items() if not _is_embedded(font)]
        assert not bare, f"fonts that are not embedded: {bare}"
        return f"{len(pdf.pages)} pages, no fault, {len(fonts)} fonts embedded"


def _is_embedded(font: Any) -> bool:
    own = font.get("/DescendantFonts", [font])[0]
    described = own.get("/FontDescriptor", {})
    return any(key in described for key in ("/FontFile", "/FontFile2", "/FontFile3"))


def pages_pdfium(out: Path, plan: Plan) -> str:
    import pypdfium2

    pdf = pypdfium2.PdfDocument(out / "sheets.pdf")
    try:
        dark = 0
        for page in pdf:
            image = page.render(scale=0.2).to_numpy()
            dark += bool((image < 128).any())
        assert dark == len(pdf), "a page is empty"
        return f"{dark} pages drawn, none empty"
    finally:
        pdf.close()


# --- captions ------------------------------------------------------------------------------------------------


def _words_spoken(plan: Plan) -> int:
    return sum(len(line["words"]) for line in plan["lines"])


def captions_srt(out: Path, plan: Plan) -> str:
    import srt

    found = list(srt.parse((out / "captions.srt").read_text("utf-8"), ignore_errors=False))
    times = [(c.start.total_seconds(), c.end.total_seconds()) for c in found]
    return _captions(times, [c.content for c in found], plan)


def captions_pysrt(out: Path, plan: Plan) -> str:
    import pysrt

    found = pysrt.open(out / "captions.srt", error_handling=pysrt.ERROR_RAISE)
    return _captions([(c.start.ordinal / 1000, c.end.ordinal / 1000) for c in found], [c.text for c in found], plan)


def captions_webvtt(out: Path, plan: Plan) -> str:
    import webvtt

    found = list(webvtt.read(out / "captions.vtt"))
    return _captions([(_vtt(c.start), _vtt(c.end)) for c in found], [c.text for c in found], plan)


def _vtt(text: str) -> float:
    hours, minutes, seconds = text.split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(seconds)


def _captions(times: list[tuple[float, float]], texts: list[str], plan: Plan) -> str:
    assert times, "no caption was read"
    for (start, end), (following, _) in zip(times, [*times[1:], (10**9, 0)], strict=True):
        assert start < end <= following + 0.0005, f"the caption at {start} s"
    starts = [line["start_s"] for line in plan["lines"] if line["words"]]
    late = max(min(abs(start - at) for at, _ in times) for start in starts)
    assert late <= 0.5 / float(Fraction(plan["episode"]["rate"])) + 0.001, f"a line is {late:.3f} s off its caption"
    return f"{len(times)} captions in order, lines at most {1000 * late:.0f} ms off"


# --- the cut -------------------------------------------------------------------------------------------------


def cut_otio(out: Path, plan: Plan) -> str:
    import opentimelineio as otio

    timeline = otio.adapters.read_from_file(str(out / "episode.otio"))
    spans = [
        (clip.name, int(clip.range_in_parent().start_time.value), int(clip.duration().value))
        for track in timeline.video_tracks()
        for clip in track
        if isinstance(clip, otio.schema.Clip)
    ]
    wanted = [(c["id"], c["start_frame"], c["end_frame"] - c["start_frame"]) for c in plan["clips"]]
    assert sorted(spans) == sorted(wanted)
    return f"{len(spans)} clips on their frames"


def cut_edl(out: Path, plan: Plan) -> str:
    import opentimelineio as otio

    rate = float(Fraction(plan["episode"]["rate"]))
    found = otio.adapters.read_from_file(str(out / "episode.edl"), adapter_name="cmx_3600", rate=rate)
    timeline = found if isinstance(found, otio.schema.Timeline) else found[0]
    (track,) = timeline.video_tracks()
    clips = [item for item in track if isinstance(item, otio.schema.Clip)]
    assert clips, "no event was read"
    total = int(track.duration().value)
    shown = max(clip["end_frame"] for clip in plan["clips"])
    assert total == shown, f"{total} frames, not {shown}"
    return f"{len(clips)} events, {total} frames"


def rows(name: str) -> Callable[[Path, Plan], str]:
    def check(out: Path, plan: Plan) -> str:
        with (out / name).open(encoding="utf-8-sig", newline="") as file:
            found = list(csv.reader(file, strict=True))
        assert len({len(row) for row in found}) == 1, "rows of different lengths"
        risky = [cell for row in found for cell in row if cell[:1] in ("=", "+", "@", "\t", "\r")]
        assert not risky, f"cells that a spreadsheet runs: {risky[:3]}"
        return f"{len(found) - 1:,} rows of {len(found[0])} cells, none a formula"

    return check


# --- sound and song ------------------------------------------------------------------------------------------


def song_symusic(out: Path, plan: Plan) -> str:
    import symusic

    return _song(out, plan, lambda path: [lyric.time for lyric in _lyrics(symusic.Score(path).to("second"))])


def _lyrics(score: Any) -> list[Any]:
    return sorted((one for track in score.tracks for one in track.lyrics), key=lambda one: one.time)


def song_mido(out: Path, plan: Plan) -> str:
    import mido

    def times(path: Path) -> list[float]:
        at, found = 0.0, []
        for message in mido.MidiFile(path, charset="utf-8"):
            at += message.time
            if message.type == "lyrics":
                found.append(at)
        return found

    return _song(out, plan, times)


def _song(out: Path, plan: Plan, read: Callable[[Path], list[float]]) -> str:
    songs, syllables, off = 0, 0, 0.0
    for song in plan["songs"]:
        sung = [
            s["start_s"]
            for line in plan["lines"]
            if line.get("song") == song["id"]
            for word in line["words"]
            for s in word["syllables"]
        ]
        path = out / f"song-{song['id']}.mid"
        if not sung or not path.exists():
            continue
        found = read(path)
        assert len(found) == len(sung), f"{len(found)} lyrics, not {len(sung)}"
        apart = [abs((b - found[0]) - (s - sung[0])) for b, s in zip(found, sung, strict=True)]
        assert max(apart) < 0.001, f"a syllable lies {1000 * max(apart):.3f} ms off"
        songs, syllables, off = songs + 1, syllables + len(sung), max(off, *apart)
    assert songs, "no song was read"
    return f"{songs} songs, {syllables} syllables, at most {1000 * off:.3f} ms off"


def _frames(plan: Plan) -> Fraction:
    return Fraction(plan["episode"]["frames"]) / Fraction(plan["episode"]["rate"])


def guide_soundfile(out: Path, plan: Plan) -> str:
    import numpy as np
    import soundfile

    sound, rate = soundfile.read(out / "guide.wav")
    assert abs(len(sound) - _frames(plan) * rate) <= 1
    peak = 20 * np.log10(np.abs(sound).max())
    assert peak <= -12 + 0.01, f"its peak is {peak:.1f} dB below full scale"
    files = sorted((out / "scratch").glob("*.wav")) if (out / "scratch").is_dir() else []
    lengths = {path.stem: soundfile.info(path).duration for path in files}
    asks = {clip["id"]: clip["ask_s"] for clip in plan["clips"]}
    for clip, seconds in lengths.items():
        assert asks[clip] is None or abs(seconds - asks[clip]) < 0.001, clip
    return f"{len(sound):,} samples, peak {peak:.1f} dBFS; {len(lengths)} scratch files as long as asked"


def guide_wave(out: Path, plan: Plan) -> str:
    with wave.open(str(out / "guide.wav")) as file:
        count, rate = file.getnframes(), file.getframerate()
    assert abs(count - _frames(plan) * rate) <= 1
    return f"{count:,} samples at {rate:,} a second"


def guide_miniaudio(out: Path, plan: Plan) -> str:
    import miniaudio

    info = miniaudio.get_file_info(str(out / "guide.wav"))
    assert abs(info.num_frames - _frames(plan) * info.sample_rate) <= 1
    return f"{info.num_frames:,} samples at {info.sample_rate:,} a second"


def guide_wavinfo(out: Path, plan: Plan) -> str:
    import wavinfo

    cues = wavinfo.WavInfoReader(str(out / "guide.wav")).cues
    labels = {label.text: point for point in cues.cues for label in cues.labels if label.name == point.name}
    rate, fps = 48_000, Fraction(plan["episode"]["rate"])
    for clip in plan["clips"]:
        at = labels[clip["id"]].sample_offset
        assert abs(at - Fraction(clip["start_frame"]) / fps * rate) <= 1, clip["id"]
    return f"{len(cues.cues)} cue points, clips to the sample"


CLIENTS = (
    Client("plan.json", "jsonschema", "jsonschema", plan_by_its_schema),
    Client("sheets.pdf", "pypdf", "pypdf", pages_pypdf),
    Client("sheets.pdf", "pikepdf", "pikepdf", pages_pikepdf),
    Client("sheets.pdf", "pypdfium2", "pypdfium2", pages_pdfium),
    Client("captions.srt", "srt", "srt", captions_srt),
    Client("captions.srt", "pysrt", "pysrt", captions_pysrt),
    Client("captions.vtt", "webvtt-py", "webvtt", captions_webvtt),
    Client("episode.otio", "opentimelineio", "opentimelineio", cut_otio),
    Client("episode.edl", "otio-cmx3600-adapter", "otio_cmx3600_adapter", cut_edl),
    Client("clips.csv", "", "csv", rows("clips.csv")),
    Client("lines.csv", "", "csv", rows("lines.csv")),
    Client("markers.csv", "", "csv", rows("markers.csv")),
    Client("song-NAME.mid", "mido", "mido", song_mido),
    Client("song-NAME.mid", "symusic", "symusic", song_symusic),
    Client("guide.wav", "", "wave", guide_wave),
    Client("guide.wav", "soundfile", "soundfile", guide_soundfile),
    Client("guide.wav", "miniaudio", "miniaudio", guide_miniaudio),
    Client("guide.wav", "wavinfo", "wavinfo", guide_wavinfo),
)
