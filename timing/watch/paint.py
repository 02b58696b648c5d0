"""Marks to pixels with Pillow: copies what the layout settled; decides nothing."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable
from typing import Any

from timing.watch.marks import GROUND, INK, PAPER, Box, Fonts, Mark
from timing.watch.screen import Shape
from timing.watch.strip import SPEED, Strip

_ANCHORS = {"left": "ls", "centre": "ms", "right": "rs"}
TILE_FRAMES, TILES_KEPT = 48, 6


class Painter:
    """Draws frames of one reel; what did not change since the frame before is not drawn again."""

    def __init__(self, shape: Shape, fonts: Fonts, strip: Strip):
        self.shape, self.fonts, self.strip = shape, fonts, strip
        self._still: tuple[tuple[Mark, ...], Any] = ((), None)
        self._tiles: OrderedDict[int, Any] = OrderedDict()
        self._card: Any = None
        self._fitted: tuple[Any, Any] = (None, None)

    def paint(self, still: tuple[Mark, ...], figures: Iterable[Mark], frame: int, picture: Any | None) -> Any:
        """Return the finished frame, an RGB image; ``picture`` is one that :meth:`in_picture` returned, or None."""
        if self._still[1] is None or self._still[0] != still:
            self._still = (still, self._ground(still))
        image = self._still[1].copy()
        if picture is not None:
            image.paste(picture, self.shape.picture[:2])
        self.draw(image, figures)
        self._running(image, frame)
        return image

    def in_picture(self, image: Any | None) -> Any:
        """Return the picture's whole area with ``image`` (RGB) in its middle, or an empty card."""
        from PIL import Image

        area = self.shape.picture
        if image is None:
            if self._card is None:
                self._card = Image.new("RGB", (area.width, area.height), (PAPER,) * 3)
            return self._card
        if image.size == (area.width, area.height):
            return image
        if self._fitted[0] is not image:
            whole = Image.new("RGB", (area.width, area.height), (PAPER,) * 3)
            whole.paste(image, ((area.width - image.width) // 2, (area.height - image.height) // 2))
            self._fitted = (image, whole)
        return self._fitted[1]

    def draw(self, image: Any, marks: Iterable[Mark], dx: float = 0, dy: float = 0) -> None:
        from PIL import ImageDraw

        pen = ImageDraw.Draw(image)
        pen.fontmode = "L"
        for mark in marks:
            colour = (mark.gray,) * 3
            if isinstance(mark, Box):
                x0, y0, x1, y1 = (round(v) for v in (mark.x0 + dx, mark.y0 + dy, mark.x1 + dx, mark.y1 + dy))
                if x1 > x0 and y1 > y0:
                    pen.rectangle((x0, y0, x1 - 1, y1 - 1), fill=colour)
            elif shown := self.fonts.shown(mark.text):
                font = self.fonts.cut(mark.style, mark.size)
                pen.text((round(mark.x + dx), mark.y + dy), shown, colour, font, anchor=_ANCHORS[mark.align])

    def _ground(self, still: Iterable[Mark]) -> Any:
        from PIL import Image

        image = Image.new("RGB", (self.shape.width, self.shape.height), (GROUND,) * 3)
        self.draw(image, still)
        area = self.shape.strip
        self.draw(image, self.strip.heads(), area.x0, area.y0)
        return image

    def _running(self, image: Any, frame: int) -> None:
        """Copy the stretch of the strip that stands in its window, and draw the reading line over it."""
        area, reading = self.shape.strip, self.shape.reading_y
        top = self.strip.y(frame) - reading  # of the window, on the whole strip
        foot = top + area.height
        tile = max(0, round(top * float(self.strip.rate.fps) / SPEED) // TILE_FRAMES - 1)
        while (tile_top := self._tile_top(tile)) < foot and tile * TILE_FRAMES < self.strip.frames:
            y0, y1 = max(top, tile_top), min(foot, self._tile_top(tile + 1))
            if y1 > y0:
                shown = self._tile(tile).crop((0, y0 - tile_top, self.strip.width, y1 - tile_top))
                image.paste(shown, (area.x0, area.y0 + y0 - top))
            tile += 1
        row = max(2, self.strip.y(frame + 1) - self.strip.y(frame))
        y = area.y0 + reading
        lines = (
            Box(area.x0 - 8, y - 2, area.x0 + self.strip.width + 8, y, INK),
            Box(area.x0 - 8, y + row, area.x0 + self.strip.width + 8, y + row + 2, INK),
        )
        self.draw(image, lines)

    def _tile_top(self, tile: int) -> int:
        return self.strip.y(tile * TILE_FRAMES)

    def _tile(self, tile: int) -> Any:
        from PIL import Image

        if tile not in self._tiles:
            top = self._tile_top(tile)
            height = self._tile_top(tile + 1) - top
            image = Image.new("RGB", (self.strip.width, height), (PAPER,) * 3)
            self.draw(image, self.strip.marks(tile * TILE_FRAMES, (tile + 1) * TILE_FRAMES))
            self._tiles[tile] = image
            if len(self._tiles) > TILES_KEPT:
                self._tiles.popitem(last=False)
        return self._tiles[tile]
