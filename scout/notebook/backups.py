"""Backups that are verified before they count, and the way back from one.

A backup is a folder: `notebook-<time>.db` beside the blobs that it lists. Only one on another disk
makes anything durable; one beside the notebook says so. After a restore the notebook has a new
epoch, so every phone offers what it holds and nothing that a phone has is lost. Not for: checking
the notebook itself (`checking`).
"""

from __future__ import annotations

import os
import shutil
import uuid
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import attrs

from scout.notebook.blobs import BlobFolder, pieces_of, sync_folder
from scout.notebook.canonical import plain
from scout.notebook.clock import Clock, written
from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.store import copies, journal, ledger
from scout.notebook.store.carrying import carry_door
from scout.notebook.store.trouble import told_in_words
from scout.records.trouble import Refused

Disk = Callable[[Path], int]
Progress = Callable[[int, int, str], None]


@attrs.frozen(kw_only=True)
class BackedUp:
    """A verified backup: where, up to which number, how many blobs; `troubles` in sentences."""

    path: Path
    seq: int
    blobs: int
    on_another_disk: bool
    troubles: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What was done, and whether it protects against the loss of the disk."""
        done = f"{self.seq} changes and {self.blobs} photos are in {self.path.name}, verified."
        if self.on_another_disk:
            return done
        return (
            f"{done} It lies on the same disk as the notebook and would be lost with it: "
            "nothing is marked as backed up. Choose a folder on another disk."
        )


@attrs.frozen(kw_only=True)
class Restored:
    """What a restore did: new epoch, the backup's last seq, the old file kept, blobs missing.

    `door_kept`: devices may go on as just before it; else all of them pair again.
    """

    epoch: str
    seq: int
    set_aside: tuple[Path, ...]
    missing_blobs: tuple[str, ...]
    door_kept: bool


@attrs.frozen(kw_only=True)
class Drilled:
    """What a backup would give: its changes and photos, and what is wrong with it."""

    path: Path
    seq: int
    blobs: int
    troubles: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """Whether the backup would bring the notebook back."""
        held = f"{self.path.name} gives back {self.seq} changes and {self.blobs} photos"
        if not self.troubles:
            return f"{held}; it was restored aside, checked whole, and thrown away."
        return f"{held}, and something is wrong: {self.troubles[0]}"


def disk_of(path: Path) -> int:
    """Answer the number of the file system that a path lies on."""
    return os.stat(path).st_dev


@told_in_words()
def back_up(
    notebook: Notebook,
    into: Path | str,
    disk: Disk = disk_of,
    progress: Progress | None = None,
) -> BackedUp:
    """Copy the notebook into a folder, verify, and only then move what counts as backed up.

    `progress` is called with how many are done, of how many, of what. Raises Refused where the copy
    is not sound; StoreTrouble and OSError where a disk fails.
    """
    folder = Path(into)
    folder.mkdir(parents=True, exist_ok=True)
    at = written(notebook.clock())
    path = _free_name(folder, f"notebook-{_in_name(at)}")
    fresh = folder / f".{path.name}.new"
    fresh.unlink(missing_ok=True)
    if progress is not None:
        progress(0, 1, "the file")
    try:
        notebook.store.copy_to(fresh)
        copies.stand_alone(fresh)
        if not copies.is_sound(fresh):
            raise Refused.one("the copy is not sound; run the check on the notebook and try again")
        os.replace(fresh, path)
    finally:
        fresh.unlink(missing_ok=True)
    sync_folder(folder)
    with copies.looking_into(path) as db:
        seq = journal.end(db).seq
        facts = ledger.meta(db)
        listed = [row["sha256"] for row in ledger.blobs(db) if row["completed_at"] is not None]
    assert facts is not None
    kept, troubles = _copy_blobs(listed, notebook.blobs, BlobFolder(folder), progress)
    with suppress(OSError):
        (folder / "incoming").rmdir()  # where blobs were on their way; empty now
    elsewhere = disk(folder) != disk(notebook.folder)
    with notebook.store.writing() as held:
        ledger.store_backup(held, at, str(path), facts.epoch, seq, elsewhere)
        if elsewhere:
            ledger.mark_blobs_backed_up(held, kept, at)
    return BackedUp(
        path=path, seq=seq, blobs=len(kept), on_another_disk=elsewhere, troubles=tuple(troubles)
    )


@told_in_words()
def restore(folder: Path | str, backup: Path | str, clock: Clock) -> Restored:
    """Put a backup in the place of a notebook, with a new epoch.

    The old file is kept in `backups/`.

    Raises Refused, with nothing changed, where the backup is not sound.
    """
    root, source = Path(folder), Path(backup)
    if not copies.is_sound(source):
        raise Refused.one(f"{source} is no sound backup of a notebook; choose another one")
    root.mkdir(parents=True, exist_ok=True)
    path, fresh = root / FILE, root / f"{FILE}.restoring"
    fresh.unlink(missing_ok=True)
    copies.copy(source, fresh)
    epoch = str(uuid.uuid4())
    copies.begin_epoch(fresh, epoch)
    copies.stand_alone(fresh)
    aside: list[Path] = []
    if path.exists():
        (root / "backups").mkdir(exist_ok=True)
        name = f"replaced-{_in_name(written(clock()))}"
        aside = copies.set_aside(path, _free_name(root / "backups", name))
    copies.take_place(fresh, path)
    sync_folder(root)
    open_notebook(root, clock).close()  # the backup may be of an older program
    old = next((one for one in aside if copies.is_sound(one)), None)
    door_kept = carry_door(old, path)
    with copies.looking_into(path) as db:
        seq = journal.end(db).seq
        listed = [row["sha256"] for row in ledger.blobs(db) if row["completed_at"] is not None]
    here = BlobFolder(root)
    wanted = [sha256 for sha256 in listed if not here.is_sound(sha256)]
    kept, _ = _copy_blobs(wanted, BlobFolder(source.parent), here)
    return Restored(
        epoch=epoch,
        seq=seq,
        set_aside=tuple(aside),
        missing_blobs=tuple(sorted(set(wanted) - set(kept))),
        door_kept=door_kept,
    )


@told_in_words()
def drill(
    backup: Path | str, aside: Path, clock: Clock, progress: Progress | None = None
) -> Drilled:
    """Restore a backup into a folder aside, check all of it, and throw the folder away.

    Raises Refused where the backup is not even a notebook; StoreTrouble, OSError where a disk
    fails.
    """
    shutil.rmtree(aside, ignore_errors=True)
    try:
        restored = restore(aside, backup, clock)
        with open_notebook(aside, clock) as notebook:
            found = notebook.check(progress)
        missing = [
            f"The bytes of the photo {sha256} are not in the backup."
            for sha256 in restored.missing_blobs
        ]
        return Drilled(
            path=Path(backup),
            seq=restored.seq,
            blobs=len(found.blobs_hashed),
            troubles=(*found.faults, *missing),
        )
    finally:
        shutil.rmtree(aside, ignore_errors=True)


@told_in_words()
def take_from(notebook: Notebook, path: Path | str) -> tuple[int, int]:
    """Take in every change of another notebook file, such as one set aside.

    Answers how many were new, and how many were refused.

    Raises Refused where the file is no sound notebook.
    """
    if not copies.is_sound(Path(path)):
        raise Refused.one(f"{path} is no sound notebook file; choose another one")
    new = refused = seq = 0
    with copies.looking_into(Path(path)) as db:
        while rows := journal.after(db, seq, 500):
            seq = rows[-1].seq
            answers = notebook.push([plain(row.body) for row in rows], via="restore").answers
            new += sum(answer.status == "ok" for answer in answers)
            refused += sum(answer.status in ("quarantined", "retry") for answer in answers)
    return new, refused


def _copy_blobs(
    hashes: list[str],
    source: BlobFolder,
    target: BlobFolder,
    progress: Progress | None = None,
) -> tuple[list[str], list[str]]:
    """Copy blobs, hash every copy; answer those that are sound, and sentences on the others."""
    kept: list[str] = []
    troubles: list[str] = []
    for done, sha256 in enumerate(hashes):
        if progress is not None:
            progress(done, len(hashes), "photos")
        try:
            if not target.is_sound(sha256):
                target.keep(pieces_of(source.path_of(sha256)), sha256)
            kept.append(sha256)
        except (FileNotFoundError, Refused):
            troubles.append(f"The bytes of the photo {sha256} are gone or changed; run the check.")
    return kept, troubles


def _in_name(at: str) -> str:
    return at.replace("-", "").replace(":", "").replace(".", "")


def _free_name(folder: Path, stem: str) -> Path:
    path, number = folder / f"{stem}.db", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}.db", number + 1
    return path
