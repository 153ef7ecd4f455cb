"""Turn a table of holes into marks."""

import csv
import io
import math
import re

from render.errors import PatternError, Remark, SettingError, did_you_mean
from render.pattern.findings import Findings
from render.pattern.heading import Heading, read_heading
from render.pattern.marks import FARTHEST_MM, Marks
from render.pattern.words import ROOT_WORDS, check_stitch

COLUMNS = ("x_mm", "y_mm", "stitch", "area")
HEADING_LINE = re.compile(r"#\s*([\w-]+)\s*:\s*(.*)")
HEADING_NAMES = {name.replace("-", "_"): name for name in ROOT_WORDS}


def read_table(data: bytes, findings: Findings) -> tuple[Marks, Heading]:
    """Read a table.

    Parameters
    ----------
    data
        The file: ``# key: value`` lines, a line of column names, a line for each hole.
    findings
        Takes faults and remarks.

    Raises
    ------
    PatternError
        Where it is no such table; faults of its lines go to `findings`.
    """
    try:
        lines = data.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError as error:
        message = f"the file is not UTF-8 text (byte {error.start}); save it as UTF-8"
        raise PatternError(findings.source, (Remark(message),)) from None
    first = next(
        (n for n, line in enumerate(lines) if line.strip() and not line.startswith("#")), len(lines)
    )
    heading = _heading(lines[:first], findings)
    columns = _columns(lines[first] if first < len(lines) else "", findings)
    marks = Marks()
    body = csv.reader(io.StringIO("\n".join(lines[first + 1 :])), strict=True)
    try:
        for row in body:
            number = first + 1 + body.line_num
            if any(cell.strip() for cell in row) and not row[0].startswith("#"):
                _hole(row, columns, number, marks, findings)
    except csv.Error as error:
        place = findings.place(f"line {first + 1 + body.line_num}")
        findings.fault(f"it cannot be read as a line of a table ({error})", place)
    return marks, heading


def _heading(lines: list[str], findings: Findings) -> Heading:
    """Read the lines above the column names."""
    words: dict[str, str] = {}
    for line in lines:
        match = HEADING_LINE.fullmatch(line.strip())
        if match is None:
            continue
        name = match[1].replace("-", "_")
        if name in HEADING_NAMES:
            words[HEADING_NAMES[name]] = match[2]
        elif "did you mean" in (hint := did_you_mean(name, HEADING_NAMES)):
            findings.fault(f'unknown key "{match[1]}"; {hint}')
    return read_heading(words, findings)


def _columns(line: str, findings: Findings) -> dict[str, int]:
    """Return at which place each column stands."""
    if ";" in line or "\t" in line:
        message = (
            "its columns are not parted by commas; save it with commas, and with points in its "
            "numbers"
        )
        raise PatternError(findings.source, (Remark(message),))
    names = [name.strip().strip('"').lower() for name in line.split(",")]
    if not {"x_mm", "y_mm"} & set(names):
        message = (
            "the file is neither a drawing nor a table of holes; "
            'a table begins with the column names "x_mm,y_mm"'
        )
        raise PatternError(findings.source, (Remark(message),))
    faults = [
        Remark(f'unknown column "{name}"; {did_you_mean(name, COLUMNS)}')
        for name in names
        if name not in COLUMNS
    ]
    faults += [Remark(f'there is no column "{name}"') for name in COLUMNS[:2] if name not in names]
    faults += [
        Remark(f'the column "{name}" stands there twice')
        for name in COLUMNS
        if names.count(name) > 1
    ]
    if faults:
        raise PatternError(findings.source, tuple(faults))
    return {name: names.index(name) for name in COLUMNS if name in names}


def _hole(
    row: list[str], columns: dict[str, int], number: int, marks: Marks, findings: Findings
) -> None:
    """Take a line of the table."""
    try:
        if len(row) != len(columns):
            raise SettingError(f"it has {len(row)} columns; there must be {len(columns)}")
        cells = {name: row[column].strip() for name, column in columns.items()}
        x, y = (_coordinate(name, cells[name]) for name in COLUMNS[:2])
        stitch = cells.get("stitch") or None
        if stitch is not None:
            check_stitch(stitch)
    except SettingError as error:
        findings.fault(str(error), findings.place(f"line {number}"))
        return
    marks.add_hole(x, y, stitch, (cells.get("area") or None) if stitch else None)


def _coordinate(name: str, text: str) -> float:
    """Read a position in mm."""
    try:
        value = float(text)
    except ValueError:
        raise SettingError(f'its {name} "{text}" is not a number') from None
    if not (math.isfinite(value) and abs(value) <= FARTHEST_MM):
        raise SettingError(
            f'its {name} "{text}" is out of range; it must be within {FARTHEST_MM:g} mm'
        )
    return value
