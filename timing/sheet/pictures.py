"""Pages as pictures, for people who send them in a chat. Needs pypdfium2 (the extra ``png``)."""

from __future__ import annotations

import struct
import zlib

from timing.plain.errors import TimingError


def page_images(pdf: bytes, dpi: float = 150) -> list[bytes]:
    """Return each page of ``pdf`` as a grey PNG of ``dpi`` pixels an inch.

    Raises TimingError when pypdfium2 is not installed.
    """
    try:
        import pypdfium2
    except ImportError:
        raise TimingError(
            "pictures of pages need the library pypdfium2; install it beside this tool: pip install pypdfium2"
        ) from None
    document = pypdfium2.PdfDocument(pdf)
    try:
        images = []
        for page in document:
            bitmap = page.render(scale=dpi / 72, grayscale=True)
            images.append(_png(bitmap.width, bitmap.height, bitmap.stride, bytes(bitmap.buffer), dpi))
            bitmap.close()
            page.close()
        return images
    finally:
        document.close()


def _png(width: int, height: int, stride: int, gray: bytes, dpi: float) -> bytes:
    """Return a PNG (W3C, Portable Network Graphics, 3rd ed.: 8-bit greyscale, filter "up" on every row)."""
    rows = bytearray()
    above = bytes(width)
    for y in range(height):
        row = gray[y * stride : y * stride + width]
        if row == above:
            rows += b"\x02" + bytes(width)
        else:
            rows += b"\x00" + row
        above = row
    per_metre = round(dpi / 0.0254)

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
        + chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1))
        + chunk(b"IDAT", zlib.compress(bytes(rows), 6))
        + chunk(b"IEND", b"")
    )
