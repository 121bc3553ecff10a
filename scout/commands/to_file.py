"""A file that a person asked for, written whole or not at all, for its owner alone.

Not for: pages to be printed (`paper`).
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from scout.commands.opened import is_folder
from scout.commands.refusal import Refusal


def target_of(file: Path, suffix: str, option: str) -> Path:
    """Answer a file that may be written: of its suffix, in a folder that is there."""
    if file.suffix.lower() != suffix:
        raise Refusal(
            f"{option}: {file} must end in {suffix}, so that nothing else is written over."
        )
    if not is_folder(file.parent):
        raise Refusal(f"{option}: there is no folder {file.parent}; make it first.")
    if is_folder(file):
        raise Refusal(f"{option}: {file} is a folder; name a file.")
    return file


def written(file: Path, content: bytes, option: str) -> None:
    """Write a file for its owner alone, in one step."""
    part: str | None = None
    try:
        handle, part = tempfile.mkstemp(dir=file.parent, prefix=".scout-", suffix=".part")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(part, file)
    except OSError as error:
        if part is not None and os.path.exists(part):
            os.unlink(part)
        raise Refusal(
            f"{option}: {file} cannot be written ({error.strerror}); choose another place."
        ) from None
