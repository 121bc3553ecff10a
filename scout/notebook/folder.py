"""A folder of records, read whole: every record, every fault with its file and line.

The folder is plain and made to be edited by hand: one JSON list a kind, CSV for what comes in
hundreds, photos beside. Every file may be missing but `folder.json`, which names the folder. Not
for: writing one (`folder_writing`).
"""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

import attrs

from scout.notebook.findings import CsvSource, Finding, Findings, JsonSource, Source
from scout.notebook.folder_checks import Known, check_folder, check_photos
from scout.notebook.rows import NotRows, read_rows
from scout.notebook.strict_json import (
    LARGEST_BYTES,
    NotStrictJson,
    decoded,
    line_of,
    read_strict,
)
from scout.notebook.words import Words, is_word
from scout.records.fields import read_identity
from scout.records.kinds import KINDS, read_record
from scout.records.trouble import Refused, Trouble, shown

FORMAT = 1
FOLDER_FILE = "folder.json"
IDS_FILE = "ids.json"
PHOTOS = "photos"
_AS_ROWS = ("visit", "watch", "sighting", "reaction", "light_reading")
_PLURALS = {
    "perch": "perches",
    "canopy": "canopies",
    "watch": "watches",
    "species": "species",
    "settings": "settings",
}
FILES: dict[str, str] = {
    kind: _PLURALS.get(kind, f"{kind}s") + (".csv" if kind in _AS_ROWS else ".json")
    for kind in KINDS
}


@attrs.define(kw_only=True)
class Folder:
    """What a folder holds. With faults, the records that have none are there all the same.

    `records`: kind → id → record, in the order of the files; `words`: id → the writer's word for
    it;
    `photo_paths`: photo id → the file of its bytes, where these are sound.
    """

    path: Path
    name: str
    folder_id: str
    records: dict[str, dict[str, Any]]
    words: dict[str, str]
    photo_paths: dict[str, Path]
    faults: list[Finding]
    warnings: list[Finding]


def read_folder(path: Path | str) -> Folder:
    """Read a folder of records and judge it; faults and warnings are answered, never raised."""
    root = Path(path)
    findings = Findings()
    reader = _Reader(root, findings)
    records: dict[str, dict[str, Any]] = {kind: {} for kind in KINDS}
    photo_paths: dict[str, Path] = {}
    if root.is_dir():
        reader.read_names()
        for kind in KINDS:
            reader.read_kind(kind, records[kind])
        reader.warn_of_unknown()
        check_folder(records, reader.known(), findings)
        photo_paths = check_photos(records, root / PHOTOS, findings)
    else:
        findings.of_file(str(path), "there is no such folder; check its name")
    findings.close()
    return Folder(
        path=root,
        name=reader.name,
        folder_id=reader.folder_id,
        records=records,
        words=reader.words.by_id,
        photo_paths=photo_paths,
        faults=findings.faults,
        warnings=findings.warnings,
    )


