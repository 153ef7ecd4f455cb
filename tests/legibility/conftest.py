"""A pattern small enough to work in a moment."""

from pathlib import Path

import pytest

HOLES = [(c * 2, r * 2) for r in range(7) for c in range(5) if (c + r) % 2 == 0]


@pytest.fixture
def net(tmp_path) -> Path:
    """Return the file of a small plain ground."""
    path = tmp_path / "net.svg"
    dots = "".join(f'<circle cx="{x}" cy="{y}" r="0.3"/>' for x, y in HOLES)
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" '
        f'viewBox="-5 -5 20 20">{dots}</svg>',
        "utf-8",
    )
    return path


@pytest.fixture
def marked_net(net) -> Path:
    """Return the same file with an area in half stitch."""
    area = '<path data-stitch="half" d="M2 2 L6 2 L6 10 L2 10 Z"/></svg>'
    net.write_text(net.read_text("utf-8").replace("</svg>", area), "utf-8")
    return net
