"""The plan: everything on the episode's clock, and what is asked of the whole of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from timing.model import as_json
from timing.model.basics import Finding, LineKind
from timing.model.clock import FrameRate, Seconds
from timing.model.cut import Cut
from timing.model.month import Month
from timing.model.placed import Clip, Delivered, Loudness, PlanLine, Seam, Sounding, Totals
from timing.model.settings import EpisodeSettings
from timing.model.song import Song
from timing.plain.json_text import Rows

ACCEPTED = "accepted"  # a clip's state in clips.toml
STILLS = "stills"  # the folder in out/ of frames that clips start from


@dataclass(frozen=True)
class Plan:
    """Everything known about an episode's timing; writers read this and nothing else.

    ``deliveries`` has one entry for each clip that came back. Where their times are used, ``requested`` is the plan
    without them: what is asked for hangs on that one, so that no clip is asked for again because it came back.

    ``cut`` is the real cut where there is one, ``in_cut`` the same plan as it runs there: a clip for each stretch that
    is seen, a line for each time that its words are heard, on the cut's clock. There ``files_begin``, ``heard`` and
    ``on_paper`` say where each clip's file would begin, what is heard, and on which frame of the cut the first row of
    its sheet lies and how many rows it has, which the clips alone no longer tell.
    """

    title: str
    language: str
    rate: FrameRate
    frames: int
    length: Seconds
    lines: tuple[PlanLine, ...]
    clips: tuple[Clip, ...]
    songs: tuple[Song, ...]
    totals: Totals
    settings: EpisodeSettings
    script_hash: str
    loudness: tuple[Loudness, ...] = ()
    findings: tuple[Finding, ...] = ()
    retired_ids: tuple[str, ...] = ()
    folder: str = "."  # where recordings and songs lie; never written anywhere
    deliveries: tuple[Delivered, ...] = ()
    month: Month | None = None  # what the ledger says of this month, where there is one
    requested: Plan | None = field(default=None, repr=False, compare=False)
    cut: Cut | None = None
    in_cut: Plan | None = field(default=None, repr=False, compare=False)
    files_begin: Mapping[str, Seconds] = field(default_factory=dict)
    heard: tuple[Sounding, ...] | None = None
    on_paper: Mapping[str, tuple[int, int]] = field(default_factory=dict)

    def __repr__(self) -> str:
        return f"Plan({self.title!r}: {len(self.lines)} lines, {len(self.clips)} clips, {float(self.length):.1f} s)"

    def delivered(self, clip_id: str) -> Delivered | None:
        """Return what came back for a clip, None where nothing did."""
        return self._by_clip.get(clip_id)

    @cached_property
    def _by_clip(self) -> dict[str, Delivered]:
        return {d.clip: d for d in reversed(self.deliveries)}

    def lines_of(self, clip: Clip) -> tuple[PlanLine, ...]:
        """Return the lines that a clip holds, in its order."""
        return tuple(self._by_id[i] for i in clip.lines or (clip.line,) if i in self._by_id)

    @property
    def shown(self) -> Plan:
        """The plan as it is watched and read along with: as it runs in the real cut where there is one."""
        return self.in_cut or self

    def file_begins(self, clip: Clip) -> Seconds:
        """Return where the beginning of a clip's file lies on the episode's clock."""
        if clip.id in self.files_begin:
            return self.files_begin[clip.id]
        if clip.kind is LineKind.PICTURE:
            return clip.start
        if clip.follows is not None:  # a later part is shown from its first frame
            return self.rate.moment_of(clip.start_frame)
        back = self.delivered(clip.id)
        sound = back.speech_start if back and back.is_measured and back.speech_start is not None else clip.head
        return clip.speech_start - sound

    def words_of(self, clip: Clip) -> tuple[tuple[str, int, int], ...]:
        """Return (line, first word, word after the last) for each line that a clip holds."""
        return tuple(
            (line_id, *(clip.words if line_id == clip.line else (0, len(self.line(line_id).words))))
            for line_id in clip.lines or (clip.line,)
        )

    def last_shown(self, clip: Clip) -> int:
        """Return the last frame (from 0) of a clip's file that the cut shows, at the episode's rate."""
        back = self.delivered(clip.id)
        sound = back.speech_start if back and back.is_measured else None
        return clip.source_frame(self.rate, sound) + clip.end_frame - clip.start_frame - 1

    def heard_over(self, clip: Clip) -> tuple[PlanLine, ...]:
        """Return the voices off camera that are heard while a passage's clip is seen."""
        return tuple(n for n in self.lines if n.over == clip.line and n.start < clip.end and n.end > clip.start)

    def seam(self, clip: Clip) -> Seam | None:
        """Return where a later part of a split line starts from, None for any other clip."""
        before = next((c for c in self.clips if c.id == clip.follows), None)
        if before is None:
            return None
        back = self.delivered(before.id)
        accepted = back if back is not None and back.state == ACCEPTED else None
        still = f"{STILLS}/{clip.id}.png" if accepted is not None and accepted.has_picture else None
        return Seam(before.id, self.last_shown(before), accepted.file if accepted else None, still)

    def soundings(self) -> tuple[Sounding, ...]:
        """Return what is heard of every line: its take, or its clips that came back and the scratch of the others."""
        if self.heard is not None:
            return self.heard
        asked = self.requested or self
        found = []
        for line in self.lines:
            if line.take is not None and line.take_start is not None:
                found.append(Sounding(line.id, line.take, line.take_start, line.start, line.length))
            for clip in self.clips if line.delivered and line.take is None else ():
                if line.id not in (clip.lines or (clip.line,)):
                    continue
                back, scratch = self.delivered(clip.id), asked.line(line.id)
                file, at = (back.file, back.speech_start) if back and back.is_measured else (scratch.take, None)
                if at is None and scratch.take_start is not None:
                    before = next(c for c in asked.clips if c.id == clip.id)
                    at = scratch.take_start + before.speech_start - scratch.start
                if file is not None and at is not None:
                    found.append(Sounding(line.id, file, at, clip.speech_start, clip.speech))
        return tuple(self.in_its_voice(one) for one in found)

    def in_its_voice(self, one: Sounding) -> Sounding:
        """Return what is heard of a clip's file in the voice that it was converted to, where there is one."""
        voice = next((d.voice for d in self.deliveries if d.file == one.file and d.voice and d.voice.is_used), None)
        return replace(one, file=voice.file, file_start=voice.at(one.file_start)) if voice else one

    @property
    def gaps(self) -> tuple[tuple[int, int], ...]:
        """The stretches of frames (start, end; end excluded) that no clip shows, in order."""
        edges, at = [], 0
        for start, end in sorted((c.start_frame, c.end_frame) for c in self.clips):
            if start > at:
                edges.append((at, start))
            at = max(at, end)
        return (*edges, (at, self.frames)) if at < self.frames else tuple(edges)

    def line(self, line_id: str) -> PlanLine:
        """Return the line with this id; raises KeyError."""
        return self._by_id[line_id]

    @cached_property
    def _by_id(self) -> dict[str, PlanLine]:
        return {line.id: line for line in reversed(self.lines)}

    def json_in_rows(self) -> dict[str, Any]:
        """Return what :meth:`to_json` does, its lines made one by one while they are written (``json_text.Rows``)."""
        return {**replace(self, lines=()).to_json(), "lines": Rows(self.lines, as_json.line_json)}

    def to_json(self) -> dict[str, Any]:
        """Return plan.json as plain values; keys beyond version 1's fixed ones only ever get added."""
        totals = self.totals
        return {
            "timing_plan": as_json.VERSION,
            "episode": {
                "title": self.title,
                "language": self.language,
                "rate": self.rate.name,
                "drop_frame": self.rate.drop_frame,
                "frames": self.frames,
                "seconds": as_json.decimal_s(self.length),
                "script_hash": self.script_hash,
            },
            "lines": [as_json.line_json(line) for line in self.lines],
            "clips": [as_json.clip_json(clip, self.seam(clip)) for clip in self.clips],
            "songs": [as_json.song_json(song) for song in self.songs],
            "deliveries": [as_json.delivery_json(d) for d in self.deliveries],
            **({} if self.cut is None else {"cut": as_json.cut_json(self.cut)}),
            "totals": {
                "speech_s": as_json.decimal_s(totals.speech),
                "screen_s": as_json.decimal_s(totals.screen),
                "ask_s": as_json.decimal_s(totals.ask),
                "generate_s": as_json.decimal_s(totals.generate),
                "cost": as_json.decimal(totals.cost),
                "unpriced_s": as_json.decimal_s(totals.unpriced),
                **as_json.month_json(self.month, self.settings.allowances),
            },
            "findings": [as_json.finding_json(f) for f in self.findings],
            "retired_ids": list(self.retired_ids),
            **as_json.learnt_json(self.settings.learnt),
        }
