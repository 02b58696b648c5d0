"""The bars of the clip table: does the speech with its handles fit a length that can be asked for?

Thick is speech, thin the handles (hollow where the clip's neighbour takes their place on screen), slanted strokes a
picture passage, the outline is what to ask for; the white left inside is the slack, also given in seconds. Shapes, not
greys, so that a photocopy in black and white says the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from timing.model import Clip, LineKind
from timing.sheet.figures import tenth, tenths
from timing.sheet.fonts import BOLD
from timing.sheet.furniture import caution_square
from timing.sheet.ink import BEAT, Ink

SCALE_MM, LONGEST_BAR_MM = 4.5, 45.0  # a second; the longest bar
BAR, HANDLE_BAR = 3.2, 1.1  # the height of speech, and of a handle
BAR_TOP = 1.3  # below the top of the row; there is a line of small type under the bar
LEAST_HOLLOW_MM = 0.2  # less than a frame: nothing to see
ROW = 8.9  # the height of a row of the table


@dataclass(frozen=True)
class FitBar:
    """Draws bars from ``x`` on; ``menu`` holds the lengths that can be asked for, in seconds."""

    x: float
    menu: tuple[float, ...]

    @property
    def scale(self) -> float:
        return min(SCALE_MM, LONGEST_BAR_MM / (self.menu[-1] * 1.25))

    def scale_above(self, ink: Ink, y: float) -> None:
        """Write the seconds above the bars."""
        last_x = -9.0
        for length in (0.0, *self.menu):
            x = self.x + length * self.scale
            if x - last_x > 3.5:
                ink.text(x, y, "0 s" if length == 0 else f"{length:g}", BOLD, 7, "center")
                last_x = x

    def sample(self, ink: Ink, x: float, y: float) -> None:
        """Draw a small bar for the legend, standing on ``y``."""
        ink.fill(x, y - 1.35, 1.2, 0.7)
        ink.fill(x + 1.2, y - 1.9, 3.4, 1.8)
        ink.fill(x + 4.6, y - 1.35, 1.2, 0.7)
        ink.box(x, y - 2.2, 8.4, 2.4, 0.7)

    def picture_sample(self, ink: Ink, x: float, y: float) -> None:
        """Draw the slanted strokes for the legend."""
        _slanted(ink, x, y - 1.9, 4.0, 1.9)

    def clip(self, ink: Ink, y: float, clip: Clip) -> None:
        """Draw one clip: what it needs, what is asked for, what is left."""
        top, scale = y + BAR_TOP, self.scale
        if clip.kind is LineKind.PICTURE:
            end = self.x + min(float(clip.need) * scale, LONGEST_BAR_MM)
            _slanted(ink, self.x, top, end - self.x)
        else:
            head, tail = float(clip.head), float(clip.tail)
            end = self._speech(ink, top, head, float(clip.speech), tail, clip.ask is None, kept=kept_handles(clip))
            if clip.high > clip.speech and clip.ask is not None:
                end = self._longest(ink, top, end, float(clip.head + clip.high + clip.tail))
        if clip.ask is not None:
            edge = self.x + min(float(clip.ask) * scale, LONGEST_BAR_MM)
            ink.box(self.x, top - 0.6, edge - self.x, BAR + 1.2, 0.9)
            inside = edge - end > 6
            ink.text(
                end + 1.2 if inside else max(edge, end) + 1.2,
                top + 2.6,
                tenths(clip.ask - tenth(clip.need)),
                BOLD,
                7.5,
            )
            end = max(end, edge + (0 if inside else 5))
        self._menu(ink, y, top, end)

    def split(self, ink: Ink, y: float, head: float, speech: float, tail: float, stops: list[float]) -> None:
        """Draw a line that no generation holds, cut at ``stops`` (seconds from its first sound)."""
        top = y + BAR_TOP
        end = self._speech(ink, top, head, speech, tail, True, stops)
        self._menu(ink, y, top, end + 5)

    def _speech(
        self, ink: Ink, top: float, head: float, speech: float, tail: float, is_too_long: bool,
        stops: Sequence[float] = (), kept: tuple[float, float] | None = None,
    ) -> float:  # fmt: skip
        scale, x = self.scale, self.x + head * self.scale
        full = speech * scale
        drawn = min(full, LONGEST_BAR_MM - (4.5 if is_too_long else 0) - (head + tail) * scale)
        shown_head, shown_tail = kept or (head, tail)
        _handle(ink, top, self.x, x - shown_head * scale, x)
        at = 0.0
        for stop in (*(s * scale * drawn / full for s in stops), drawn):
            is_cut = stop != drawn
            ink.fill(x + at, top, max(0.0, stop - at - (0.45 if is_cut else 0)), BAR)
            if is_cut:
                ink.line(x + stop, top - 1.2, x + stop, top, 0.5)
                ink.line(x + stop, top + BAR, x + stop, top + BAR + 1.2, 0.5)
            at = stop + 0.45
        if drawn < full:
            ink.text(x + drawn - 1, top + 2.5, "…", BOLD, 9, "right", gray=1.0)
        end = x + drawn + tail * scale
        _handle(ink, top, end, x + drawn + shown_tail * scale, x + drawn)
        if is_too_long:
            caution_square(ink, end + 1, top + 3.3)
        return end

    def _longest(self, ink: Ink, top: float, end: float, seconds: float) -> float:
        """Draw the line to the longest estimate; return where it stops."""
        stop = min(self.x + seconds * self.scale, self.x + LONGEST_BAR_MM)
        if stop < end + 0.7:
            return end
        ink.line(end, top + 1.6, stop, top + 1.6, 0.9)
        ink.line(stop, top + 0.6, stop, top + 2.6, 0.9)
        return stop

    def _menu(self, ink: Ink, y: float, top: float, taken: float) -> None:
        """Draw the dotted uprights of the menu's lengths, around the bar and what is written beside it."""
        for length in self.menu:
            x = self.x + length * self.scale
            weight = 0.8 if length == self.menu[-1] else 0.3
            if x > taken + 0.3:
                ink.line(x, y + 0.4, x, top + BAR + 0.6, weight, BEAT)
            else:
                ink.line(x, y + 0.4, x, top - 0.6, weight, BEAT)


def kept_handles(clip: Clip) -> tuple[float, float]:
    """Return the seconds of head and tail that are on screen: a close neighbour takes the place of the rest."""
    head = min(clip.head, max(clip.speech_start - clip.start, Fraction(0)))
    tail = min(clip.tail, max(clip.end - clip.speech_end, Fraction(0)))
    return float(head), float(tail)


def _handle(ink: Ink, top: float, outer: float, edge: float, inner: float) -> None:
    """Draw a handle from ``inner``, at the speech, to ``outer``: solid up to ``edge``, hollow beyond it."""
    y = top + (BAR - HANDLE_BAR) / 2
    ink.fill(min(edge, inner), y, abs(edge - inner), HANDLE_BAR)
    if abs(outer - edge) > LEAST_HOLLOW_MM:
        ink.box(min(outer, edge), y + 0.1, abs(outer - edge), HANDLE_BAR - 0.2, 0.35)
    else:
        ink.fill(min(outer, edge), y, abs(outer - edge), HANDLE_BAR)


def _slanted(ink: Ink, x: float, top: float, width: float, height: float = BAR) -> None:
    """Fill a bar with slanted strokes."""
    ink.box(x, top, width, height, 0.4)
    at = 0.0
    while at < width:
        run = min(height, width - at)
        ink.line(x + at, top + height, x + at + run, top + height - run, 0.4)
        at += 1.5
