"""Find the patterns below a folder."""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from render.errors import SettingError

ENDINGS = (".svg", ".csv")


@dataclass(frozen=True)
class Found:
    """A pattern's file.

    Attributes
    ----------
    path
        Below the folder, with forward slashes.
    file
        Where it is.
    """

    path: str
    file: Path

    @property
    def id(self) -> str:
        """A short name that depends on the path alone."""
        return sha256(self.path.encode("utf-8", "surrogateescape")).hexdigest()[:16]


def collect(folder: Path, out: Path) -> tuple[tuple[Found, ...], tuple[str, ...]]:
    """Find every pattern below a folder.

    Parameters
    ----------
    folder
        Looked through with all that is below it, but for hidden files and folders.
    out
        The catalogue; it is not looked into where it lies below the folder.

    Returns
    -------
    The patterns in the order of their paths, and the links that lead out of the folder. Links are
    followed to files within the folder, never to folders.

    Raises
    ------
    SettingError
        Where there is no such folder.
    """
    if not folder.is_dir():
        raise SettingError(f"{folder} is not a folder: name the one that holds your patterns")
    home = folder.resolve()
    found, led_out = [], []
    for file in _files(home, out.resolve()):
        path = file.relative_to(home).as_posix()
        if not file.resolve().is_relative_to(home):
            led_out.append(path)
        elif file.is_file():
            found.append(Found(path, file))
    return tuple(sorted(found, key=lambda f: f.path)), tuple(sorted(led_out))


def _files(home: Path, out: Path) -> Iterator[Path]:
    for name, folders, files in os.walk(home):
        here = Path(name)
        folders[:] = [f for f in folders if not f.startswith(".") and here / f != out]
        for file in files:
            if not file.startswith(".") and file.lower().endswith(ENDINGS):
                yield here / file
