"""Draw one pattern small, as a file of its own."""

from pathlib import Path

from render.catalogue.pictures import draw_telling, draw_whole, packed
from render.errors import OutputError
from render.files import refuse_to_replace, whole_file
from render.pipeline import Wishes, work

KINDS = {".webp": "webp", ".png": "png"}


def write_thumbnail(
    path: Path, target: Path, wishes: Wishes, *, pixels: int = 400, whole: bool = False
) -> tuple[int, int]:
    """Work a pattern and write a small picture of it.

    Parameters
    ----------
    path
        A marked pricking.
    target
        A WebP or a PNG. An older picture of our own is replaced, nothing else is.
    wishes
        How it is worked and shown; the resolution follows from `pixels`.
    pixels
        Of the longer side.
    whole
        Whether all of the piece is shown, or the square that shows most of what it is made of.

    Returns
    -------
    Width and height in pixels.

    Raises
    ------
    LaceError
        Where the pattern, a wish or the target is at fault; nothing is written then.
    """
    kind = KINDS.get(target.suffix.lower())
    if kind is None:
        raise OutputError(f"{target} cannot be written: its name must end in .webp or .png")
    refuse_to_replace(target, path)
    worked = work(path, wishes)
    draw = draw_whole if whole else draw_telling
    image = draw(worked, wishes, pixels)
    data = packed(image, kind)
    with whole_file(target) as file:
        file.write(data)
    return image.size
