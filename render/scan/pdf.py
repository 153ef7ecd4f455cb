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
SPARE = 0.03  # pixels that a page may be stretched by
LESS = 1e-6  # so that a page of 532 pixels is not taken for 532.0000001 and drawn on 533


def is_pdf(content: bytes) -> bool:
    """Tell whether a file is a PDF, which may have some bytes before its mark."""
    return b"%PDF-" in content[:1024]


def render_page(
    content: bytes, source: str, page: int | None, most_pixels: int
) -> tuple[Pixels, float]:
    """Draw one page at about 300 dpi.

    Parameters
    ----------
    page
        From 1; may be None where there is only one.
    most_pixels
        How many pixels the page may have.

    Returns
    -------
    (H, W, 3) sRGB, and pixels for a millimetre, a little more than 300 dpi.

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
        number = 1 if page is None else page
        if not 1 <= number <= count:
            raise _fault(source, f"the PDF has no page {number}; it holds {count}")
        sheet = document[number - 1]
        width, height = (side / POINTS_PER_INCH for side in sheet.get_size())
        if width * height * DPI**2 > most_pixels:
            raise _fault(
                source,
                f"the page is {width * 25.4:.0f} × {height * 25.4:.0f} mm, more than can be read "
                f"at {DPI} dpi; save the part with the pricking as a page of its own",
            )
        dpi = _fitting_dpi(width, height)
        bitmap = sheet.render(scale=dpi / POINTS_PER_INCH, rev_byteorder=True)
        pixels = np.array(bitmap.to_numpy()[..., :3])
    except pypdfium2.PdfiumError as error:
        raise _fault(source, f"the page cannot be drawn ({error})") from error
    finally:
        document.close()
    return pixels, dpi / 25.4


def _fitting_dpi(width: float, height: float) -> float:
    """Return the resolution nearest above 300 dpi at which a page has whole pixels.

    A page of 531.2 pixels is drawn on 532 and stretched; the sides, in inches, would then be up
    to a fifth of a per cent off.
    """
    tries = DPI * np.linspace(1, 1.04, 2001)
    sides = np.outer(tries, (width, height))
    spare = (np.ceil(sides * (1 - LESS)) - sides).max(axis=1)
    fitting = spare < SPARE
    best = int(fitting.argmax()) if fitting.any() else int(spare.argmin())
    return float(tries[best]) * (1 - LESS)


def _fault(source: str, message: str) -> PatternError:
    """Return an error about the file as a whole."""
    return PatternError(source, (Remark(message),))
