"""A pattern small enough to work in a moment, and a way to call the commands."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.main import main

HOLES = [(c * 2, r * 2) for r in range(7) for c in range(5) if (c + r) % 2 == 0]


def pattern_text(extra: str = "") -> str:
    dots = "".join(f'<circle cx="{x}" cy="{y}" r="0.3"/>' for x, y in HOLES)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" '
        f'viewBox="-5 -5 20 20">{dots}{extra}</svg>'
    )


@pytest.fixture
def net(tmp_path) -> Path:
    """Return the file of a small plain ground."""
    path = tmp_path / "net.svg"
    path.write_text(pattern_text(), "utf-8")
    return path


@pytest.fixture(autouse=True)
def own_settings(tmp_path_factory, monkeypatch) -> Path:
    """Keep the settings of whoever runs the tests out of them; return the folder in their place."""
    folder = tmp_path_factory.mktemp("settings")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(folder))
    monkeypatch.setenv("HOME", str(folder))
    return folder


@pytest.fixture
def call():
    """Return a function that runs a command line; a fault of ours is raised."""

    def run(*words):
        result = CliRunner().invoke(main, [str(word) for word in words])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return run
