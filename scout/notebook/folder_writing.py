"""Records written out as a folder: the whole set, the same bytes every time, never half of it.

The new folder is made beside the old one and takes its name when it is complete. Files that are no
records (a README, a script, photos that no record names) are carried over.
Not for: reading (`folder`), or leaving places out for privacy.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from scout.notebook.folder import FILES, FOLDER_FILE, FORMAT, IDS_FILE, PHOTOS, Folder
from scout.notebook.pictures import names_of, sha256_of
from scout.notebook.rows import write_rows
from scout.notebook.words import Words, is_word
from scout.records.fields import read_identity
from scout.records.kinds import KINDS, write_record
from scout.records.trouble import Refused, shown


def write_folder(
    path: Path | str,
    records: Mapping[str, Mapping[str, Any]],
    *,
    name: str,
    folder_id: str,
    words: Mapping[str, str] | None = None,
    photo_paths: Mapping[str, Path] | None = None,
) -> None:
    """Write records (kind → id → record) as a folder, in place of the one that is there.

    `words` (id → word) stand in place of their ids; `photo_paths` (photo id → file) are copied in.
    Reading it gives the same records again. Raises Refused, with nothing changed, where the place
    holds anything but a folder of records, its parent is missing, a kind or word is none, or a
    photo's bytes are not those its record names.
    """
    root = Path(path)
    _refuse_place(root)
    checked = _checked_words(folder_id, words or {})
    unknown = sorted(set(records) - set(KINDS))
    if unknown:
        raise Refused.one(
            f"{shown(unknown[0])} is not a kind of record; the kinds are: {', '.join(KINDS)}"
        )
    beside = Path(tempfile.mkdtemp(prefix=f".{root.name}.new-", dir=root.absolute().parent))
    try:
        _write_texts(beside, records, name, folder_id, checked)
        _write_photos(beside / PHOTOS, records.get("photo", {}), photo_paths or {})
        if root.exists():
            _carry_over(root, beside)
            shutil.copymode(root, beside)
        else:
            beside.chmod(0o777 & ~_umask())
        _sync_directories(beside)
        _take_place(beside, root)
    except BaseException:
        shutil.rmtree(beside, ignore_errors=True)
        raise


def write_back(path: Path | str, folder: Folder) -> None:
    """Write a folder that was read, or a notebook's records as one, whole."""
    write_folder(
        path,
        folder.records,
        name=folder.name,
        folder_id=folder.folder_id,
        words=folder.words,
        photo_paths=folder.photo_paths,
    )


def _refuse_place(root: Path) -> None:
    if not root.absolute().parent.is_dir():
        raise Refused.one(f"there is no folder {root.parent} to write into; make it first")
    if root.is_symlink() or (root.exists() and not root.is_dir()):
        raise Refused.one(f"{root} is not a folder; choose another name")
    if root.is_dir() and any(root.iterdir()) and not (root / FOLDER_FILE).is_file():
        raise Refused.one(
            f"{root} holds other things and is no folder of records; choose an empty or a new one"
        )


def _checked_words(folder_id: str, words: Mapping[str, str]) -> Words:
    read_identity(folder_id)
    given = {word: record_id for record_id, word in words.items()}
    if len(given) != len(words):
        raise Refused.one("a word stands for two records; give each its own")
    for word, record_id in given.items():
        if not is_word(word):
            raise Refused.one(f"{shown(word)} is no short word (small letters, digits and hyphens)")
        read_identity(record_id)
    return Words(folder_id, given)


def _write_texts(
    root: Path,
    records: Mapping[str, Mapping[str, Any]],
    name: str,
    folder_id: str,
    words: Words,
) -> None:
    _write(root / FOLDER_FILE, _json({"format": FORMAT, "folder": folder_id, "name": name}))
    # A word that the folder's id implies need not be written down.
    given = {word: id_ for id_, word in words.by_id.items() if words.derived(word) != id_}
    if given:
        _write(root / IDS_FILE, _json(dict(sorted(given.items()))))
    for kind, file in FILES.items():
        of_kind = records.get(kind, {})
        if not of_kind:
            continue
        raws = [write_record(record) for record in of_kind.values()]
        for raw in raws:
            words.to_words(KINDS[kind], raw)
        text = write_rows(KINDS[kind], raws) if file.endswith(".csv") else _json(raws)
        _write(root / file, text)


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _write(path: Path, text: str) -> None:
    with path.open("xb") as file:
        file.write(text.encode("utf-8"))
        file.flush()
        os.fsync(file.fileno())


def _write_photos(root: Path, photos: Mapping[str, Any], paths: Mapping[str, Path]) -> None:
    """Copy photos under their own names, or under that of their bytes where the name is taken."""
    taken: dict[str, str] = {}  # some file systems take A.jpg and a.jpg for one
    for photo in photos.values():
        source = paths.get(photo.id)
        if source is None:
            continue
        for name in names_of(photo):
            if taken.setdefault(name.casefold(), photo.blob) == photo.blob:
                break
        target = root / name
        if target.exists():
            continue
        root.mkdir(exist_ok=True)
        shutil.copyfile(source, target)
        if sha256_of(target) != photo.blob:
            raise Refused.one(f"{source} has other bytes than the photo names; nothing was written")
        with target.open("rb") as file:
            os.fsync(file.fileno())


def _carry_over(old: Path, new: Path) -> None:
    ours = {FOLDER_FILE, IDS_FILE, *FILES.values()}
    for found in sorted(old.iterdir()):
        if found.name in ours:
            continue
        if found.name == PHOTOS and found.is_dir():
            (new / PHOTOS).mkdir(exist_ok=True)
            for photo in found.iterdir():
                _carry(photo, new / PHOTOS / photo.name)
        else:
            _carry(found, new / found.name)


def _carry(old: Path, new: Path) -> None:
    if new.exists() or new.is_symlink():
        return
    if old.is_dir() and not old.is_symlink():
        shutil.copytree(old, new, symlinks=True)
    else:
        shutil.copy2(old, new, follow_symlinks=False)


def _umask() -> int:
    mask = os.umask(0o022)  # it can only be read by setting it
    os.umask(mask)
    return mask


def _sync_directories(root: Path) -> None:
    for directory in (root / PHOTOS, root):
        if directory.is_dir():
            _sync(directory)


def _sync(directory: Path) -> None:
    if os.name == "nt":
        return  # a directory cannot be opened there
    handle = os.open(directory, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _take_place(new: Path, root: Path) -> None:
    """Give the complete folder its name; the old one steps aside, and comes back on failure."""
    if not root.exists():
        new.rename(root)
    else:
        aside = Path(tempfile.mkdtemp(prefix=f".{root.name}.old-", dir=root.absolute().parent))
        old = aside / root.name
        root.rename(old)
        try:
            new.rename(root)
        except BaseException:
            old.rename(root)
            aside.rmdir()
            raise
        shutil.rmtree(aside, ignore_errors=True)
    _sync(root.absolute().parent)
