"""A person's own settings: one small JSON file, read whole and written whole."""

import json
from collections.abc import Mapping
from pathlib import Path

from render.errors import OutputError, SettingError
from render.files import write_text

VERSION = 1


def read_settings(path: Path) -> dict[str, object]:
    """Read the settings; a file that is not there holds none.

    Raises
    ------
    SettingError
        Where the file cannot be read, is broken, or comes from a newer version. It is never
        changed then.
    """
    try:
        text = path.read_text("utf-8-sig")
    except FileNotFoundError:
        return {"version": VERSION}
    except (OSError, UnicodeDecodeError) as error:
        raise SettingError(f"the settings {path} cannot be read: {error}") from error
    try:
        content = json.loads(text)
    except ValueError as error:
        raise SettingError(
            f"the settings {path} are broken: {error}; mend the file or move it away"
        ) from error
    _check(content, path)
    return dict(content)


def write_settings(path: Path, content: Mapping[str, object]) -> None:
    """Write the settings in the place of sound ones, whole or not at all.

    Raises
    ------
    SettingError
        Where what is there already could not be read.
    OutputError
        Where nothing can be written.
    """
    read_settings(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {error.strerror}") from error
    whole = {**content, "version": VERSION}
    write_text(path, [json.dumps(whole, indent=2, ensure_ascii=False, sort_keys=True), "\n"])


def _check(content: object, path: Path) -> None:
    version = content.get("version") if isinstance(content, dict) else None
    if type(version) is not int or version < 1:
        raise SettingError(
            f'the settings {path} are broken: expected an object with "version": {VERSION}; '
            "mend the file or move it away"
        )
    if version > VERSION:
        raise SettingError(
            f"the settings {path} are of version {version}, newer than this program, which knows "
            f"{VERSION}; use a newer program or move the file away"
        )
