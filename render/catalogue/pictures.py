"""Draw the pictures of a catalogue and pack them as files."""

from dataclasses import replace
from importlib.metadata import version
from io import BytesIO

from PIL import ExifTags, Image
from PIL.PngImagePlugin import PngInfo

from render.catalogue.window import Window, telling_window
from render.files import SOFTWARE
from render.image.draw import picture
from render.image.scene import MM_PER_INCH, Scene
from render.pipeline import Worked, stage_scene
from render.wishes import Wishes

WHOLE_PIXELS, WHOLE_DPI = 2000, 400.0
_WEBP_QUALITY = 86


def draw_telling(worked: Worked, wishes: Wishes, pixels: int) -> Image.Image:
    """Draw the square part that shows most of what a piece is made of."""
    return _draw(stage_scene(worked, wishes), telling_window(worked), pixels)


def draw_whole(
    worked: Worked, wishes: Wishes, pixels: int = WHOLE_PIXELS, finest_dpi: float = WHOLE_DPI
) -> Image.Image:
    """Draw a whole piece so that its longer side has a number of pixels, or fewer if small."""
    scene = stage_scene(worked, wishes)
    return _draw(scene, scene.window_mm, pixels, finest_dpi)


def packed(image: Image.Image, kind: str) -> bytes:
    """Return an image as the bytes of a ``webp`` or ``png`` file that says who made it."""
    file = BytesIO()
    maker = f"{SOFTWARE} {version(SOFTWARE)}"
    if kind == "webp":
        exif = Image.Exif()
        exif[ExifTags.Base.Software] = maker
        image.save(file, "WEBP", quality=_WEBP_QUALITY, method=4, exif=exif)
    else:
        notes = PngInfo()
        notes.add_text("Software", maker)
        image.save(file, "PNG", pnginfo=notes)
    return file.getvalue()


def _draw(
    scene: Scene, window: Window, pixels: int, finest_dpi: float = float("inf")
) -> Image.Image:
    left, top, right, bottom = window
    dpi = min(pixels * MM_PER_INCH / max(right - left, bottom - top), finest_dpi)
    return Image.fromarray(picture(replace(scene, window_mm=window, dpi=dpi), processes=1))