class _Reader:
    """The way through one folder's files."""

    def __init__(self, root: Path, findings: Findings) -> None:
        self._root = root
        self._findings = findings
        self.name = root.resolve().name
        self.folder_id = str(uuid.uuid4())  # until folder.json says which
        self.words = Words(self.folder_id)
        self._refused: dict[str, str] = {}
        self._unread: set[str] = set()

    def known(self) -> Known:
        """Answer what is in the folder besides its sound records."""
        return Known(dict(self._refused), frozenset(self._unread), self.words.by_id)

    def read_names(self) -> None:
        """Read which folder this is, and the ids that are given to words."""
        self._read_folder_file()
        self.words = Words(self.folder_id, self._read_ids())

    def read_kind(self, kind: str, into: dict[str, Any]) -> None:
        """Read the file of one kind."""
        file = FILES[kind]
        text = self._text(file)
        if text is None:
            if (self._root / file).exists():
                self._unread.add(kind)
            return
        if file.endswith(".csv"):
            self._read_csv(kind, file, text, into)
            return
        items = self._json(file, text)
        if not isinstance(items, list):
            self._unread.add(kind)
            if items is not None:
                says = f"{shown(items)} is not a list; write the records in square brackets"
                self._findings.of_file(file, says, 1)
            return
        source = JsonSource(file, text)
        for place, raw in enumerate(items):
            self._take(kind, source, place, raw, [], into)

    def warn_of_unknown(self) -> None:
        """Say which files look like records and are not read."""
        known = {FOLDER_FILE, IDS_FILE, *FILES.values()}
        by_stem = {Path(file).stem: file for file in FILES.values()}
        for found in sorted(self._root.iterdir()):
            if found.suffix.lower() in (".json", ".csv") and found.name not in known:
                right = by_stem.get(found.stem.lower())
                remedy = f"write these records in {right}" if right else "rename it or take it away"
                self._findings.of_file(
                    found.name, f"is no file of records and was not read; {remedy}", warning=True
                )

    def _read_csv(self, kind: str, file: str, text: str, into: dict[str, Any]) -> None:
        source = CsvSource(file)
        try:
            for place, row in enumerate(read_rows(KINDS[kind], text)):
                source.lines.append(row.line)
                self._take(kind, source, place, row.raw, row.faults, into)
        except NotRows as trouble:
            self._unread.add(kind)
            self._findings.of_file(file, trouble.says, trouble.line)

    def _take(
        self,
        kind: str,
        source: Source,
        place: int,
        raw: Any,
        faults: list[Trouble],
        into: dict[str, Any],
    ) -> None:
        """Read one record; what its cells or words got wrong already is not told twice."""
        if isinstance(raw, dict):
            if kind == "settings":
                raw.setdefault("id", kind)  # there is one, so nobody needs to name it
            faults = faults + self.words.to_ids(KINDS[kind], raw)
        told = {fault.path for fault in faults}
        whole_row_told = () in told
        record = None
        try:
            record = read_record(kind, raw)
        except Refused as refusal:
            if not whole_row_told:
                faults += [one for one in refusal.troubles if one.path not in told]
        for fault in faults:
            self._findings.of_item(source, place, fault)
        if record is None or faults:
            if isinstance(raw, dict) and isinstance(raw.get("id"), str):
                self._refused[raw["id"]] = kind
            return
        if record.id in self._findings.where:
            word = self.words.by_id.get(record.id, record.id)
            says = (
                f'"{word}" is already the id at {self._findings.place_of(record.id)}; '
                "give one of them another"
            )
            self._findings.of_item(source, place, Trouble(("id",), says))
            self._refused[record.id] = kind
            return
        self._findings.where[record.id] = (source, place)
        into[record.id] = record

    def _read_folder_file(self) -> None:
        text = self._text(FOLDER_FILE)
        if text is None:
            if not (self._root / FOLDER_FILE).exists():
                self._findings.of_file(
                    FOLDER_FILE,
                    f'is missing; write {{"format": {FORMAT}, "folder": "{self.folder_id}", '
                    f'"name": "{self.name}"}} there (any other UUID will do)',
                )
            return
        raw = self._json(FOLDER_FILE, text)
        if raw is None:
            return
        if not isinstance(raw, dict):
            self._findings.of_file(FOLDER_FILE, f"{shown(raw)} is not an object", 1)
            return
        version = raw.get("format")
        if version != FORMAT or isinstance(version, bool):
            self._fault_at(
                FOLDER_FILE, text, "format", f"{shown(version)} is not read; it must be 1"
            )
        try:
            self.folder_id = read_identity(raw.get("folder"))
        except Refused as refusal:
            self._fault_at(FOLDER_FILE, text, "folder", refusal.troubles[0].says)
        name = raw.get("name")
        if isinstance(name, str) and name.strip():
            self.name = name
        else:
            self._fault_at(
                FOLDER_FILE, text, "name", f"{shown(name)} is no name; write a short text"
            )
        for key in raw:
            if key not in ("format", "folder", "name"):
                self._fault_at(
                    FOLDER_FILE, text, key, "is not known here and was passed over", True
                )

    def _read_ids(self) -> dict[str, str]:
        text = self._text(IDS_FILE)
        raw = None if text is None else self._json(IDS_FILE, text)
        if text is None or raw is None:
            return {}
        if not isinstance(raw, dict):
            self._findings.of_file(IDS_FILE, f"{shown(raw)} is not an object", 1)
            return {}
        ids: dict[str, str] = {}
        taken: dict[str, str] = {}
        for word, value in raw.items():
            try:
                record_id = read_identity(value)
            except Refused as refusal:
                self._fault_at(IDS_FILE, text, word, refusal.troubles[0].says)
                continue
            if not is_word(word):
                says = "is no short word (small letters, digits and hyphens, at most 40)"
            elif record_id in taken:
                says = f'{shown(value)} is already the id of "{taken[record_id]}"'
            else:
                ids[word] = record_id
                taken[record_id] = word
                continue
            self._fault_at(IDS_FILE, text, word, says)
        return ids

    def _fault_at(self, file: str, text: str, key: str, says: str, warning: bool = False) -> None:
        sentence = Trouble((key,), says).sentence.removesuffix(".")
        self._findings.of_file(file, sentence, line_of(text, (key,)), warning=warning)

    def _json(self, file: str, text: str) -> Any:
        """Answer the file's JSON value; None after a fault, and for null."""
        try:
            value = read_strict(text)
        except NotStrictJson as trouble:
            self._findings.of_file(file, trouble.says, trouble.line)
            return None
        if value is None:
            self._findings.of_file(file, "holds null; write [] for no records", 1)
        return value

    def _text(self, file: str) -> str | None:
        """Answer the text of a file; None where there is none, and after a fault."""
        path = self._root / file
        if not path.exists():
            return None
        if not path.is_file() or not path.resolve().is_relative_to(self._root.resolve()):
            self._findings.of_file(file, "is not a file of this folder; put the file itself there")
            return None
        try:
            with path.open("rb") as stream:
                return decoded(stream.read(LARGEST_BYTES + 1))
        except NotStrictJson as trouble:
            self._findings.of_file(file, trouble.says, trouble.line)
        except OSError as error:
            self._findings.of_file(
                file, f"cannot be read ({error.strerror}); check its permissions"
            )
        return None
