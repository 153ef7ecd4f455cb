"""Open a picture of any kind, upright and in sRGB, or say why not."""

import io
import struct
import warnings
import zlib
from dataclasses import replace
from pathlib import Path

import numpy as np
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from render.errors import PatternError, Remark
from render.scan.model import Picture
from render.scan.pdf import is_pdf, render_page

# The usual ending first.
ENDINGS = {
    "PNG": (".png",),
    "JPEG": (".jpg", ".jpeg", ".jpe", ".jfif"),
    "TIFF": (".tif", ".tiff"),
    "WEBP": (".webp",),
}
# A phone's JPEG with a second picture behind the first; the first is the one that was taken.
SAME_AS = {"MPO": "JPEG"}
MOST_PIXELS = 170_000_000  # A4 at 1200 dpi has 139 million
MOST_BYTES = 1 << 30
LEAST_SIDE = 32
# Cameras and paint programs write 72 or 96 for want of anything known.
LEAST_DPI, MOST_DPI = 100, 4800
LEAST_STRETCH = 1.001
# TIFF 6.0, section 8: orientations whose first stored row is a column of what is seen.
ORIENTATION, LYING = 0x112, (5, 6, 7, 8)
EXPOSURE_TIME, FOCAL_LENGTH, EXIF_BLOCK = 0x829A, 0x920A, 0x8769
# What Pillow raises on files that are cut short or made up.
BROKEN = (OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, TypeError,
          OverflowError, MemoryError, struct.error, zlib.error)  # fmt: skip


def open_picture(path: Path, page: int | None = None) -> Picture:
    """Read a picture file.

    Parameters
    ----------
    path
        PNG, JPEG, TIFF, WebP, or PDF where the optional reader of PDF is installed.
    page
        Which page of a PDF or TIFF file, from 1; may be None where there is only one.

    Returns
    -------
    The picture as a viewer shows it: turned as its EXIF tag says, laid on white where it is
    transparent, its colours in sRGB, `per_mm` from the file's dpi where that can be trusted.

    Raises
    ------
    PatternError
        Where the file is no such picture, is broken, too large, animated, or named for another
        kind than it is.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _fault(path, f"is larger than {MOST_BYTES >> 20} MB; scan it at 300 or 600 dpi")
        content = path.read_bytes()
    except OSError as error:
        raise _fault(path, f"cannot be read: {error.strerror}") from error
    if not content:
        raise _fault(path, "is empty; scan or save it again")
    if is_pdf(content):
        _check_ending(path, "PDF", (".pdf",))
        pixels, per_mm = render_page(content, path.name, page, MOST_PIXELS)
        return Picture(path.name, pixels, per_mm)
    return _open_raster(path, content, page)


def _open_raster(path: Path, content: bytes, page: int | None) -> Picture:
    """Read any kind but PDF."""
    with warnings.catch_warnings():
        # Pillow warns of a bomb at half of what it refuses; the limit here is our own. Other
        # warnings are about tags that do not matter for the pixels.
        warnings.simplefilter("ignore")
        try:
            image = Image.open(io.BytesIO(content), formats=tuple(ENDINGS))
        except Image.DecompressionBombError as error:
            raise _too_large(path) from error
        except UnidentifiedImageError as error:
            message = "is not a picture that can be read; save it as PNG, JPEG, TIFF, WebP or PDF"
            raise _fault(path, message) from error
        except BROKEN as error:
            raise _broken(path, error) from error
        kind = SAME_AS.get(image.format or "", image.format or "")
        _check_ending(path, kind, ENDINGS[kind])
        _check_size(path, image.size)
        try:
            _choose_page(path, image, page)
            _check_size(path, image.size)
            # Before the pixels are loaded, as TIFF files are then turned and their tag is dropped.
            lying = image.getexif().get(ORIENTATION, 1) in LYING
            image.load()
            dpi, doubt = _dpi_of(image)
            if dpi is not None and lying:
                dpi = dpi[1], dpi[0]
            flat, remarks = _to_srgb(ImageOps.exif_transpose(image))
        except BROKEN as error:
            raise _broken(path, error) from error
    if dpi is None:
        return Picture(path.name, np.asarray(flat), None, doubt, remarks=remarks)
    stretch = max(dpi) / dpi[0], max(dpi) / dpi[1]
    pixels = np.asarray(_stretched(flat, stretch))
    return Picture(path.name, pixels, max(dpi) / 25.4, doubt, stretch, remarks)


def _choose_page(path: Path, image: Image.Image, page: int | None) -> None:
    """Go to the page that is asked for; refuse moving pictures."""
    frames = getattr(image, "n_frames", 1)
    if image.format == "TIFF":
        if frames > 1 and page is None:
            raise _fault(path, f"holds {frames} pages; say which one with --page")
        if page is not None and not 1 <= page <= frames:
            raise _fault(path, f"has no page {page}; it holds {frames}")
        image.seek((page or 1) - 1)
    elif page not in (None, 1):
        raise _fault(path, f"has no page {page}; it is a single picture")
    elif frames > 1 and image.format != "MPO":
        raise _fault(path, f"is a moving picture of {frames} frames; save one of them as a PNG")


def _to_srgb(image: Image.Image) -> tuple[Image.Image, tuple[Remark, ...]]:
    """Lay a picture on white paper and turn its colours into 8-bit sRGB."""
    profile = image.info.get("icc_profile")
    if image.mode.startswith(("I", "F")):
        image = _to_eight_bits(image)
    if image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info:
        rgba = image.convert("RGBA")
        white = Image.new("RGBA", rgba.size, "white")
        image = Image.alpha_composite(white, rgba).convert("RGB")
    remarks: tuple[Remark, ...] = ()
    if profile and image.mode in ("RGB", "CMYK", "L", "LAB"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            target = ImageCms.createProfile("sRGB")
            turned = ImageCms.profileToProfile(image, source, target, outputMode="RGB")
            image = turned or image
        except (ImageCms.PyCMSError, *BROKEN):
            message = "the picture's colour profile cannot be used; its colours are taken as sRGB"
            remarks = (Remark(message, kind="note"),)
    return image if image.mode == "RGB" else image.convert("RGB"), remarks


def _to_eight_bits(image: Image.Image) -> Image.Image:
    """Bring 16-bit, 32-bit and floating point greys to 0..255."""
    values = np.asarray(image, np.float64)
    values = np.nan_to_num(values, nan=0.0, posinf=0.0, neginf=0.0)
    top = 65535.0 if image.mode.startswith("I;16") else max(float(values.max(initial=0)), 1e-9)
    if image.mode == "I" and top > 255:
        top = max(top, 65535.0)
    return Image.fromarray(np.clip(values / top * 255, 0, 255).round().astype(np.uint8))


def _dpi_of(image: Image.Image) -> tuple[tuple[float, float] | None, str | None]:
    """Return the file's dpi along x and y as stored, or None and why not."""
    block = image.getexif().get_ifd(EXIF_BLOCK)
    if EXPOSURE_TIME in block or FOCAL_LENGTH in block:
        return None, "it was taken with a camera, which cannot know how large the sheet is"
    found = image.info.get("dpi")
    if found is None:
        return None, "the file does not say its dpi"
    across, down = float(found[0]), float(found[1])
    if not (min(across, down) >= LEAST_DPI - 0.5 and max(across, down) <= MOST_DPI):
        return None, (
            f"the file says {across:.0f} × {down:.0f} dpi, which is what programs write "
            "when they do not know"
        )
    return (across, down), None


