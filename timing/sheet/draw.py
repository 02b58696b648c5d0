"""Pages to PDF: copies what the layout settled; decides nothing.

Texts are written in the order in which they are read, row by row, so that whoever copies a row gets that row.

What the PDF library does by itself and is turned off here: an unembedded Helvetica in every file (the canvas begins
with the sheets' own font), ASCII-85 text around compressed pages, the date of writing. A form must be made before
the first link of its page.
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from timing.sheet.fonts import REGULAR, Typeface
from timing.sheet.ink import Ink, Page, Region, as_read

POINTS_PER_MM = 72 / 25.4
LEVEL = 4  # of compression


@dataclass(frozen=True)
class About:
    """The document's metadata."""

    title: str
    subject: str
    creator: str
    language: str


@lru_cache(maxsize=1 << 16)  # most of them are places of rows and columns, which come again on every page
def _number(value: float) -> str:
    """Return a coordinate in points, at most two decimals, as short as it can be written."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


@lru_cache(maxsize=1 << 16)
def _at(x: float, y: float, height: float) -> str:
    """Return the operator that sets where a text begins, from millimetres of the page."""
    return f"1 0 0 1 {_number(x * POINTS_PER_MM)} {_number((height - y) * POINTS_PER_MM)} Tm"


class _Deflate:
    """The filter of compressed streams, at a level that takes less than half the time for 4 % more bytes."""

    pdfname = "FlateDecode"

    def encode(self, text: str | bytes) -> bytes:
        return zlib.compress(text.encode() if isinstance(text, str) else text, LEVEL)


@contextmanager
def _own_streams() -> Iterator[None]:
    """Switch off the text encoding around compressed streams, and to our filter; both belong to the whole process."""
    from reportlab import rl_config
    from reportlab.pdfbase import pdfdoc

    before, rl_config.useA85 = rl_config.useA85, 0
    theirs, pdfdoc.PDFZCompress = pdfdoc.PDFZCompress, _Deflate()
    try:
        yield
    finally:
        rl_config.useA85, pdfdoc.PDFZCompress = before, theirs


def _packet(about: About) -> Any:
    """Return the document's XMP packet (ISO 16684-1), without dates: the same input, the same bytes."""
    from xml.sax.saxutils import escape

    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream

    title, subject, language, creator = map(escape, (about.title, about.subject, about.language, about.creator))
    text = f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{subject}</rdf:li></rdf:Alt></dc:description>
<dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>
<xmp:CreatorTool>{creator}</xmp:CreatorTool>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""
    return PDFStream(PDFDictionary({"Type": PDFName("Metadata"), "Subtype": PDFName("XML")}), text.encode())


