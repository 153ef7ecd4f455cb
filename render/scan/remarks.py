"""Say in a maker's words what was found and what is doubtful."""

import numpy as np

from render.errors import PatternError, Remark
from render.scan.holes import IN_LINE, LEAST_HOLES
from render.scan.lattice import spacing_at
from render.scan.model import Dots, Picture, Plane, Polarity, Reading, Settings
from render.scan.pens import Pens

HOLES_NAMED = 12
FEW_IN_LINE = 0.2
LEAST_GREY_MM2 = 5.0
# Measured: of noise, clouds, print and pictures of other things at most 0.1 of the marks stand in
# line, and the spread of their depths and of the logarithm of their sizes is above 0.11 and 0.055.
# Holes set at random, drawn by hand and badly scanned stay below 0.05 in depth.
UNLINED, UNLIKE_DEPTHS, UNLIKE_SIZES = 0.15, 0.08, 0.05


def check_holes(picture: Picture, holes: Dots, light: Plane, polarity: Polarity | None) -> None:
    """Refuse pictures that show no pricking.

    Parameters
    ----------
    polarity
        Where a person said that there are holes, and of which kind, these are not doubted.

    Raises
    ------
    PatternError
        Saying what the picture looks like instead.
    """
    if holes.sure.sum() >= LEAST_HOLES:
        if polarity is None and _of_all_kinds(holes):
            message = (
                f"this does not look like a pricking: {len(holes)} round marks were found, but "
                "they differ in size and depth and stand in no line; check the picture, its scale "
                "(--dpi), or insist with --holes dark or --holes light"
            )
            raise PatternError(picture.source, (Remark(message),))
        return
    grey = picture.pixels[::4, ::4].mean(axis=2)
    if float(np.percentile(grey, 98)) < 30:
        found = "the picture is black all over"
    elif float(np.percentile(light, 99.9) - np.percentile(light, 0.1)) < 0.15:
        found = "the picture is blank"
    else:
        found = f"{len(holes) or 'no'} round marks of one size were found, too few for a pricking"
    message = f"no holes can be read: {found}; check the picture, its scale (--dpi) and --holes"
    raise PatternError(picture.source, (Remark(message),))


def _of_all_kinds(holes: Dots) -> bool:
    """Tell whether marks are as unlike and as scattered as those of any picture."""
    depth, size = holes.contrast[holes.sure], np.log(holes.radius[holes.sure])
    return bool(
        (holes.support > 0).mean() < UNLINED
        and depth.std() > UNLIKE_DEPTHS * np.median(depth)
        and size.std() > UNLIKE_SIZES
    )


def remark_on_scale(picture: Picture, settings: Settings) -> Remark | None:
    """Say whose word is taken for the scale where no person gave it."""
    given = (settings.dpi, settings.between, settings.pitch_mm, settings.paper_mm)
    if picture.per_mm is None or any(way is not None for way in given):
        return None
    return Remark(f"the file's own scale is taken: {picture.per_mm * 25.4:.0f} dpi", kind="note")


def remark_on_turn(turn: float | None, asked: bool) -> Remark:
    """Say how the sheet lay; `turn` in degrees, None where the holes did not tell."""
    if turn is None:
        return Remark(
            "the holes do not tell which way is straight, so nothing was turned; "
            "give --turn if the sheet lies askew"
        )
    if asked:
        return Remark(f"turned by {turn:g}° as asked", kind="note")
    if turn == 0:
        return Remark("the sheet lies straight", kind="note")
    way = "clockwise" if turn > 0 else "anticlockwise"
    return Remark(f"turned {way} by {abs(turn):.2f}° to stand straight", kind="note")


def remarks_on_holes(reading: Reading, polarity: str) -> list[Remark]:
    """Say how many holes there are, how large, and where they are doubtful."""
    holes = reading.holes
    size = 2 * float(np.median(holes.radius)) / reading.per_mm
    spacing = float(np.median(spacing_at(holes.centres))) / reading.per_mm
    remarks = [
        Remark(
            f"{len(holes)} holes, {polarity}, {size:.2f} mm across, {spacing:.2f} mm apart",
            kind="note",
        )
    ]
    doubtful = reading.to_mm(holes.centres[~holes.sure])
    if len(doubtful):
        places = "; ".join(f"{x:.1f}, {y:.1f}" for x, y in doubtful[:HOLES_NAMED])
        more = f" and {len(doubtful) - HOLES_NAMED} more" if len(doubtful) > HOLES_NAMED else ""
        one = len(doubtful) == 1
        remarks.append(
            Remark(
                f"{len(doubtful)} of them {'is' if one else 'are'} doubtful, at {places} mm{more}; "
                f"look at {'it' if one else 'them'} in the review picture"
            )
        )
    if (holes.support >= IN_LINE).mean() < FEW_IN_LINE:
        remarks.append(Remark("few holes stand in line with others; is this a pricking?"))
    return remarks


def remarks_on_colours(found: Pens, free: int, grey_mm2: float) -> list[Remark]:
    """Say what was set right in the colouring, what was not read, and what has no holes."""
    remarks = []
    if grey_mm2 > LEAST_GREY_MM2:
        message = (
            f"{grey_mm2:.0f} mm² are plainly grey and were taken for paper, as a grey pen cannot "
            "be told from shadow or hatching; if it was a pen, take one of another colour"
        )
        remarks.append(Remark(message))
    if found.healed:
        message = f"{found.healed} gaps, specks and slivers of colour were set right"
        remarks.append(Remark(message, kind="note"))
    if found.faint:
        message = (
            f"{found.faint} patches of faint colour were taken for paper; a stronger pen helps"
        )
        remarks.append(Remark(message))
    if free:
        message = f"{free} areas have no holes on their edge and are drawn as they were coloured"
        remarks.append(Remark(message))
    return remarks