def _stretched(image: Image.Image, stretch: tuple[float, float]) -> Image.Image:
    """Make the pixels of a picture square whose rows and columns are scanned at unlike steps."""
    if max(stretch) < LEAST_STRETCH:
        return image
    size = [round(n * factor) for n, factor in zip(image.size, stretch, strict=True)]
    return image.resize((size[0], size[1]), Image.Resampling.BICUBIC)


def rescaled(picture: Picture, factor: float) -> Picture:
    """Return the picture with `factor` pixels for one along each side."""
    if factor == 1:
        return picture
    image = Image.fromarray(picture.pixels)
    height, width = picture.pixels.shape[:2]
    if factor < 1 and abs(1 / factor - round(1 / factor)) < 1e-9:
        image = image.reduce(round(1 / factor))
    else:
        size = round(width * factor), round(height * factor)
        image = image.resize(size, Image.Resampling.BICUBIC)
    per_mm = None if picture.per_mm is None else picture.per_mm * factor
    return replace(picture, pixels=np.asarray(image), per_mm=per_mm)


def _check_ending(path: Path, kind: str, endings: tuple[str, ...]) -> None:
    """Refuse a file that is named for another kind than it is."""
    known = {".pdf", ".svg", ".csv", ".gif", ".bmp"}.union(*ENDINGS.values())
    ending = path.suffix.lower()
    if ending in known and ending not in endings:
        right = endings[0]
        message = (
            f"is named {ending} but holds a {kind} picture; "
            f'rename it to "{path.stem}{right}" if that is what it should be'
        )
        raise _fault(path, message)


def _check_size(path: Path, size: tuple[int, int]) -> None:
    """Refuse what is too large to be a scan, or too small to show a hole."""
    if size[0] * size[1] > MOST_PIXELS:
        raise _too_large(path, size)
    if min(size) < LEAST_SIDE:
        raise _fault(path, f"is only {size[0]} × {size[1]} pixels; a pricking needs more")


def _too_large(path: Path, size: tuple[int, int] | None = None) -> PatternError:
    """Say what would be small enough."""
    found = "too many" if size is None else f"{size[0]} × {size[1]}"
    return _fault(
        path,
        f"has {found} pixels, more than {MOST_PIXELS // 1_000_000} million in all; "
        "scan it at 300 or 600 dpi",
    )


def _broken(path: Path, error: BaseException) -> PatternError:
    """Say that the file is damaged, in Pillow's words."""
    return _fault(path, f"is damaged or cut short ({error}); scan or save it again")


def _fault(path: Path, message: str) -> PatternError:
    """Return an error about the file as a whole."""
    return PatternError(path.name, (Remark(f"the file {message}"),))
