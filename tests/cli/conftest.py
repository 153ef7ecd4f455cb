"""A way to call the commands."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.main import main


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
