"""A file that a person asked for, written whole or not at all.

Not for: what stands in it.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from scout.commands.opened import is_folder
from scout.commands.refusal import Refusal


def target_of(file: Path, suffix: str, option: str) -> Path:
    """Answer a file that may be written: of its suffix, in a folder that is there."""
    if not file.name:
        raise Refusal(f"{option}: name a file that ends in {suffix}.")
    if file.suffix.lower() != suffix:
        raise Refusal(
            f"{option}: {file} must end in {suffix}, so that nothing else is written over."
        )
    if not is_folder(file.parent):
        raise Refusal(f"{option}: there is no folder {file.parent}; make it first.")
    if is_folder(file):
        raise Refusal(f"{option}: {file} is a folder; name a file.")
    return file


def written(file: Path, content: bytes, option: str, *, mode: int = 0o600) -> None:
    """Write a file in one step, for its owner alone or with the mode that the umask leaves."""
    part: str | None = None
    try:
        handle, part = tempfile.mkstemp(dir=file.parent, prefix=".scout-", suffix=".part")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        umask = os.umask(0)
        os.umask(umask)
        os.chmod(part, mode & ~umask)
        os.replace(part, file)
    except OSError as error:
        if part is not None and os.path.exists(part):
            os.unlink(part)
        raise Refusal(
            f"{option}: {file} cannot be written ({error.strerror}); choose another place."
        ) from None
