"""Every mark of a printed page as text, read back by PDFium: where each text stands, and what is drawn."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator

import pypdfium2 as pdfium
import pypdfium2.raw as raw

MM = 25.4 / 72


def drawn(data: bytes) -> str:
    """Return a PDF as rows: ``x y size text`` in mm and points from the lower left corner, then each kind of path.

    A path's row says its colour, how thick it is, how many points it has and the sums of their places: any line that
    moves, comes or goes changes one figure.
    """
    document = pdfium.PdfDocument(data)
    rows: list[str] = []
    for number, page in enumerate(document, 1):
        rows.append(f"--- page {number}, {page.get_width() * MM:.1f} x {page.get_height() * MM:.1f}")
        reader = page.get_textpage()
        for found in page.get_objects(max_depth=3):
            if found.type == raw.FPDF_PAGEOBJ_TEXT:
                rows.append(_text(found, reader))
            elif found.type == raw.FPDF_PAGEOBJ_PATH:
                rows.append(_path(found))
    return "\n".join(rows) + "\n"


def _text(found: pdfium.PdfObject, reader: pdfium.PdfTextPage) -> str:
    size = ctypes.c_float()
    raw.FPDFTextObj_GetFontSize(found, size)
    length = raw.FPDFTextObj_GetText(found, reader, None, 0)
    buffer = ctypes.create_string_buffer(length)
    raw.FPDFTextObj_GetText(found, reader, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), length)
    said = buffer.raw.decode("utf-16-le").rstrip("\0")
    place = found.get_matrix()
    turned = f" turned {place.b:g} {place.c:g}" if place.b or place.c else ""
    return f"{place.e * MM:.1f} {place.f * MM:.1f} {size.value:g}{_colour(found)} {said}{turned}"


def _path(found: pdfium.PdfObject) -> str:
    points = list(_points(found))
    width = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(found, width)
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(found, fill, stroke)
    kind = "filled" if fill.value else f"ruled {width.value:.2f}"
    x, y = (sum(p[i] for p in points) * MM for i in (0, 1))
    return f"{kind}{_colour(found)} {len(points)} points, sums {x:.0f} {y:.0f}"


def _points(found: pdfium.PdfObject) -> Iterator[tuple[float, float]]:
    x, y = ctypes.c_float(), ctypes.c_float()
    for at in range(raw.FPDFPath_CountSegments(found)):
        raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(found, at), x, y)
        yield x.value, y.value


def _colour(found: pdfium.PdfObject) -> str:
    shades = [ctypes.c_uint() for _ in range(4)]
    raw.FPDFPageObj_GetFillColor(found, *shades)
    fill = shades[0].value
    raw.FPDFPageObj_GetStrokeColor(found, *shades)
    return f" gray {fill}/{shades[0].value}" if fill or shades[0].value else ""
