"""A small sound folder, file by file, for tests that change one thing in it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from scout.notebook.folder import Folder, read_folder

FOLDER = {"format": 1, "folder": "6ba7b810-9dad-41d1-80b4-00c04fd430c8", "name": "Two sites"}
SITE = {
    "id": "marsh",
    "name": "The marsh",
    "zone": "Europe/Lisbon",
    "centre": {"lat": 52.1, "lon": -1.2, "accuracy_m": 5},
}
PERCH = {"id": "post", "site": "marsh", "name": "Post", "position": SITE["centre"]}
VANTAGE = {
    "id": "hide",
    "site": "marsh",
    "name": "Hide",
    "position": {"lat": 52.1001, "lon": -1.2, "accuracy_m": 5},
}
SIGHTLINE = {"id": "hide-post", "vantage": "hide", "perch": "post"}
FOX = {"id": "fox", "name": "Fox", "animal": "mammal", "length_m": 0.7}
VISITS = "id,site,start,end\nvisit-1,marsh,2026-05-12T04:35:00+01:00,2026-05-12T07:35:00+01:00\n"
WATCHES = (
    "id,visit,vantage,start,end\n"
    "watch-1,visit-1,hide,2026-05-12T04:50:00+01:00,2026-05-12T07:30:00+01:00\n"
)
SIGHTINGS = (
    "id,watch,species,how,time_in,time_out\n"
    "seen-1,watch-1,fox,seen,2026-05-12T05:10:00+01:00,2026-05-12T05:20:00+01:00\n"
)
Files = dict[str, Any]


def files(**changed: Any) -> Files:
    """Answer the files of a small sound folder, some of them changed (`sites` for sites.json)."""
    sound: Files = {
        "folder.json": FOLDER,
        "sites.json": [SITE],
        "perches.json": [PERCH],
        "vantages.json": [VANTAGE],
        "sightlines.json": [SIGHTLINE],
        "species.json": [FOX],
        "visits.csv": VISITS,
        "watches.csv": WATCHES,
        "sightings.csv": SIGHTINGS,
    }
    by_stem = {name.split(".")[0]: name for name in sound}
    for stem, content in changed.items():
        sound[by_stem.get(stem, f"{stem}.json")] = content
    return sound


def read(root: Path, content: Files) -> Folder:
    """Write files and read them as a folder."""
    for name, inner in content.items():
        path = root / name
        path.parent.mkdir(exist_ok=True)
        if isinstance(inner, bytes):
            path.write_bytes(inner)
        elif inner is not None:
            text = inner if isinstance(inner, str) else json.dumps(inner, indent=1)
            path.write_bytes(text.encode("utf-8"))
    return read_folder(root)


def faults(root: Path, content: Files) -> list[str]:
    return [fault.sentence for fault in read(root, content).faults]
