"""Bar sheets: bars and beats against published tables, and where their marks lie."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.sheet import plans
from tests.sheet.geometry import faults
from tests.sheet.geometry import texts as texts_on
from tests.sheet.hard_set import counted, sung
from timing.model import Plan, Song
from timing.model.basics import Passage
from timing.model.clock import FrameRate
from timing.model.metre import Metre
from timing.pipeline import plan_source
from timing.plain.files import write_outputs
from timing.plain.resources import example_files
from timing.sheet.bars.bar_sheet import INSET, bars_of, systems_of
from timing.sheet.document import lay_out
from timing.sheet.ink import Page
from timing.sheet.paper import LEFT

RATE = FrameRate(Fraction(24))


# M. Mayerson, "Bar Sheets and Metronomes" (2006): frames a beat at 24 frames a second, for the exact tempos.
@pytest.mark.parametrize(("bpm", "frames"), [(60, 24), (72, 20), (80, 18), (90, 16), (120, 12), (144, 10), (180, 8)])
def test_beats_lie_where_the_published_table_says(bpm: int, frames: int) -> None:
    bars = bars_of(plans.song(bars=2, bpms=(bpm,)), RATE)
    assert [beat for bar in bars for beat in bar.beats] == [frames * n for n in range(8)]


def test_a_beat_that_is_not_a_whole_number_of_frames_is_never_added_up_from_rounded_beats() -> None:
    # 128 bpm = 11.25 frames a beat; rounding each place from the start (halves up) gives this sequence.
    page = lay_out(plans.song_plan(plans.song(bars=2, bpms=(128,)), parts=("bars",)))[0]
    numbers = sorted(
        (x, int(t)) for (_, size, _g), texts in page.ink.texts.items() if size == 8 for x, _, t in texts if t.isdigit()
    )
    assert [n - 1 for _, n in numbers] == [0, 11, 23, 34, 45, 56, 68, 79]


@pytest.mark.parametrize("metre", [Metre(2, 4), Metre(3, 4), Metre(4, 4), Metre(6, 8)])
def test_every_metre_has_its_beats_in_a_bar(metre: tuple[int, int]) -> None:
    bars = bars_of(plans.song(metre=metre, bars=5, bpms=(120,)), RATE)
    assert [bar.number for bar in bars] == [1, 2, 3, 4, 5]
    assert all(len(bar.beats) == metre[0] for bar in bars)
    assert [len(system) for system in systems_of(bars)] == [4, 1]


def test_the_pick_up_is_bar_0_and_stands_before_bar_1() -> None:
    bars = bars_of(plans.song(pickup=1, bars=8), RATE)
    assert (bars[0].number, bars[0].first_beat, len(bars[0].beats)) == (0, 4, 1)
    assert [bar.number for bar in systems_of(bars)[0]] == [0, 1, 2, 3, 4]


def test_a_bar_takes_the_width_its_time_takes() -> None:
    page = lay_out(plans.song_plan(plans.song(bars=4, bpms=(96, 96, 96, 192)), parts=("bars",)))[0]
    lines = next(lines for pen, lines in page.ink.lines.items() if pen == (1.6, ()))
    edges = sorted({round(x0, 4) for x0, y0, x1, y1 in lines if x0 == x1 and y1 - y0 > 15})
    widths = [b - a for a, b in itertools.pairwise(edges)]
    assert edges[0] == pytest.approx(LEFT + INSET)
    assert widths[:3] == pytest.approx([widths[0]] * 3, abs=1e-3)
    assert widths[3] == pytest.approx(widths[0] / 2, abs=1e-3)


def test_bars_stand_below_each_other_after_a_pick_up() -> None:
    page = lay_out(plans.song_plan(plans.song(pickup=2, bars=8), parts=("bars",)))[0]
    lines = next(lines for pen, lines in page.ink.lines.items() if pen == (1.6, ()))
    rows: dict[float, set[float]] = {}
    for x0, y0, x1, y1 in lines:
        if x0 == x1 and 15 < y1 - y0 < 18:  # down to the words, which no bar line runs through
            rows.setdefault(round(y0, 2), set()).add(round(x0, 2))
    first, second = (sorted(rows[y]) for y in sorted(rows))
    assert first[0] == pytest.approx(LEFT + INSET)
    assert first[1:] == second
    assert len(second) == 5


def test_silent_bars_after_the_last_word_are_left_out_and_bars_that_play_are_kept() -> None:
    song = plans.song(bars=20)
    plan = plans.song_plan(song, parts=("bars",))
    plan = replace(plan, frames=song_end_frames(song))
    silent = lay_out(replace(plan, loudness=(plans.loudness_of(plan),)))
    playing = replace(plans.loudness_of(plan), values=(0.5,) * (plan.frames * 4))
    numbers = [bar_numbers(pages) for pages in (silent, lay_out(replace(plan, loudness=(playing,))), lay_out(plan))]
    # 21 syllables and three rests between the lines fill six bars of four beats; then nothing is heard.
    assert numbers == [list(range(1, 7)), list(range(1, 21)), list(range(1, 21))]


def song_end_frames(song: Song) -> int:
    return RATE.frame_at(song.end)


def bar_numbers(pages: list[Page]) -> list[int]:
    return sorted(int(t) for page in pages for (_, size, _g), texts in page.ink.texts.items() if size == 13
                  for _, _, t in texts)  # fmt: skip


def test_a_song_nobody_counted_has_no_bar_sheet() -> None:
    assert bars_of(replace(plans.song(bars=4), downbeats=()), RATE) == []


def test_words_of_one_system_never_overlap() -> None:
    plan = plans.song_plan(plans.song(pickup=1, bars=8, bpms=(96,)), parts=("bars",))
    page = lay_out(plan)[0]
    rows: dict[float, list[tuple[float, float]]] = {}
    words = {s.text for line in plan.lines for s in line.syllables}
    for (style, size, _), texts in page.ink.texts.items():
        for x, y, text in texts:
            if text.strip("-") in words:
                rows.setdefault(round(y, 2), []).append((x, x + page.ink.face.width_mm(text, style, size)))
    assert rows
    for spans in rows.values():
        spans.sort()
        assert all(a[1] < b[0] for a, b in itertools.pairwise(spans))


def test_two_singers_at_once_have_words_of_their_own() -> None:
    song = plans.song(bars=4)
    plan = plans.song_plan(song, parts=("bars",))
    first = plan.lines[0]
    other = replace(
        plans.line("9", "*Hum *hum *hum", first.start_frame, (20,), "BRAM", first.kind, song=song), song=song.id
    )
    both = replace(plan, lines=(*plan.lines, other), clips=(*plan.clips, plans.clip(other, RATE, 0, 0, 6)))
    page = lay_out(both)[0]
    texts = [text for group in page.ink.texts.values() for _, _, text in group]
    assert texts.count("Hum") == 1
    assert texts.count("hum") == 2
    assert "Out" in texts


def test_singers_are_named_whole_beside_their_words() -> None:
    song = plans.song(bars=4)
    plan = plans.song_plan(song, parts=("bars",))
    first = plan.lines[0]
    other = plans.line("9", "*Hum *hum *hum", first.start_frame, (20,), "MORGANA-ELISABETH", first.kind, song=song)
    lines = [replace(line, speaker="BARTHOLOMEW THE GREAT") for line in plan.lines]
    both = replace(
        plan, lines=(*lines, replace(other, song=song.id)),
        clips=(*(replace(c, speaker="BARTHOLOMEW THE GREAT") for c in plan.clips), plans.clip(other, RATE, 0, 0, 6)),
    )  # fmt: skip
    page = lay_out(both)[0]
    told = " ".join(text for group in page.ink.texts.values() for *_, text in group)
    for name in ("Bartholomew The Great", "Morgana-Elisabeth"):
        assert name in told
    assert "“Hum hum hum”" in told  # the whole line beside its clip
    assert not faults(page)


def test_a_clip_that_begins_where_its_line_has_no_room_is_named_on_the_next(tmp_path: Path) -> None:
    """The example's third sung line begins with bar 5 and a line of the sheet (frame 300), its clip 6 frames before."""
    write_outputs(tmp_path, {name: content for name, content in example_files().items() if "recordings" not in name})
    plan = plan_source(tmp_path)
    sheet = replace(plan.settings.sheet, parts=("bars",))
    pages = lay_out(replace(plan, settings=replace(plan.settings, sheet=sheet)))
    said = [text.text for text in texts_on(pages[0])]
    assert "C15 Tansy · ask 8 s · from 295" in said
    assert "“out and in, the moon knows”" in said


