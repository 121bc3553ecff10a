"""The notebook's records as a folder has them: to write out, and for what is asked of a folder.

What names something that has not come, or was deleted, is set aside with a sentence where an answer
is wanted: a sightline without its perch is hidden, and returns with it. Not for: writing the files
(`folder_writing`).
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import attrs

from scout.notebook.blobs import hash_of
from scout.notebook.findings import Finding
from scout.notebook.folder import Folder
from scout.notebook.notebook import FILE, Notebook
from scout.notebook.words import references
from scout.records.reading import fields_of

Records = Mapping[str, Mapping[str, Any]]


def folder_of(notebook: Notebook, *, standing_only: bool) -> Folder:
    """Answer what the notebook holds as a folder that was read.

    `standing_only`: leave out records whose other end is not here. Its name, id and words are those
    of the folder that was loaded last, where one was.
    """
    held = notebook.contents()
    says = list(held.incomplete)
    records: dict[str, dict[str, Any]] = {kind: dict(of) for kind, of in held.records.items()}
    if standing_only:
        records, hidden = standing(records)
        says += hidden
    loaded = notebook.folders()
    photos = {
        id_: notebook.blobs.path_of(photo.blob)
        for id_, photo in records["photo"].items()
        if notebook.holdings.whole(photo.blob) is not None
    }
    return Folder(
        path=notebook.folder,
        name=loaded[0]["name"] if loaded else notebook.folder.absolute().name[:80] or "Notebook",
        folder_id=loaded[0]["id"] if loaded else notebook.facts.device_id,
        records=records,
        words=_words(loaded),
        photo_paths=photos,
        faults=[],
        warnings=[Finding(FILE, None, f"{sentence.rstrip('.')}.") for sentence in says],
    )


def sound_only(folder: Folder) -> Folder:
    """Answer a folder without the photos whose bytes are not what their names say any more.

    Every photo is hashed. A sentence among the warnings tells of each one left out.
    """
    kept: dict[str, Path] = {}
    left: list[Finding] = []
    for id_, path in folder.photo_paths.items():
        if hash_of(path) == folder.records["photo"][id_].blob:
            kept[id_] = path
        else:
            says = f"photo {id_}: its bytes have changed on the disk; run the check."
            left.append(Finding(FILE, None, says))
    return attrs.evolve(folder, photo_paths=kept, warnings=[*folder.warnings, *left])


def standing(records: Records) -> tuple[dict[str, dict[str, Any]], list[str]]:
    """Answer the records whose needed references are here, and a sentence on each other one."""
    kept: dict[str, dict[str, Any]] = {kind: dict(of) for kind, of in records.items()}
    hidden: list[str] = []
    while True:
        here = {id_ for of in kept.values() for id_ in of}
        gone = [
            (kind, id_, name)
            for kind, of in kept.items()
            for id_, record in of.items()
            for name, named in _needed(record)
            if named not in here and id_ in of
        ]
        if not gone:
            return kept, hidden
        for kind, id_, name in gone:
            if kept[kind].pop(id_, None) is not None:
                hidden.append(f"{kind} {id_}: its {name} is not here (yet), so it is not shown.")


def _needed(record: Any) -> list[tuple[str, str]]:
    cls: type = type(record)
    fields = fields_of(cls)
    return [
        (str(path[0]), named)
        for path, named, kinds in references(record)
        if kinds and fields[str(path[0])].needed
    ]


def _words(loaded: list[dict[str, Any]]) -> dict[str, str]:
    """Answer id → word; the word of an earlier folder gives way where it is taken."""
    words: dict[str, str] = {}
    taken: set[str] = set()
    for folder in loaded:
        for id_, word in sorted(folder["words"].items()):
            if id_ not in words and word not in taken:
                words[id_] = word
                taken.add(word)
    return words
