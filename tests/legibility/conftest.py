"""A small pattern with a marked area."""

from pathlib import Path

import pytest


@pytest.fixture
def marked_net(net) -> Path:
    """Return the same file with an area in half stitch."""
    area = '<path data-stitch="half" d="M2 2 L6 2 L6 10 L2 10 Z"/></svg>'
    net.write_text(net.read_text("utf-8").replace("</svg>", area), "utf-8")
    return net