def with_happenings(of: Plan, *happenings: tuple[int, int, str, Passage]) -> Plan:
    """Return the plan with lines without words: (first frame, frames, text, what kind)."""
    found = []
    for n, (start, frames, text, kind) in enumerate(happenings):
        line, _ = plans.picture(str(900 + n), start, start + frames, RATE)
        found.append(replace(line, text=text, passage=kind))
    return replace(of, lines=(*of.lines, *found))


def test_a_sound_stands_on_the_bar_sheet_at_its_frame() -> None:
    """By hand: 96 bpm at 24 frames a second are 15 frames a beat, 60 a bar; the song begins at frame 48.

    Frame 108 is the first beat of bar 2; frame 268, 20 before bar 5, stands in the last third of the first system: its
    text lies left of it.
    """
    plan = plans.song_plan(plans.song(bars=8), parts=("bars",))
    happens = (108, 1, "PLOP!", Passage.SOUND), (268, 1, "an echo of it from the far side of the bay", Passage.SOUND)
    (page,) = lay_out(with_happenings(plan, *happens))
    found = {t.text: t for t in texts_on(page)}
    bar_line = found["2"].x0 - 1.2
    assert found["frame 61 sound: PLOP!"].x0 == pytest.approx(bar_line + 1.2)
    per_frame = (bar_line - LEFT - INSET) / 60
    echo = found["frame 221 sound: an echo of it from the far side of the bay"]
    assert echo.x1 == pytest.approx(LEFT + INSET + 220 * per_frame - 1.2, abs=0.05)
    assert "a sound or a wait begins" in " ".join(found)
    assert not faults(page)
    assert "a sound or a wait begins" not in " ".join(t.text for t in texts_on(lay_out(plan)[0]))


