"""Turn a page of a PDF into pixels, where the optional reader is installed."""

import numpy as np

from render.errors import PatternError, Remark
from render.scan.model import Pixels

try:
    import pypdfium2
except ImportError:  # the extra "pdf" was not asked for
    pypdfium2 = None

DPI = 300
POINTS_PER_INCH = 72
LARGEST_SIDE_MM = 1500


def is_pdf(content: bytes) -> bool:
    """Tell whether a file is a PDF, which may have some bytes before its mark."""
    return b"%PDF-" in content[:1024]


def render_page(content: bytes, source: str, page: int | None) -> tuple[Pixels, float]:
    """Draw one page at 300 dpi.

    Parameters
    ----------
    page
        From 1; may be None where there is only one.

    Returns
    -------
    (H, W, 3) sRGB, and pixels for a millimetre.

    Raises
    ------
    PatternError
        Where the reader of PDF is not installed, the file is damaged or locked, or has no such
        page, or a page too large.
    """
    if pypdfium2 is None:
        raise _fault(source, 'reading PDF needs one more package: pip install "laceproof[pdf]"')
    try:
        document = pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError as error:
        raise _fault(source, f"the PDF is locked, damaged or cut short ({error})") from error
    try:
        count = len(document)
        if page is None and count > 1:
            raise _fault(source, f"the PDF holds {count} pages; say which one with --page")
        if not 1 <= (page or 1) <= count:
            raise _fault(source, f"the PDF has no page {page or 1}; it holds {count}")
        sheet = document[(page or 1) - 1]
        side_mm = max(sheet.get_size()) / POINTS_PER_INCH * 25.4
        if side_mm > LARGEST_SIDE_MM:
            raise _fault(
                source, f"the page is {side_mm:.0f} mm long; {LARGEST_SIDE_MM} is the most"
            )
        bitmap = sheet.render(scale=DPI / POINTS_PER_INCH, rev_byteorder=True)
        pixels = np.array(bitmap.to_numpy()[..., :3])
    except pypdfium2.PdfiumError as error:
        raise _fault(source, f"the page cannot be drawn ({error})") from error
    finally:
        document.close()
    return pixels, DPI / 25.4


def _fault(source: str, message: str) -> PatternError:
    """Return an error about the file as a whole."""
    return PatternError(source, (Remark(message),))
