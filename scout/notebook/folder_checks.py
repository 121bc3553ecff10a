"""What can only be judged over a whole folder: references, spans of time, figures and photos.

Not for: single records (each field's reader judges those), pins against measurements
(`pin_checks`), nor for merging what two people wrote.
"""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import attrs

from scout.notebook.findings import Findings
from scout.notebook.pictures import file_of, names_of, picture_trouble, sha256_of
from scout.notebook.pin_checks import check_pins
from scout.notebook.words import references
from scout.records.reading import fields_of
from scout.records.visits import kept_trouble

Records = Mapping[str, Mapping[str, Any]]


@attrs.frozen
class Known:
    """What is in a folder besides its sound records, so that one fault does not bring many.

    `refused`: id → kind of records that have faults of their own, or an id that is taken; `unread`:
    kinds whose file could not be read; `words`: id → the writer's word.
    """

    refused: Mapping[str, str]
    unread: frozenset[str]
    words: Mapping[str, str]


def check_folder(records: Records, known: Known, findings: Findings) -> None:
    """Judge the records of a folder against each other; faults and warnings go to the findings."""
    kind_of = dict(known.refused)
    kind_of |= {record_id: kind for kind, group in records.items() for record_id in group}
    for group in records.values():
        for record in group.values():
            _check_references(record, kind_of, known, findings)
    _check_zones(records, findings)
    _check_spans(records, findings)
    _check_within(records, findings)
    _check_kept(records, findings)
    check_pins(records, findings)
    _check_names(records, findings)
    for surplus in list(records["settings"])[1:]:
        findings.of_record(surplus, "are settings again; keep one object of them")


def check_photos(records: Records, root: Path, findings: Findings) -> dict[str, Path]:
    """Judge the bytes of the photos, and answer the sound ones' files by photo id."""
    sound: dict[str, Path] = {}
    judged: dict[Path, tuple[str, str | None]] = {}
    for photo in records["photo"].values():
        found = file_of(root, photo)
        if found is None:
            says = (
                f"there is no file photos/{names_of(photo)[0]}; put it there or take the photo out"
            )
            findings.of_record(photo.id, says, "file_name")
            continue
        try:
            if found not in judged:
                judged[found] = (sha256_of(found), picture_trouble(found))
        except OSError as error:
            says = f"photos/{found.name} cannot be read ({error.strerror})"
            findings.of_record(photo.id, says, "file_name")
            continue
        digest, trouble = judged[found]
        if trouble is not None:
            findings.of_record(photo.id, f"photos/{found.name} {trouble}", "file_name")
        elif digest != photo.blob:
            says = (
                f"photos/{found.name} has other bytes than these (its SHA-256 is {digest}); "
                "put the right file there or write this digest"
            )
            findings.of_record(photo.id, says, "blob")
        else:
            sound[photo.id] = found
    return sound


def _check_references(
    record: Any, kind_of: Mapping[str, str], known: Known, findings: Findings
) -> None:
    for path, other, kinds in references(record):
        kind = kind_of.get(other)
        shown = f'"{known.words.get(other, other)}"'
        if kind is None:
            if known.unread.intersection(kinds or known.unread):
                continue
            wanted = _spoken(" or ".join(kinds) or "record")
            says = f"there is no {wanted} {shown}; write it down, or correct the id"
            findings.of_record(record.id, says, *path)
        elif kinds and kind not in kinds and known.refused.get(other) not in kinds:
            says = f"{shown} is a {_spoken(kind)}; name a {_spoken(' or '.join(kinds))} here"
            findings.of_record(record.id, says, *path)


def _spoken(kinds: str) -> str:
    return kinds.replace("walk_in", "walk-in").replace("_", " ")


def _check_zones(records: Records, findings: Findings) -> None:
    for group in records.values():
        for record in group.values():
            cls: type = type(record)
            for name in _zone_fields(cls):
                value = getattr(record, name)
                zone, path = (value, (name,)) if name == "zone" else (None, (name, "zone"))
                if zone is None and value is not None:
                    zone = value.zone
                if zone is not None and not _is_zone(zone):
                    says = f'"{zone}" is not a time zone; use an IANA name, like Europe/Lisbon'
                    findings.of_record(record.id, says, *path)


@cache
def _zone_fields(cls: type) -> tuple[str, ...]:
    return tuple(
        name
        for name, field in fields_of(cls).items()
        if name == "zone" or (field.group is not None and "zone" in fields_of(field.group))
    )


@cache
def _is_zone(name: str) -> bool:
    return name in zoneinfo.available_timezones()


def _check_spans(records: Records, findings: Findings) -> None:
    spans = {
        "visit": ("start", "end"),
        "watch": ("start", "end"),
        "sighting": ("time_in", "time_out"),
    }
    for kind, (first, last) in spans.items():
        for record in records[kind].values():
            begin, end = getattr(record, first), getattr(record, last)
            if end is not None and end.at < begin.at:
                says = f"{_clock(end.at)} is before {first}, {_clock(begin.at)}; correct one"
                findings.of_record(record.id, says, last)
    for permission in records["permission"].values():
        begin, end = permission.starts_on, permission.ends_on
        if begin is not None and end is not None and end < begin:
            says = f"{end} is before starts_on, {begin}; correct one of them"
            findings.of_record(permission.id, says, "ends_on")


def _check_within(records: Records, findings: Findings) -> None:
    visits, watches = records["visit"], records["watch"]

    def end_of(watch: Any) -> dt.datetime | None:
        visit = visits.get(watch.visit)
        end = watch.end or (visit.end if visit is not None else None)
        return None if end is None else end.at

    for watch in watches.values():
        visit = visits.get(watch.visit)
        if visit is not None:
            end = None if visit.end is None else visit.end.at
            for name in ("start", "end", "quiet_from"):
                _check_inside(watch, name, "visit", visit.start.at, end, findings)
    for kind, names in (("sighting", ("time_in", "time_out")), ("reaction", ("at",))):
        for record in records[kind].values():
            watch = watches.get(record.watch)
            if watch is not None:
                for name in names:
                    _check_inside(record, name, "watch", watch.start.at, end_of(watch), findings)


def _check_inside(
    record: Any,
    name: str,
    outer: str,
    begin: dt.datetime,
    end: dt.datetime | None,
    findings: Findings,
) -> None:
    moment = getattr(record, name)
    if moment is None or (begin <= moment.at and (end is None or moment.at <= end)):
        return
    until = "" if end is None else f" to {_clock(end)}"
    says = f"{_clock(moment.at)} is outside its {outer}, {_clock(begin)}{until}; correct one"
    findings.of_record(record.id, says, name)


def _clock(moment: dt.datetime) -> str:
    return moment.isoformat(" ", "minutes")


def _check_kept(records: Records, findings: Findings) -> None:
    for visit in records["visit"].values():
        says = kept_trouble(visit.frames, visit.keepers)
        if says is not None:
            findings.of_record(visit.id, says, "keepers", warning=True)


def _check_names(records: Records, findings: Findings) -> None:
    first: dict[str, str] = {}
    for site in records["site"].values():
        name = " ".join(site.name.casefold().split())
        if name in first:
            where = findings.place_of(first[name])
            says = f'"{site.name}" is also the name at {where}; give one of them another'
            findings.of_record(site.id, says, "name", warning=True)
        else:
            first[name] = site.id
