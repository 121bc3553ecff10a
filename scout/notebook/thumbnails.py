"""A photo opened in a process of its own, with little memory and little time, and made small.

Run as a program: the photo, the place for the thumbnail, and the folder nothing else is written to.
Prints one line of JSON: what the picture is and what its file says of itself, or why it is not
read. Pictures come from strangers: only three formats are tried, a pixel flood is refused before it
is decoded, and the thumbnail is made anew from pixels, so that nothing else hidden in the file gets
into it. Not for: originals, which nobody changes.
"""

from __future__ import annotations

import json
import subprocess
import sys
import warnings
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from PIL import Image, ImageOps, UnidentifiedImageError

from scout.notebook import exif
from scout.notebook.pictures import FORMATS, LARGEST_PIXELS

LONGEST_SIDE_PX: Final = 640
MEMORY_BYTES: Final = 1_000_000_000
CPU_S: Final = 20
PATIENCE_S: Final = 40
_QUALITY = 82
_MOST_OUTPUT = 20_000
_MOST_WRITTEN = 4_000_000

_NOT_A_PICTURE = f"This is no picture that is read here; those are: {', '.join(FORMATS)}."
_FLOOD = f"The picture has more than {LARGEST_PIXELS // 1_000_000} million pixels."
_DAMAGED = "The picture is damaged or cut short."
_TOO_MUCH = "The picture takes more memory or time to open than it is given."


def develop(photo: Path, thumbnail: Path) -> dict[str, Any]:
    """Open a photo in a child process; answer what it is, with `state` read or unreadable.

    The thumbnail is there when the state is `read`.
    """
    command = [sys.executable, "-m", "scout.notebook.thumbnails", str(photo), str(thumbnail)]
    try:
        run = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=PATIENCE_S,
            check=False,
        )
        found = json.loads(run.stdout[:_MOST_OUTPUT]) if run.returncode == 0 else None
    except (subprocess.TimeoutExpired, ValueError):
        found = None
    if not isinstance(found, dict):  # killed for what it took
        thumbnail.unlink(missing_ok=True)
        return _unreadable(_TOO_MUCH)
    return found


def look(photo: Path, thumbnail: Path) -> dict[str, Any]:
    """Open a photo and make it small; the child's own work."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            warnings.filterwarnings("ignore", category=UserWarning, module="PIL")
            with Image.open(photo, formats=FORMATS) as picture:
                return _read(picture, thumbnail)
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        return _unreadable(_FLOOD)
    except UnidentifiedImageError:
        return _unreadable(_NOT_A_PICTURE)
    except MemoryError:
        return _unreadable(_TOO_MUCH)
    except Exception:  # decoders raise whatever they like on hostile bytes
        return _unreadable(_DAMAGED)


def _read(picture: Image.Image, thumbnail: Path) -> dict[str, Any]:
    width, height = picture.size
    if width * height > LARGEST_PIXELS:
        return _unreadable(_FLOOD)
    told = _facts(picture)
    picture.draft("RGB", (2 * LONGEST_SIDE_PX, 2 * LONGEST_SIDE_PX))  # a JPEG is decoded small
    picture.load()
    picture.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX), reducing_gap=2.0)
    upright = ImageOps.exif_transpose(picture)
    small = _flattened(upright)
    small.save(thumbnail, "JPEG", quality=_QUALITY, optimize=True)
    turned = (upright.width > upright.height) != (width > height) and width != height
    size = [height, width] if turned else [width, height]
    return {
        "state": "read",
        "format": picture.format,
        "width_px": size[0],
        "height_px": size[1],
    } | {"says": told}


def _flattened(picture: Image.Image) -> Image.Image:
    """Put a picture on white and drop everything that is not pixels."""
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        layered = picture.convert("RGBA")
        ground = Image.new("RGBA", layered.size, "white")
        ground.alpha_composite(layered)
        picture = ground
    plain = Image.new("RGB", picture.size)
    plain.paste(picture.convert("RGB"))
    return plain


def _facts(picture: Image.Image) -> dict[str, Any]:
    """Answer what the file says; a broken directory says nothing and spoils no picture."""
    tags: dict[int, Any] = {}
    gps: dict[int, Any] = {}
    with suppress(Exception):
        held = picture.getexif()
        tags = dict(held.get_ifd(exif.EXIF_IFD))
        gps = dict(held.get_ifd(exif.GPS_IFD))
    return exif.facts(tags, gps)


def _unreadable(why: str) -> dict[str, Any]:
    return {"state": "unreadable", "why": why}


def _limit() -> None:
    try:
        import resource
    except ImportError:  # a system without such limits; the timeout holds there as well
        return
    for what, most in (
        (resource.RLIMIT_AS, MEMORY_BYTES),
        (resource.RLIMIT_CPU, CPU_S),
        (resource.RLIMIT_FSIZE, _MOST_WRITTEN),
        (resource.RLIMIT_CORE, 0),
    ):
        with suppress(ValueError, OSError):
            resource.setrlimit(what, (most, most))


if __name__ == "__main__":
    _limit()
    sys.stdout.write(json.dumps(look(Path(sys.argv[1]), Path(sys.argv[2]))))
