"""A rescue file as a phone writes it, in the format of `scout.notebook.rescue`."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from scout.notebook.rescue import FORMAT, PART_BYTES


def rescue_lines(
    device: str,
    made_at: str,
    changes: Iterable[Mapping[str, Any]],
    blobs: Iterable[tuple[str, str, bytes]] = (),
) -> Iterator[str]:
    """Write a rescue file line by line; `blobs` are hash, media type and bytes."""
    yield _line({"rescue": FORMAT, "device": device, "made_at": made_at})
    for change in changes:
        yield _line({"change": change})
    for sha256, media_type, held in blobs:
        parts = max(1, -(-len(held) // PART_BYTES))
        for part in range(parts):
            piece = held[part * PART_BYTES : (part + 1) * PART_BYTES]
            yield _line(
                {
                    "blob": sha256,
                    "media_type": media_type,
                    "part": part + 1,
                    "parts": parts,
                    "base64": base64.b64encode(piece).decode("ascii"),
                }
            )
    yield _line({"end": True})


def _line(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n"
