"""Photos looked at: their thumbnails and what their files say, worked out once and kept beside.

What is kept here (`derived/`) can be thrown away at any time; originals are never touched. A photo
that cannot be opened is kept, shown as such, and not tried again. Not for: bytes on their way
(`uploads`), nor photo records, which are records like others.
"""

from __future__ import annotations

import json
import os
import threading
from pathlib import Path
from typing import Any, Final

import attrs

from scout.engine.exposure import TRANSMISSION_LOSS_EV
from scout.engine.reading import TestShot, shot_reading
from scout.notebook.blobs import BlobFolder
from scout.notebook.store.trouble import told_in_words
from scout.notebook.thumbnails import develop

_FORM: Final = 1  # raised when more is read out of files: what is kept is then read again
_PATIENCE_S = 60.0


class StillWaiting(Exception):
    """Other photos are being opened; this one's turn did not come."""

    def __init__(self) -> None:
        super().__init__("Other photos are being opened; ask again in a moment.")


@attrs.frozen
class Looked:
    """A photo looked at: `facts` as JSON, and its thumbnail where it could be opened."""

    facts: dict[str, Any]
    thumbnail: Path | None


class Photos:
    """The photos of one notebook, looked at one at a time."""

    def __init__(self, blobs: BlobFolder) -> None:
        self._blobs = blobs
        self._turn = threading.Lock()

    @told_in_words()
    def has_looked(self, sha256: str) -> bool:
        """Tell whether a photo was looked at before, so that its bytes need not be read again."""
        return self._kept(sha256) is not None

    @told_in_words()
    def look(self, sha256: str) -> Looked:
        """Look at a photo whose bytes are here. Raises StillWaiting, StoreTrouble."""
        kept = self._kept(sha256)
        if kept is not None:
            return kept
        if not self._turn.acquire(timeout=_PATIENCE_S):
            raise StillWaiting
        try:
            return self._kept(sha256) or self._develop(sha256)
        finally:
            self._turn.release()

    def _develop(self, sha256: str) -> Looked:
        thumbnail, told = self._paths(sha256)
        thumbnail.parent.mkdir(parents=True, exist_ok=True)
        fresh = thumbnail.with_suffix(".new")
        facts = {"form": _FORM, **develop(self._blobs.path_of(sha256), fresh)}
        if facts["state"] == "read":
            os.replace(fresh, thumbnail)
        beside = told.with_suffix(".json.new")
        beside.write_text(json.dumps(facts), "utf-8")
        os.replace(beside, told)
        return Looked(facts, thumbnail if facts["state"] == "read" else None)

    def _kept(self, sha256: str) -> Looked | None:
        thumbnail, told = self._paths(sha256)
        try:
            facts = json.loads(told.read_text("utf-8"))
        except (FileNotFoundError, ValueError):
            return None
        if not isinstance(facts, dict) or facts.get("form") != _FORM:
            return None
        if facts["state"] != "read":
            return Looked(facts, None)
        return Looked(facts, thumbnail) if thumbnail.is_file() else None

    def _paths(self, sha256: str) -> tuple[Path, Path]:
        folder = self._blobs.root / "derived" / sha256[:2]
        return folder / f"{sha256}.jpg", folder / f"{sha256}.json"


def light_offered(
    facts: dict[str, Any],
    *,
    tone: str | None,
    looks_right: bool | None,
    compensation_ev: float | None = None,
    kit: Any = None,
) -> dict[str, Any]:
    """Answer the light that a photo measured (`ev100`), or in a sentence why it is none (`why`).

    `facts` as `look` answers them; `kit` the record of the body and lens, for their limits, or
    None. Offered only: a person takes it as a light reading, or leaves it.
    """
    exposure = facts.get("says", {}).get("exposure")
    if exposure is None:
        return {"ev100": None, "why": "The photo does not say how it was exposed."}
    said_ev = exposure.get("compensation_ev")
    shot = TestShot(
        f_number=exposure["f_number"],
        exposure_s=exposure["shutter_s"],
        iso=exposure["iso"],
        compensation_ev=said_ev if compensation_ev is None else compensation_ev,
        tone=tone,
        looks_right=looks_right,
        iso_base=None if kit is None else kit.iso_base,
        iso_ceiling=None if kit is None else kit.iso_ceiling,
        flash=bool(facts["says"].get("flash")),
    )
    lost = None if kit is None else kit.transmission_ev
    reading = shot_reading(shot, TRANSMISSION_LOSS_EV if lost is None else lost)
    if reading.light_ev is None:
        return {"ev100": None, "why": reading.refusal}
    return {"ev100": round(reading.light_ev, 1), "why": None}
