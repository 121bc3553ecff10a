"""Photos' bytes over HTTP: sent in pieces that are acknowledged one by one, given back by range.

`HEAD` says how much is here, `PATCH` appends at an offset, `GET` gives the original, byte for byte,
in a form that no browser takes for a page. The header names are those of the resumable-upload
draft; conformance with it is not claimed. Not for: thumbnails (`photos`).
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
from typing import Final

from flask import Blueprint, Response, current_app, make_response, request, send_file

from scout.notebook.store.uploads import Whole
from scout.notebook.uploads import LARGEST_PIECE_BYTES, Progress, Uploads
from scout.server.bodies import body
from scout.server.errors import Problem
from scout.server.sync import scoped
from scout.server.who import asker, notebook

PIECE_TYPE: Final = "application/offset+octet-stream"
# What may be named as itself when it is given back; all else is bytes.
SHOWN_TYPES: Final = {
    b"\xff\xd8\xff": "image/jpeg",
    b"\x89PNG\r\n\x1a\n": "image/png",
}
_SHA256 = re.compile(r"[0-9a-f]{64}")
_DIGEST = re.compile(r"(?:^|,)\s*sha-256=:([A-Za-z0-9+/=]+):\s*(?:,|$)")
_WHOLE_NUMBER = re.compile(r"[0-9]{1,15}")
_MEDIA_TYPE = re.compile(r"[a-z]+/[a-z0-9.+-]{1,60}")

_NOT_HERE: Final = "The bytes of this photo have not come here (yet)."

routes = Blueprint("blobs", __name__, url_prefix="/api/v1/blobs")


@routes.route("/<sha256>", methods=["HEAD"])
def progress(sha256: str) -> Response:
    """Say how many bytes of a photo are here."""
    told = _uploads().progress(_named(sha256))
    if told.whole and not _is_seen(sha256):
        told = Progress(0, None, False)
    return _told(told)


@routes.patch("/<sha256>")
def append(sha256: str) -> Response:
    """Append one piece of a photo; answered once it is on the disk."""
    who = asker()
    name = _named(sha256)
    piece = body(LARGEST_PIECE_BYTES, PIECE_TYPE)
    offset, size = _number("Upload-Offset"), _number("Upload-Length")
    if not _is_as_sent(piece):
        raise Problem(
            409,
            "torn",
            "The piece did not arrive as it was sent; send it again.",
            Upload_Offset=str(_uploads().progress(name).offset),
        )
    media_type = request.headers.get("Upload-Media-Type", "")
    told = _uploads().append(
        name,
        offset,
        size,
        piece,
        media_type=media_type if _MEDIA_TYPE.fullmatch(media_type) else None,
        device=who.device,
    )
    return _told(told)


@routes.get("/<sha256>")
def original(sha256: str) -> Response:
    """Give a photo's bytes as they came: hashed before they are claimed."""
    whole = here(sha256, hashed=True)
    path = notebook().blobs.path_of(whole.sha256)
    with path.open("rb") as file:
        begins = file.read(16)
    answer = send_file(
        path,
        mimetype=shown_type(begins),
        as_attachment=True,
        download_name=f"{whole.sha256[:16]}{_ending(begins)}",
        conditional=True,
        etag=whole.sha256,
        max_age=31_536_000,
    )
    answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return only_bytes(answer)


def here(sha256: str, *, hashed: bool = False) -> Whole:
    """Answer a photo that is here whole; `hashed`: and is what its name says. Raises Problem."""
    name = _named(sha256)
    held = notebook().holdings
    if not _is_seen(name):
        raise Problem(404, "not_here", _NOT_HERE)
    whole = held.verified(name) if hashed else held.whole(name)
    if whole is not None:
        return whole
    if notebook().blobs.path_of(name).is_file():
        raise Problem(
            404,
            "damaged",
            "The bytes of this photo have changed on the disk; it is wanted again, from a phone "
            "that still has it or from a backup.",
        )
    raise Problem(404, "not_here", _NOT_HERE)


def _is_seen(sha256: str) -> bool:
    """Tell whether the asker may see the bytes of a photo that is here."""
    sites = asker().sites
    return sites is None or scoped().is_blob_seen(sites, sha256)


def only_bytes(answer: Response) -> Response:
    """Make sure that no browser runs what a picture may hold."""
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return answer


def shown_type(begins: bytes) -> str:
    """Answer the type of a file by its first bytes, whatever its sender called it."""
    for mark, media_type in SHOWN_TYPES.items():
        if begins.startswith(mark):
            return media_type
    if begins[:4] == b"RIFF" and begins[8:12] == b"WEBP":
        return "image/webp"
    return "application/octet-stream"


def _ending(begins: bytes) -> str:
    endings = {"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp"}
    return endings.get(shown_type(begins), ".bin")


def _uploads() -> Uploads:
    found: Uploads = current_app.config["SCOUT_UPLOADS"]
    return found


def _named(sha256: str) -> str:
    if not _SHA256.fullmatch(sha256):
        raise Problem(404, "no_hash", "A photo is named by its SHA-256, 64 small hex digits.")
    return sha256


def _told(told: Progress) -> Response:
    answer = make_response("", 204)
    answer.headers["Upload-Offset"] = str(told.offset)
    if told.size is not None:
        answer.headers["Upload-Length"] = str(told.size)
    answer.headers["Upload-Complete"] = "?1" if told.whole else "?0"
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _number(name: str) -> int:
    typed = request.headers.get(name, "")
    if not _WHOLE_NUMBER.fullmatch(typed):
        raise Problem(400, "shape", f"{name}: give a whole number of bytes in this header.")
    return int(typed)


def _is_as_sent(piece: bytes) -> bool:
    """Compare a piece with what its sender says it is (RFC 9530)."""
    found = _DIGEST.search(request.headers.get("Content-Digest", ""))
    if found is None:
        raise Problem(
            400, "shape", "Content-Digest: give the piece's SHA-256 as sha-256=:<base64>:."
        )
    try:
        said = base64.b64decode(found[1], validate=True)
    except (ValueError, binascii.Error):
        raise Problem(400, "shape", "Content-Digest: this is not base64.") from None
    return said == hashlib.sha256(piece).digest()
