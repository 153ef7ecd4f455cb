"""Draw one pattern small, as a file of its own."""

from dataclasses import dataclass
from pathlib import Path

from render.catalogue.pictures import draw_telling, draw_whole, packed
from render.errors import OutputError, Remark
from render.files import refuse_to_replace, whole_file
from render.pipeline import work
from render.wishes import Wishes

KINDS = {".webp": "webp", ".png": "png"}


@dataclass(frozen=True)
class Thumbnail:
    """A small picture that was written.

    Attributes
    ----------
    width, height
        In pixels.
    remarks
        What is to be known of the piece it shows.
    """

    width: int
    height: int
    remarks: tuple[Remark, ...]


def write_thumbnail(
    path: Path, target: Path, wishes: Wishes, *, pixels: int = 400, whole: bool = False
) -> Thumbnail:
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
    return Thumbnail(*image.size, worked.remarks)