def test_sounds_beside_each_other_stand_in_rows_of_their_own_and_leave_the_pencil_its_room() -> None:
    of = counted(Metre(9, 8), 3, 12, 2)
    happens = [(60 + n, 1 + 9 * n, f"number {n} of the pebbles that fall", Passage.WAIT) for n in range(4)]
    pages = lay_out(with_happenings(sung(of, parts=("bars",)), *happens))
    assert not [fault for page in pages for fault in faults(page)]
    rows = sorted(t.y1 for t in texts_on(pages[0]) if "pebbles" in t.text)
    assert [b - a for a, b in itertools.pairwise(rows)] == pytest.approx([4.0] * 3, abs=0.3)
    action = next(t for t in pages[0].ink.turned if t.text == "action")
    assert action.y - rows[-1] > 10


def test_a_sound_before_a_bar_line_is_drawn_once() -> None:
    """A bar ends at frame 128.57 of the song (112 bpm, 24 frames: 12.86 a beat): frame 205.7, halves up 206, is bar 5."""
    plan = plans.song_plan(plans.song(bars=8, bpms=(112,)), parts=("bars",))
    happens = [(48 + frame, 1, f"at {frame}", Passage.SOUND) for frame in (204, 205, 206, 207)]
    told = [t.text for page in lay_out(with_happenings(plan, *happens)) for t in texts_on(page)]
    assert [told.count(f"frame {n + 1} sound: at {n}") for n in (204, 205, 206, 207)] == [1, 1, 1, 1]
