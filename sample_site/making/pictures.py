"""The reference photos: small drawn scenes with honest EXIF, and their records.

Each is drawn from a seed of its own. Their bytes depend on the JPEG library in use, so another
machine may encode the same scene into other bytes; size, EXIF and picture stay the same.
Not for: pictures anybody should admire.
"""

from __future__ import annotations

import hashlib
import io
import math
import random
from typing import Any

from making.ground import Record, at_centre, between, declination_deg, place_of
from making.lines import SIGHTLINES
from PIL import ExifTags, Image, ImageDraw, ImageFilter

SIZE = (640, 427)
Colour = tuple[int, int, int]
# scene: sky, far band, near ground, how the far band ends at the top, what stands in front
SCENES: dict[str, tuple[Colour, Colour, Colour, str, str]] = {
    "hedge": ((206, 196, 178), (58, 70, 52), (122, 124, 84), "round", "post"),
    "meadow": ((214, 214, 204), (142, 150, 104), (120, 130, 82), "flat", "spray"),
    "conifers": ((190, 202, 212), (34, 46, 42), (110, 112, 80), "spiky", "rock"),
    "water": ((188, 198, 206), (70, 78, 66), (104, 116, 122), "round", "ripples"),
    "ride": ((150, 156, 150), (40, 48, 38), (84, 84, 58), "spiky", "log"),
    "dusk": ((206, 164, 130), (46, 44, 50), (70, 66, 58), "round", "gap"),
}
# id: (scene, pin, when, shutter 1/…, f-number, ISO, compensation, focal mm, what EXIF, caption)
PHOTOS: dict[str, tuple[str, str, str, int, float, int, float, int, str, str]] = {
    "photo-post": (
        *("hedge", "pump-post", "2025-05-10T07:05:30+01:00", 800, 7.1, 1250, 0.0, 500, "full"),
        "Ditch post from the pump house, hedge in shade",
    ),
    "photo-bramble": (
        *("meadow", "pump-bramble", "2025-05-10T07:12:00+01:00", 1000, 7.1, 1250, 0.0, 500),
        *("full", "Bramble spray; the cut meadow behind it is bright"),
    ),
    "photo-pool": (
        *("water", "pump-pool", "2025-06-07T06:20:10+01:00", 500, 7.1, 1600, -0.67, 500, "full"),
        "Pool margin, slightly down on it",
    ),
    "photo-gorse": (
        *("conifers", "track-gorse", "2026-10-10T09:12:00+01:00", 640, 5.6, 800, 0.0, 420),
        *("heading", "Gorse bank after the nest season"),
    ),
    "photo-backlit": (
        *("hedge", "hedge-post", "2026-05-09T06:40:45+01:00", 500, 7.1, 1600, 0.67, 500),
        *("heading", "Ditch post against the light: rim only"),
    ),
    "photo-skyline": (
        *("conifers", "pool-margin", "2025-06-28T09:00:00+01:00", 320, 8.0, 200, 0.0, 24),
        *("position", "Skyline east of the pool, traced from this"),
    ),
    "photo-gap": (
        *("dusk", "bank-gap", "2026-06-13T21:05:20+01:00", 200, 7.1, 6400, 0.33, 500, "full"),
        "Hedge gap at dusk, at the ISO ceiling",
    ),
    "photo-bales": (
        *("dusk", "bale-gap", "2026-07-18T20:58:00+01:00", 250, 5.6, 3200, 0.0, 420, "no offset"),
        "Camera without a time zone: local time noted by hand",
    ),
    "photo-log": (
        *("ride", "root-log", "2025-07-20T05:55:00+01:00", 60, 7.1, 6400, 0.0, 500, "plain"),
        "The log; far too dark for a moving animal",
    ),
    "photo-boulder": (
        *("conifers", "root-boulder", "2026-04-04T08:30:00+01:00", 800, 7.1, 1600, 0.0, 500),
        *("full", "Boulder with the larches behind it"),
    ),
    "photo-ride": (
        *("ride", "ride-end-line", "2026-08-15T19:45:00+01:00", 320, 5.6, 3200, 0.0, 420),
        *("heading", "Ride end from the hide"),
    ),
    "photo-seep": (
        *("ride", "seep", "2026-10-17T09:20:00+01:00", 0, 0.0, 0, 0.0, 0, "none"),
        "A copy that lost its EXIF on the way",
    ),
}