class Writer:
    """Writes pages one after another; only their content streams are kept until :meth:`finish`."""

    def __init__(self, face: Typeface, about: About):
        from reportlab.pdfgen.canvas import Canvas

        self._out = io.BytesIO()
        with _own_streams():
            canvas = Canvas(
                self._out, invariant=1, pageCompression=1, initialFontName=REGULAR, pdfVersion=(1, 7),
                lang=about.language,
            )  # fmt: skip
        self.canvas: Any = canvas
        self._face = face
        self._pieces: dict[tuple[str, str, float], list[tuple[str, str]]] = {}  # by text, style and size
        canvas.setTitle(about.title)
        canvas.setSubject(about.subject)
        canvas.setCreator(about.creator)
        canvas.setAuthor("")
        canvas.setViewerPreference("PrintScaling", "None")
        canvas.setViewerPreference("DisplayDocTitle", "true")
        canvas._doc.Catalog.Metadata = _packet(about)
        self._pages = 0

    def add(self, page: Page) -> None:
        canvas = self.canvas
        canvas.setPageSize((page.width * POINTS_PER_MM, page.height * POINTS_PER_MM))
        for level, title, key in page.outline:
            canvas.addOutlineEntry(title, key, level=level, closed=1)
        for name, ink in page.forms:
            if not canvas.hasForm(name):
                canvas.beginForm(name)
                self._write(ink, page.height)
                canvas.endForm()
        for key in (page.key, *page.extra_keys):
            canvas.bookmarkPage(key)
        for name, _ in page.forms:
            canvas.doForm(name)
        self._write(page.ink, page.height, page.regions)
        for link in page.ink.links:
            box = (link.x0, page.height - link.y1, link.x1, page.height - link.y0)
            canvas.linkRect("", link.target, tuple(v * POINTS_PER_MM for v in box), relative=0, thickness=0)
        if page.label:
            canvas.addPageLabel(self._pages, prefix=page.label)
        self._pages += 1
        canvas.showPage()

    def finish(self) -> bytes:
        self.canvas.showOutline()
        with _own_streams():
            self.canvas.save()
        return self._out.getvalue()

    def _write(self, ink: Ink, height: float, regions: Sequence[Region] = ()) -> None:
        """Write a page's marks grouped: grey fills, lines by pen, black fills, text as it is read."""
        k, n = POINTS_PER_MM, _number
        code: list[str] = []
        for gray in sorted(ink.fills, reverse=True):
            if gray > 0:
                code.append(self._fills(ink, gray, height))
        for pen in sorted(ink.lines):
            dash = " ".join(map(str, pen.dash))
            code.append(f"{n(pen.weight)} w [{dash}] 0 d")
            code += [
                f"{n(x0 * k)} {n((height - y0) * k)} m {n(x1 * k)} {n((height - y1) * k)} l"
                for x0, y0, x1, y1 in ink.lines[pen]
            ]
            code.append("S")
        if 0.0 in ink.fills:
            code.append(self._fills(ink, 0.0, height))
        code.append(self._texts(ink, height, regions))
        self.canvas.addLiteral("\n".join(code))

    def _fills(self, ink: Ink, gray: float, height: float) -> str:
        k, n = POINTS_PER_MM, _number
        parts = [f"{n(gray)} g"]
        for points in ink.fills[gray]:
            if gray == 0:
                path = [f"{n(x * k)} {n((height - y) * k)}" for x, y in points]
            else:  # to a tenth of a point is enough for the outlines of grey shapes
                path = [f"{x * k:.1f} {(height - y) * k:.1f}" for x, y in points]
            parts.append(f"{path[0]} m {' l '.join(path[1:])} l h")
        parts.append("f 0 g")
        return "\n".join(parts)

    def _texts(self, ink: Ink, height: float, regions: Sequence[Region]) -> str:
        k, n = POINTS_PER_MM, _number
        code = ["BT"]
        set_in, gray = "", 0.0
        for x, y, text, kind in as_read(ink, regions):
            if kind.gray != gray:
                gray = kind.gray
                code.append(f"{n(gray)} g")
            code.append(_at(x, y, height))
            for wanted, shown in self._shown(text, kind.style, kind.size):
                if wanted != set_in:
                    code.append(wanted)
                    set_in = wanted
                code.append(shown)
        code.append("0 g")
        for item in ink.turned:
            code.append(f"0 1 -1 0 {n(item.x * k)} {n((height - item.y) * k)} Tm")
            for wanted, shown in self._shown(item.text, item.style, item.size):
                if wanted != set_in:
                    code.append(wanted)
                    set_in = wanted
                code.append(shown)
        code.append("ET")
        return "\n".join(code)

    def _shown(self, text: str, style: str, size: float) -> list[tuple[str, str]]:
        """Return the operators that show a text: for each piece, the font to be set and what is shown in it.

        The font splits a text into its own sets of at most 256 glyphs.
        """
        if (pieces := self._pieces.get((text, style, size))) is None:
            font, document, escape = self._face.cuts[style], self.canvas._doc, self.canvas._escape
            pieces = self._pieces[text, style, size] = [
                (f"{font.getSubsetInternalName(subset, document)} {_number(size)} Tf", f"({escape(piece)}) Tj")
                for subset, piece in font.splitString(text, document)
            ]
        return pieces
