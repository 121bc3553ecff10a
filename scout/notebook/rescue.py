"""The rescue file: everything that a phone could not send, in one file that needs no network.

One JSON object a line (UTF-8, LF), so that a phone can write it piece by piece and a torn file
gives back what it has. The first line, then changes as their writer made them, then photos in
parts of at most 1 MiB, in order, then the line that says the file is whole:

    {"rescue": 1, "device": "<id>", "made_at": "2026-05-12T04:35:00.000Z"}
    {"change": {...}}
    {"blob": "<sha256>", "media_type": "image/jpeg", "part": 1, "parts": 3, "base64": "..."}
    {"end": true}

Bringing one in twice brings nothing in twice. Not for: backups (`backups`).
"""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, BinaryIO

import attrs

from scout.notebook.blobs import pieces_of
from scout.notebook.clock import written
from scout.notebook.notebook import Notebook
from scout.notebook.store import ledger
from scout.notebook.strict_json import NotStrictJson, read_strict
from scout.records.trouble import Refused

FORMAT = 1
PART_BYTES = 1_048_576
_LONGEST_LINE = 4 * PART_BYTES
_AT_ONCE = 500
_SHA256 = re.compile(r"[0-9a-f]{64}")


@attrs.define(kw_only=True)
class Rescued:
    """What a rescue file brought: changes by their answer, photos, and faults line by line."""

    new: int = 0
    known: int = 0
    quarantined: int = 0
    later: int = 0
    blobs: int = 0
    faults: list[str] = attrs.field(factory=list)


def bring_in(notebook: Notebook, path: Path | str) -> Rescued:
    """Take a rescue file into the notebook; what is broken in it delays nothing else.

    Raises Refused for what is no rescue file; StoreTrouble where the notebook cannot be written.
    """
    try:
        with Path(path).open("rb") as file:
            return _Import(notebook).run(file)
    except OSError as error:
        raise Refused.one(
            f"{path} cannot be read ({error.strerror}); check its name and permissions"
        ) from None


class _Import:
    """One rescue file on its way in."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook
        self._done = Rescued()
        self._waiting: list[Any] = []
        self._parts: dict[str, int] = {}

    def run(self, file: BinaryIO) -> Rescued:
        whole, number = False, 0
        for number, line in enumerate(iter(lambda: file.readline(_LONGEST_LINE), b""), 1):
            try:
                item = read_strict(line, largest_bytes=_LONGEST_LINE)
                if number == 1:
                    _check_head(item)
                else:
                    whole = self._take(item)
            except NotStrictJson as trouble:
                if number == 1:
                    raise Refused.one("is no rescue file; choose the one the phone wrote") from None
                self._done.faults.append(f"Line {number}: {trouble.says}.")
            except Refused as refusal:
                if number == 1:
                    raise
                self._done.faults.append(f"Line {number}: {refusal}")
        if number == 0:
            raise Refused.one("is empty and no rescue file; choose the one the phone wrote")
        if not whole:
            self._done.faults.append("The file ends early; write it again on the phone if you can.")
        self._send()
        for sha256 in self._parts:
            self._done.faults.append(f"The photo {sha256[:12]}… is not whole; send it again.")
            self._path(sha256).unlink(missing_ok=True)
        return self._done

    def _take(self, item: Any) -> bool:
        """Take one line; answer whether it is the last one of a whole file."""
        if isinstance(item, dict) and "change" in item:
            self._waiting.append(item["change"])
            if len(self._waiting) >= _AT_ONCE:
                self._send()
        elif isinstance(item, dict) and "blob" in item:
            self._take_part(item)
        else:
            if isinstance(item, dict) and item.get("end") is True:
                return True
            raise Refused.one("is neither a change nor a part of a photo; it was passed over")
        return False

    def _send(self) -> None:
        for answer in self._notebook.push(self._waiting, via="rescue").answers:
            self._done.new += answer.status == "ok"
            self._done.known += answer.status == "duplicate"
            self._done.quarantined += answer.status == "quarantined"
            self._done.later += answer.status == "retry"
        self._waiting = []

    def _take_part(self, item: Mapping[str, Any]) -> None:
        sha256, part, parts = item.get("blob"), item.get("part"), item.get("parts")
        if not isinstance(sha256, str) or not _SHA256.fullmatch(sha256):
            raise Refused.one("names a photo by something that is no SHA-256; it was passed over")
        if type(part) is not int or type(parts) is not int or not 1 <= part <= parts:
            raise Refused.one("says wrongly which part of the photo it is; it was passed over")
        try:
            piece = base64.b64decode(item.get("base64", ""), validate=True)
        except (TypeError, ValueError, binascii.Error):
            raise Refused.one("holds bytes that are not base64; it was passed over") from None
        if part != self._parts.get(sha256, 0) + 1:
            raise Refused.one("is a part out of order; the photo was passed over")
        path = self._path(sha256)
        path.parent.mkdir(exist_ok=True)
        with path.open("wb" if part == 1 else "ab") as file:
            file.write(piece)
        self._parts[sha256] = part
        if part == parts:
            del self._parts[sha256]
            self._keep(sha256, path, item.get("media_type"))

    def _keep(self, sha256: str, path: Path, media_type: object) -> None:
        try:
            size = self._notebook.blobs.keep(pieces_of(path), sha256)
        finally:
            path.unlink(missing_ok=True)
        kind = media_type[:100] if isinstance(media_type, str) else None
        with self._notebook.store.writing() as db:
            ledger.store_blob(db, sha256, size, kind, written(self._notebook.clock()))
        self._done.blobs += 1

    def _path(self, sha256: str) -> Path:
        return self._notebook.folder / "incoming" / f"{sha256}.rescue"


def _check_head(item: Any) -> None:
    if not isinstance(item, dict) or "rescue" not in item:
        raise Refused.one("is no rescue file; choose the one the phone wrote")
    if item["rescue"] != FORMAT or isinstance(item["rescue"], bool):
        raise Refused.one("is a rescue file of a newer scout; install that one to bring it in")