def _scene(name: str, scene: str) -> Image.Image:
    rng = random.Random(name)
    sky, far, near, top, front = SCENES[scene]
    width, height = SIZE
    picture = Image.new("RGB", SIZE)
    draw = ImageDraw.Draw(picture)
    for y in range(height):
        pale = 1.0 - 0.25 * y / height
        draw.line([(0, y), (width, y)], fill=tuple(round(part * pale) for part in sky))
    horizon = round(height * (0.42 + 0.08 * rng.random()))
    outline = [(0, height)]
    for x in range(0, width + 1, 8):
        rise = 18 * math.sin(x / 90 + 6 * rng.random() * (top == "round") * 0.05)
        rise += {"flat": 4, "round": 22, "spiky": 46}[top] * rng.random()
        outline.append((x, horizon - round(rise)))
    outline.append((width, height))
    draw.polygon(outline, fill=far)
    draw.rectangle([0, round(height * 0.72), width, height], fill=near)
    picture = picture.filter(ImageFilter.GaussianBlur(7))  # the far background, out of focus
    draw = ImageDraw.Draw(picture)
    x = round(width * (0.4 + 0.2 * rng.random()))
    _front(draw, rng, front, x)
    for _ in range(26):
        foot = round(width * rng.random())
        lean = round(30 * (rng.random() - 0.5))
        draw.line(
            [(foot, height), (foot + lean, height - round(40 + 60 * rng.random()))],
            fill=tuple(min(255, part + 24) for part in near),
            width=2,
        )
    return picture


