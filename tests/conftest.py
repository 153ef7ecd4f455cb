"""A pattern small enough to work in a moment."""

from pathlib import Path

import pytest

from tests.pieces import net_text


@pytest.fixture
def net(tmp_path) -> Path:
    """Return the file of a small plain ground."""
    path = tmp_path / "net.svg"
    path.write_text(net_text(), "utf-8")
    return path
