"""Turn a pattern file into a Pattern."""

from pathlib import Path

from render.errors import PatternError, Remark
from render.pattern.check import check_marks
from render.pattern.document import LARGEST_BYTES
from render.pattern.findings import Findings
from render.pattern.key import ColourKey
from render.pattern.marks import merge_double_holes
from render.pattern.model import Pattern
from render.pattern.svg import read_svg
from render.pattern.table import read_table
from render.pattern.tags import regions_from_tags

OTHER_KINDS = {
    b"\x89PNG": "a PNG picture",
    b"\xff\xd8\xff": "a JPEG picture",
    b"II*\x00": "a TIFF picture",
    b"MM\x00*": "a TIFF picture",
    b"%PDF": "a PDF document",
    b"\x1f\x8b": "a compressed drawing, save it as plain SVG",
    b"PK\x03\x04": "an archive or office document",
}


def read_pattern(
    path: Path | str,
    *,
    key: ColourKey | None = None,
    scale_mm_per_unit: float | None = None,
) -> Pattern:
    """Read a pattern, drawn as SVG or listed as CSV.

    Parameters
    ----------
    path
        The file; what it holds decides how it is read, not its ending.
    key
        Which colour stands for which word; the project's own shades by default.
    scale_mm_per_unit
        Millimetres to a unit of the drawing, in place of what its root says.

    Raises
    ------
    PatternError
        With every fault of the file.
    SettingError
        Where the scale makes no sense.
    """
    path = Path(path)
    findings = Findings(path.name)
    data = _contents(path)
    drawing = _is_drawing(data, path.name)
    expected = {".svg": True, ".csv": False}.get(path.suffix.lower(), drawing)
    if expected != drawing:
        kinds = ("a table", "a drawing")
        findings.remark(
            f"the file is named as {kinds[expected]} but holds {kinds[drawing]}, "
            "and was read as that"
        )
    if drawing:
        marks, heading = read_svg(data, findings, key or ColourKey(), scale_mm_per_unit)
    else:
        marks, heading = read_table(data, findings)
    merge_double_holes(marks, findings)
    check_marks(marks, findings)
    findings.raise_faults()
    marks.regions += regions_from_tags(marks, findings)
    findings.raise_faults()
    return Pattern(
        name=path.stem,
        holes=marks.points,
        hole_stitch=tuple(marks.stitches),
        hole_area=tuple(marks.areas),
        regions=tuple(marks.regions),
        lines=tuple(marks.lines),
        # What a copy of a title says stands in its heading.
        labels=tuple(
            label for label in marks.labels if label.text != " ".join(heading.title.split())
        ),
        title=heading.title,
        maker=heading.maker,
        notes=heading.notes,
        down_degrees=heading.down_degrees,
        ground=heading.ground,
        thread=heading.thread,
        gauge_mm=heading.gauge_mm,
        repeat=heading.repeat,
        leg_twists=heading.leg_twists,
        remarks=tuple(findings.remarks),
    )


def _contents(path: Path) -> bytes:
    """Return the bytes of a file that is neither missing, empty nor monstrous."""
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise PatternError(path.name, (Remark(f"the file cannot be opened: {reason}"),)) from None
    if not data.strip():
        raise PatternError(path.name, (Remark("the file is empty"),))
    if len(data) > LARGEST_BYTES:
        message = (
            f"the file is larger than {LARGEST_BYTES // 1_000_000} MB; leave pictures out of it"
        )
        raise PatternError(path.name, (Remark(message),))
    return data


def _is_drawing(data: bytes, source: str) -> bool:
    """Tell a drawing from a table."""
    for magic, kind in OTHER_KINDS.items():
        if data.startswith(magic):
            message = f"the file is {kind}; a pattern is an SVG drawing or a CSV table"
            raise PatternError(source, (Remark(message),))
    wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    start = data[:200].decode("utf-16" if wide else "utf-8-sig", errors="replace").lstrip()
    if start.startswith("<"):
        return True
    if b"\x00" in data:
        message = "the file is not text; a pattern is an SVG drawing or a CSV table"
        raise PatternError(source, (Remark(message),))
    return False