def _front(draw: ImageDraw.ImageDraw, rng: random.Random, front: str, x: int) -> None:
    width, height = SIZE
    brown = (88, 74, 58)
    if front == "post":
        draw.polygon([(x - 9, height), (x - 7, 210), (x + 7, 206), (x + 10, height)], fill=brown)
    elif front == "spray":
        for reach in (150, 120, 80, -70, -110):
            top = 190 + round(40 * rng.random())
            draw.line([(x, height), (x + reach // 2, top), (x + reach, top + 50)], brown, 4)
    elif front == "rock":
        sides = [(-110, 350), (-80, 290), (-10, 262), (60, 275), (105, 330), (120, 372)]
        draw.polygon([(x + across, down) for across, down in sides], fill=(120, 118, 112))
    elif front == "log":
        draw.polygon([(40, 330), (600, 290), (604, 316), (44, 362)], fill=(62, 52, 42))
    elif front == "gap":
        draw.rectangle([0, 190, x - 60, 330], fill=(30, 30, 32))
        draw.rectangle([x + 60, 190, width, 330], fill=(30, 30, 32))
    else:
        for _ in range(22):
            left, down = round(width * rng.random()), round(320 + 90 * rng.random())
            draw.line([(left, down), (left + 60, down)], (140, 152, 160), 2)


def _sexagesimal(degrees: float) -> tuple[float, float, float]:
    minutes = abs(degrees) % 1.0 * 60.0
    return (float(int(abs(degrees))), float(int(minutes)), round(minutes % 1.0 * 60.0, 2))


def _standing(pin: str) -> tuple[str, float, float, float | None]:
    """Answer site, east, north of where a photo was taken, and the true way it looks if known."""
    if pin in SIGHTLINES:
        vantage, perch = SIGHTLINES[pin][:2]
        return (*place_of(vantage), between(vantage, perch)[0])
    return (*place_of(pin), None)


def _exif(name: str) -> Image.Exif | None:
    _, pin, at, shutter, f_number, iso, compensation, focal, carries, _ = PHOTOS[name]
    if carries == "none":
        return None
    exif = Image.Exif()
    inner: dict[int, Any] = exif.get_ifd(ExifTags.IFD.Exif)
    inner[ExifTags.Base.ExposureTime] = 1.0 / shutter
    inner[ExifTags.Base.FNumber] = f_number
    inner[ExifTags.Base.ISOSpeedRatings] = iso
    inner[ExifTags.Base.DateTimeOriginal] = at[:19].replace("-", ":").replace("T", " ")
    if carries != "no offset":
        inner[ExifTags.Base.OffsetTimeOriginal] = at[19:]
    inner[ExifTags.Base.ExposureBiasValue] = compensation
    inner[ExifTags.Base.FocalLength] = float(focal)
    site, east, north, looks = _standing(pin)
    places: dict[int, Any] = exif.get_ifd(ExifTags.IFD.GPSInfo)
    if carries in ("full", "position"):
        lat, lon = at_centre(site, east, north)
        places[ExifTags.GPS.GPSLatitudeRef] = "N" if lat >= 0 else "S"
        places[ExifTags.GPS.GPSLatitude] = _sexagesimal(lat)
        places[ExifTags.GPS.GPSLongitudeRef] = "E" if lon >= 0 else "W"
        places[ExifTags.GPS.GPSLongitude] = _sexagesimal(lon)
    if carries in ("full", "heading") and looks is not None:
        # A camera's own compass reads magnetic; "full" ones were turned to true by it.
        places[ExifTags.GPS.GPSImgDirectionRef] = "T" if carries == "full" else "M"
        places[ExifTags.GPS.GPSImgDirection] = _looks(site, looks, at, carries)
    return exif


def _looks(site: str, bearing_deg: float, at: str, carries: str) -> float:
    if carries == "full":
        return round(bearing_deg) % 360.0
    return round(bearing_deg - declination_deg(site, float(at[:4]) + float(at[5:7]) / 12)) % 360.0


def _record(name: str, data: bytes) -> Record:
    _, pin, at, shutter, f_number, iso, compensation, _, carries, caption = PHOTOS[name]
    site, east, north, looks = _standing(pin)
    record: Record = {
        "id": name,
        "site": site,
        "pin": pin,
        "blob": hashlib.sha256(data).hexdigest(),
        "file_name": f"{name.removeprefix('photo-')}.jpg",
        "at": {"at": at, "source": "person" if carries in ("no offset", "none") else "photo"},
    }
    if carries in ("full", "position"):
        lat, lon = at_centre(site, east, north)
        record["position"] = {
            "lat": round(lat, 6),
            "lon": round(lon, 6),
            "accuracy_m": 10,
            "source": "photo",
        }
    if carries in ("full", "heading") and looks is not None:
        record["bearing"] = {
            "read_deg": _looks(site, looks, at, carries),
            "reference": "true" if carries == "full" else "magnetic",
            "how": "phone compass",
            "plus_minus_deg": 10,
        }
    if carries != "none":
        record["exposure"] = {
            "shutter_s": round(1.0 / shutter, 7),
            "f_number": f_number,
            "iso": iso,
            "compensation_ev": compensation,
        }
        record["looks_right"] = name not in ("photo-log", "photo-backlit")
    record["caption"] = caption
    return record


def photos() -> tuple[list[Record], dict[str, bytes]]:
    """Answer the photo records, and the bytes of each by file name."""
    records, files = [], {}
    for name, facts in PHOTOS.items():
        stream = io.BytesIO()
        exif = _exif(name)
        options: dict[str, Any] = {} if exif is None else {"exif": exif}
        _scene(name, facts[0]).save(stream, "JPEG", quality=62, **options)
        record = _record(name, stream.getvalue())
        records.append(record)
        files[record["file_name"]] = stream.getvalue()
    return records, files
