"""What happened: visits, what was watched and what came, light that was measured, photos and notes.

Not for: habits drawn from it (the engine's), or the places themselves (`places`).
"""

from __future__ import annotations

import attrs

from scout.records import fields as f
from scout.records import measured as m
from scout.records.places import LEAF, TONES
from scout.records.reading import group

SKIES = ("clear", "in and out", "overcast")
FAILURES = ("light", "background", "distance", "focus", "absence")


@attrs.frozen(kw_only=True)
class Visit:
    """One person's time at a site; that nothing was seen is an ordinary outcome."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    by: str | None = f.text("By", longest=80)
    start: m.Moment = m.moment("Start", needed=True)
    end: m.Moment | None = m.moment("End")
    end_unsure: bool | None = f.flag("End not sure", help="A forgotten end, filled in later")
    sky: str | None = f.choice("Sky", SKIES)
    wind_from_deg: float | None = f.number("Wind from", "° true", low=0, high=360)
    wind_force: int | None = f.number("Wind force", "Beaufort", low=0, high=12, whole=True)
    temperature_c: float | None = f.number("Temperature", "°C", low=-60, high=60)
    mist: bool | None = f.flag("Mist")
    snow: str | None = f.choice("Snow", ("none", "patches", "covered"))
    frames: int | None = f.number("Frames taken", low=0, high=1_000_000, whole=True)
    keepers: int | None = f.number("Frames kept", low=0, high=1_000_000, whole=True)
    failed_by: tuple[str, ...] = f.many("What failed", f.choice("What", FAILURES))
    note: str | None = f.text("Note")


def kept_trouble(frames: object, keepers: object) -> str | None:
    """Say that more was kept than taken, None where it was not.

    Two people's notes may come together to this, so that the reader takes it; whoever writes it
    down alone is told at once.
    """
    if not isinstance(frames, int) or not isinstance(keepers, int) or keepers <= frames:
        return None
    return f"{keepers} kept of {frames} frames; correct one of the two"


@attrs.frozen(kw_only=True)
class Watch:
    """A part of a visit at one vantage, or a trail camera's running time."""

    id: str = f.identity("Id", needed=True)
    visit: str | None = f.identity("Visit", refers_to=["visit"], help="None for a trail camera")
    vantage: str | None = f.identity("Vantage", refers_to=["vantage"])
    perches: tuple[str, ...] = f.many("Perches watched", f.identity("Perch", refers_to=["perch"]))
    start: m.Moment = m.moment("Start", needed=True)
    end: m.Moment | None = m.moment("End")
    end_unsure: bool | None = f.flag("End not sure")
    quiet_from: m.Moment | None = m.moment("Quiet again from", help="Else 20 minutes after arrival")
    in_the_dark: bool | None = f.flag(
        "Watched in the dark too", help="By heat picture, trail camera or ear"
    )
    trail_camera: bool | None = f.flag("Trail camera")


@attrs.frozen(kw_only=True)
class Sighting:
    """One presence of an animal within a watch."""

    id: str = f.identity("Id", needed=True)
    watch: str = f.identity("Watch", refers_to=["watch"], needed=True)
    species: str = f.identity("Species", refers_to=["species"], needed=True)
    how: str = f.choice("How", ("seen", "heard", "sign", "trail camera"), needed=True)
    time_in: m.Moment = m.moment("From", needed=True)
    time_out: m.Moment | None = m.moment("Until")
    perch: str | None = f.identity("Perch", refers_to=["perch"])
    position: m.Position | None = m.position("Position")
    count: int | None = f.number("Count", low=1, high=100_000, whole=True)
    behaviour: str | None = f.text("Behaviour", longest=200)


@attrs.frozen(kw_only=True)
class Reaction:
    """The animal noticed something."""

    id: str = f.identity("Id", needed=True)
    watch: str = f.identity("Watch", refers_to=["watch"], needed=True)
    species: str | None = f.identity("Species", refers_to=["species"])
    what: str = f.choice("What it did", ("looked up", "moved off", "alarm", "left"), needed=True)
    at: m.Moment = m.moment("When", needed=True)
    distance_m: float | None = f.number("Distance", "m", low=0, high=10_000)
    cause: str | None = f.choice("Cause", ("me", "other"))


@attrs.frozen(kw_only=True)
class LightReading:
    """Measured light, as an exposure value at ISO 100."""

    id: str = f.identity("Id", needed=True)
    site: str = f.identity("Site", refers_to=["site"], needed=True)
    at: m.Moment = m.moment("When", needed=True)
    perch: str | None = f.identity("Perch", refers_to=["perch"])
    ev100: float = f.number("Exposure value", "EV at ISO 100", low=-10, high=20, needed=True)
    source: str | None = f.choice("Source", ("meter", "test shot"))
    facing_deg: float | None = f.number(
        "Way the measured face looked", "° true", low=0, high=360, help="None for level ground"
    )
    sky: str | None = f.choice("Sky", SKIES)
    leaf: str | None = f.choice("Leaf", LEAF)
    tone: str | None = f.choice("What filled the frame", TONES)
    photo: str | None = f.identity("Photo", refers_to=["photo"])


@attrs.frozen(kw_only=True)
class Exposure:
    """How a picture was exposed, as its file says."""

    shutter_s: float = f.number("Shutter", "s", low=0.00001, high=3600, needed=True)
    f_number: float = f.number("Aperture", "f-number", above=0.5, high=128, needed=True)
    iso: float = f.number("ISO", low=1, high=10_000_000, needed=True)
    compensation_ev: float | None = f.number("Exposure compensation", "stops", low=-10, high=10)


@attrs.frozen(kw_only=True)
class Photo:
    """A reference photo; its bytes are named by their SHA-256."""

    id: str = f.identity("Id", needed=True)
    site: str | None = f.identity("Site", refers_to=["site"])
    pin: str | None = f.identity(
        "Pin", refers_to=["perch", "vantage", "landmark", "sightline", "visit"]
    )
    blob: str = f.digest("Bytes", needed=True)
    file_name: str | None = f.text("File name", longest=200)
    at: m.Moment | None = m.moment("When")
    position: m.Position | None = m.position("Position")
    bearing: m.Bearing | None = m.bearing("Bearing")
    exposure: Exposure | None = group("Exposure", Exposure)
    looks_right: bool | None = f.flag("Exposure looks right")
    caption: str | None = f.text("Caption", longest=400)


@attrs.frozen(kw_only=True)
class Note:
    """Text at a pin or a position, at a time."""

    id: str = f.identity("Id", needed=True)
    site: str | None = f.identity("Site", refers_to=["site"])
    pin: str | None = f.identity("Pin", refers_to=["perch", "vantage", "landmark", "sightline"])
    position: m.Position | None = m.position("Position")
    at: m.Moment | None = m.moment("When")
    text: str = f.text("Text", longest=20_000, needed=True)


@attrs.frozen(kw_only=True)
class Tag:
    """One word on one record; a record of its own, so that two people's tags never clash."""

    id: str = f.identity("Id", needed=True)
    record: str = f.identity("Record", needed=True)
    word: str = f.text("Word", longest=40, needed=True)
