"""The bytes of reference photos: where they lie, their SHA-256, whether they are whole.

Pictures come from strangers' devices. Only a few formats are tried, nothing larger than a camera
makes is decoded, and whatever a decoder says becomes a sentence.
Not for: what a picture shows or how it was exposed.
"""

from __future__ import annotations

import hashlib
import re
import warnings
from pathlib import Path
from typing import Any

from PIL import Image, UnidentifiedImageError

FORMATS = ("JPEG", "PNG", "WEBP")
LARGEST_PIXELS = 120_000_000
# More than a picture from a phone or a camera has: what was taken without a signal must not be
# refused weeks later. Memory and time are kept small by other means: bytes come in pieces, and a
# picture is opened by a process of its own with limits of its own, whatever its size.
LARGEST_BYTES = 200_000_000

_PLAIN_NAME = re.compile(r"[^\x00-\x1f/\\:.][^\x00-\x1f/\\:]*")

Image.MAX_IMAGE_PIXELS = LARGEST_PIXELS  # for the whole process: nothing here wants more


def names_of(photo: Any) -> list[str]:
    """Answer the names under which a photo's bytes may lie: its own, then that of its bytes.

    A name that is no plain file name (a path, a hidden file) is passed over.
    """
    own = photo.file_name
    plain = own is not None and _PLAIN_NAME.fullmatch(own) and len(own.encode()) <= 200
    return [own, photo.blob] if plain else [photo.blob]


def file_of(photos: Path, photo: Any) -> Path | None:
    """Answer the file that holds a photo's bytes, by its name; None where there is none.

    A link that leads out of the folder is no file here.
    """
    for name in names_of(photo):
        found = photos / name
        if found.is_file() and found.resolve().is_relative_to(photos.resolve()):
            return found
    return None


def sha256_of(path: Path) -> str:
    """Answer the SHA-256 of a file's bytes, 64 hexadecimal digits."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def picture_trouble(path: Path) -> str | None:
    """Say what is wrong with a picture file; None for a whole one of a format and size taken."""
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        return f"is {size / 1e6:.0f} MB large; at most {LARGEST_BYTES / 1e6:.0f} MB are taken"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            warnings.filterwarnings("ignore", category=UserWarning, module="PIL")
            with Image.open(path, formats=FORMATS) as picture:
                picture.verify()
            with Image.open(path, formats=FORMATS) as picture:  # verify leaves it unusable
                picture.load()
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        return f"has more than {LARGEST_PIXELS // 1_000_000} million pixels; make it smaller"
    except UnidentifiedImageError:
        return f"is no picture that is read here; use one of: {', '.join(FORMATS)}"
    except (
        Exception
    ):  # decoders raise whatever they like on hostile bytes, and none of it may reach a person
        return "is damaged or cut short; copy it again"
    return None
