"""The list to look through: what came in from other hands, waiting to be taken or left.

Kept as one file beside the notebook, written whole; it is not part of the journal until somebody
takes it. The same file brought in again adds nothing twice. Not for: reading those files (`points`,
`camera`).
"""

from __future__ import annotations

import json
import os
import tempfile
import uuid
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import attrs

from scout.engine.geodesy import distance_m
from scout.notebook.blobs import hash_of, pieces_of, sync_folder
from scout.notebook.bringing.camera import CameraFolder
from scout.notebook.bringing.points import Point
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit
from scout.records.trouble import Refused

FILE: Final = "review.json"
PIN_KINDS: Final = ("perch", "vantage", "landmark")
NEAR_A_SITE_M: Final = 5000.0
_FORM: Final = 1
_OURS = uuid.UUID("6f0c9c0e-59f4-4a53-9e5e-0d6c0ad4f3a1")
Records = Mapping[str, Mapping[str, Any]]


@attrs.frozen(kw_only=True)
class Item:
    """One thing to look at: what it would become, and where it is from.

    `kind` "pin" becomes a perch, vantage or landmark when it is taken; `needs` is the id of an item
    that is taken with it.
    """

    id: str
    kind: str
    set: dict[str, Any]
    says: str
    source: str
    needs: str | None = None
    photo: str | None = None


def waiting(folder: Path) -> list[Item]:
    """Answer what waits, in the order in which it came."""
    return _kept(folder)[0]


def bring_points(
    folder: Path, points: Iterable[Point], records: Records, source: str, site: str | None
) -> int:
    """Put points on the list; each belongs to the site given, or to the nearest within 5 km.

    Answers how many are new. Raises Refused where a point is near no site.
    """
    items = []
    for number, one in enumerate(points, 1):
        here = site or _nearest(one, records)
        if here is None:
            raise Refused.one(
                f"the point {one.name or number} of {source} is more than "
                f"{NEAR_A_SITE_M / 1000:.0f} km from every site; say which site it belongs to, "
                "or make that site first"
            )
        name = one.name or f"Point {number}"
        values: dict[str, Any] = {
            "site": here,
            "name": name,
            "position": {"lat": one.lat, "lon": one.lon, "source": "typed"},
        }
        if one.elevation_m is not None:
            values["ground_elevation"] = {"m": one.elevation_m}
        if one.text:
            values["note"] = one.text[:2000]
        items.append(
            Item(
                id=_id("pin", name, one.lat, one.lon),
                kind="pin",
                set=values,
                says=f"{name}, {one.lat:.5f} {one.lon:.5f}, at {records['site'][here].name}",
                source=source,
            )
        )
    return _add(folder, items)


def bring_camera(folder: Path, found: CameraFolder, perch: Any, source: str) -> int:
    """Put a trail camera's watch and its presences on the list; answer how many are new."""
    if not found.presences:
        return 0
    shots = [shot for presence in found.presences for shot in presence.shots]
    watch = _id("watch", perch.id, shots[0].at.isoformat(), shots[-1].at.isoformat())
    items = [
        Item(
            id=watch,
            kind="watch",
            set={
                "perches": [perch.id],
                "start": _moment(shots[0].at),
                "end": _moment(shots[-1].at),
                "end_unsure": True,
                "in_the_dark": True,
                "trail_camera": True,
            },
            says=f"trail camera at {perch.name}, first to last picture",
            source=source,
        )
    ]
    for presence in found.presences:
        first, last = presence.shots[0], presence.shots[-1]
        count = len(presence.shots)
        zone = ", its clock taken as the site's" if first.is_zone_assumed else ""
        items.append(
            Item(
                id=_id("sighting", perch.id, first.sha256),
                kind="sighting",
                set={
                    "watch": watch,
                    "how": "trail camera",
                    "time_in": _moment(first.at),
                    "time_out": _moment(last.at),
                    "perch": perch.id,
                },
                says=f"{first.at:%Y-%m-%d %H:%M}, {count} picture{'' if count == 1 else 's'}{zone}",
                source=source,
                needs=watch,
                photo=str(first.path.resolve()),
            )
        )
    return _add(folder, items)


