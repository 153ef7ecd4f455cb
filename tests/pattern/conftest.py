"""Small drawings for the tests of reading."""

from collections.abc import Callable
from pathlib import Path

import pytest

from render.errors import PatternError
from render.pattern.model import Pattern
from render.pattern.read import read_pattern

SHEET = 'width="60mm" height="60mm" viewBox="0 0 60 60"'


@pytest.fixture
def grid() -> str:
    """Nine holes, 4 mm apart, from 10, 10 to 18, 18."""
    spots = [(x, y) for y in (10, 14, 18) for x in (10, 14, 18)]
    return "".join(f'<circle cx="{x}" cy="{y}" r="0.3"/>' for x, y in spots)


@pytest.fixture
def read_drawing(tmp_path: Path) -> Callable[..., Pattern]:
    """Read a drawing from what stands inside its root."""

    def read(body: str, root: str = SHEET, **options: object) -> Pattern:
        path = tmp_path / "p.svg"
        path.write_text(
            f'<svg xmlns="http://www.w3.org/2000/svg" '
            f'xmlns:xlink="http://www.w3.org/1999/xlink" {root}>\n{body}</svg>',
            "utf-8",
        )
        return read_pattern(path, **options)

    return read


@pytest.fixture
def faults_of(read_drawing: Callable[..., Pattern]) -> Callable[..., list[str]]:
    """Return the faults of a drawing as a person reads them."""

    def faults(*drawing: str, **options: object) -> list[str]:
        with pytest.raises(PatternError) as caught:
            read_drawing(*drawing, **options)
        return [str(fault) for fault in caught.value.faults]

    return faults


@pytest.fixture
def remarks_of(read_drawing: Callable[..., Pattern]) -> Callable[..., list[str]]:
    """Return the remarks on a drawing as a person reads them."""

    def remarks(*drawing: str, **options: object) -> list[str]:
        return [str(remark) for remark in read_drawing(*drawing, **options).remarks]

    return remarks


@pytest.fixture
def read_bytes(tmp_path: Path) -> Callable[..., Pattern]:
    """Read a file of any kind."""

    def read(data: bytes, name: str = "p.svg") -> Pattern:
        path = tmp_path / name
        path.write_bytes(data)
        return read_pattern(path)

    return read


@pytest.fixture
def fault_of_file(read_bytes: Callable[..., Pattern]) -> Callable[..., str]:
    """Return the one error message of a file."""

    def fault(data: bytes, name: str = "p.svg") -> str:
        with pytest.raises(PatternError) as caught:
            read_bytes(data, name)
        return str(caught.value)

    return fault
