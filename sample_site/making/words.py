"""Notes and tags: what somebody wrote at a place, and one word on one record.

Not for: what the reader of the folder should know (README.md).
"""

from __future__ import annotations

from making.ground import Record, at_centre


def notes() -> list[Record]:
    """Answer the notes; one stands at a position of its own."""
    lat, lon = at_centre("pellwick", -22.0, 34.0)
    rows = (
        (
            "ditch-post",
            "2025-04-06T10:15:00+01:00",
            "Whitewashed on top: it is used. Lean no pole on it.",
        ),
        (
            "pump-house",
            "2025-04-12T05:40:00+01:00",
            "Left slot creaks. Oil it, or leave it half open.",
        ),
        (
            "pool-margin",
            "2025-06-07T06:30:00+01:00",
            "Water down a hand's width; egret walks further out.",
        ),
        (
            "bramble-spray",
            "2025-07-26T07:30:00+01:00",
            "Meadow cut on Thursday: the background is bright now.",
        ),
        ("gorse-bank", "2026-03-14T09:10:00+00:00", "Pair carrying. Keep off until August."),
        (
            "hedge-gap",
            "2026-04-25T21:05:00+01:00",
            "Slots both ways in the mud, fresh on top going north.",
        ),
        (
            "bank-seat",
            "2026-11-14T16:50:00+00:00",
            "Second alarm from here in three days. Let it rest.",
        ),
        (
            "brook-log",
            "2026-09-19T08:50:00+01:00",
            "Camera in. Nothing between four and half past in the morning since Monday.",
        ),
        (
            "ride-seep",
            "2026-10-17T09:30:00+01:00",
            "Only pins for this one, and a poor sky. Measure it next time.",
        ),
        (
            "ride-hide",
            "2025-06-14T21:50:00+01:00",
            "Deer wind here is west; from the east they have you at the gate.",
        ),
    )
    made: list[Record] = [
        {
            "id": f"note-{count:02d}",
            "site": "hobthorn" if pin in ("brook-log", "ride-seep", "ride-hide") else "pellwick",
            "pin": pin,
            "at": at,
            "text": text,
        }
        for count, (pin, at, text) in enumerate(rows, 1)
    ]
    made.append(
        {
            "id": f"note-{len(rows) + 1:02d}",
            "site": "pellwick",
            "position": {"lat": round(lat, 6), "lon": round(lon, 6), "accuracy_m": 6},
            "at": "2026-05-16T08:00:00+01:00",
            "text": "Old rail here would make a perch with 90 m behind it. Ask at the farm.",
        }
    )
    return made


def tags() -> list[Record]:
    """Answer the tags."""
    rows = (
        *(("ditch-post", "favourite"), ("pump-post", "winter"), ("pump-post", "summer")),
        *(("pool-margin", "mist"), ("bank-seat", "rest"), ("bale-gap", "summer")),
        *(("bank-gap", "winter"), ("photo-skyline", "skyline"), ("ride-seep", "measure")),
        *(("photo-log", "too dark"),),
    )
    return [
        {"id": f"tag-{count:02d}", "record": record, "word": word}
        for count, (record, word) in enumerate(rows, 1)
    ]