def take(
    notebook: Notebook,
    items: Sequence[Item],
    *,
    pin_kind: str = "landmark",
    species: str | None = None,
) -> int:
    """Write items into the notebook as one Save, with what they need, and off the list.

    Answers how many records were written. Raises Refused for a sighting without a species; then
    nothing was taken.
    """
    if species is None and any(one.kind == "sighting" for one in items):
        raise Refused.one(
            "say which species a sighting is of; what it was stays on the list till then"
        )
    every = {one.id: one for one in waiting(notebook.folder)}
    wanted = {one.needs: every[one.needs] for one in items if one.needs in every}
    wanted |= {one.id: one for one in items}
    held = notebook.contents().raw
    edits, photos = [], []
    for one in wanted.values():
        kind = pin_kind if one.kind == "pin" else one.kind
        if not any(one.id in held[name] for name in (*PIN_KINDS, kind)):
            values = _values(one, kind, species)
            edits.append(Edit(kind=kind, record=one.id, set=values))
            if one.photo is not None and Path(one.photo).is_file():
                photos.append((one, Path(one.photo)))
    for one, path in photos:
        sha256 = hash_of(path)
        notebook.keep_blob(sha256, pieces_of(path))
        pin = {"pin": one.set["perch"]} if "perch" in one.set else {}
        photo = {"blob": sha256, "file_name": path.name, "at": one.set["time_in"], **pin}
        edits.append(Edit(kind="photo", record=_id("photo", one.id), set=photo))
    if edits:
        notebook.save(edits, via="review")
    _settle(notebook.folder, set(wanted))
    return len(edits)


def leave(folder: Path, items: Sequence[Item]) -> None:
    """Take items off the list without writing them; they are not proposed again."""
    _settle(folder, {one.id for one in items})


def _values(one: Item, kind: str, species: str | None) -> dict[str, Any]:
    values = dict(one.set)
    if one.kind == "sighting":
        values["species"] = species
    if one.kind == "pin":
        if kind == "landmark":
            values.pop("ground_elevation", None)
        else:
            values.pop("note", None)
    return values


def _nearest(point: Point, records: Records) -> str | None:
    away = [
        (distance_m(point.lat, point.lon, one.centre.lat, one.centre.lon), one.id)
        for one in records["site"].values()
    ]
    return next((id_ for metres, id_ in sorted(away) if metres <= NEAR_A_SITE_M), None)


def _moment(at: Any) -> dict[str, Any]:
    return {"at": at.isoformat("T", "seconds"), "source": "photo"}


def _id(*parts: object) -> str:
    return str(uuid.uuid5(_OURS, "\n".join(str(part) for part in parts)))


def _kept(folder: Path) -> tuple[list[Item], list[str]]:
    """Answer what waits, and the ids of all that was taken or left."""
    try:
        told = json.loads((folder / FILE).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return [], []
    except ValueError:
        raise Refused.one(f"{FILE} is damaged; move it away and bring the files in again") from None
    return [Item(**one) for one in told["waiting"]], list(told["settled"])


def _add(folder: Path, items: Sequence[Item]) -> int:
    kept, settled = _kept(folder)
    known = {one.id for one in kept} | set(settled)
    fresh = list({one.id: one for one in items if one.id not in known}.values())
    _write(folder, [*kept, *fresh], settled)
    return len(fresh)


def _settle(folder: Path, ids: set[str]) -> None:
    kept, settled = _kept(folder)
    rest = [one for one in kept if one.id not in ids]
    _write(folder, rest, [*settled, *(one.id for one in kept if one.id in ids)])


def _write(folder: Path, items: Sequence[Item], settled: Sequence[str]) -> None:
    told = {
        "form": _FORM,
        "waiting": [attrs.asdict(one) for one in items],
        "settled": list(settled),
    }
    handle, part = tempfile.mkstemp(dir=folder, prefix=".review-", suffix=".part")
    with os.fdopen(handle, "w", encoding="utf-8") as stream:
        json.dump(told, stream, ensure_ascii=False, indent=1)
        stream.flush()
        os.fsync(stream.fileno())
    os.replace(part, folder / FILE)
    sync_folder(folder)
