"""Pages as pictures, for people who send them in a chat. Needs pypdfium2 (the extra ``png``)."""

from __future__ import annotations

import io

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
            file = io.BytesIO()
            bitmap.to_pil().save(file, "PNG", dpi=(dpi, dpi))
            images.append(file.getvalue())
            bitmap.close()
            page.close()
        return images
    finally:
        document.close()
