"""Stamps and ids made from a clock that is always handed in, never looked up.

A stamp is a tie-break among heads and nothing else; an id is never used for order.
Not for: observed times (a record's own data), or conflicts (`merge`: those come from versions).
"""

from __future__ import annotations

import datetime as dt
import secrets
import uuid
from collections.abc import Callable, Iterable

Clock = Callable[[], dt.datetime]

_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_LAST_MS = 10**15 - 1
_LAST_COUNT = 0xFFFF


def milliseconds(moment: dt.datetime) -> int:
    """Answer the ms since 1970 of a moment, rounded down; raises ValueError for a naive one."""
    if moment.tzinfo is None:
        raise ValueError(
            "the clock answered a time without its offset from UTC; hand in a clock that has one, "
            "like lambda: datetime.now(timezone.utc)"
        )
    return (moment - _EPOCH) // dt.timedelta(milliseconds=1)


def written(moment: dt.datetime) -> str:
    """Write an aware moment in UTC to the ms, so that it sorts as text."""
    milliseconds(moment)
    utc = moment.astimezone(dt.UTC)
    return f"{utc:%Y-%m-%dT%H:%M:%S}.{utc.microsecond // 1000:03d}Z"


def stamp_after(now_ms: int, offset_ms: int, heads: Iterable[str], device: str) -> str:
    """Form a stamp: the corrected clock, or one more than the highest head if that is later.

    `heads`: the stamps of every known head of the registers set. A hybrid logical clock (Kulkarni
    et al. 2014) without its message clock: what was merely received moves nothing.
    """
    ms, count = min(max(now_ms + offset_ms, 0), _LAST_MS), 0
    for head in heads:
        ms, count = max((ms, count), _one_more(int(head[:15]), int(head[16:20], 16)))
    return f"{ms:015d}-{count:04x}-{device[-8:]}"


def _one_more(ms: int, count: int) -> tuple[int, int]:
    if count < _LAST_COUNT:
        return ms, count + 1
    if ms < _LAST_MS:
        return ms + 1, 0
    return ms, count  # past the last stamp there is none; the id breaks the tie


def new_id(now_ms: int, random: bytes | None = None) -> str:
    """Make a UUID of version 7 (RFC 9562, 5.7) from the ms since 1970 and ten random bytes."""
    noise = int.from_bytes(secrets.token_bytes(10) if random is None else random, "big")
    number = (max(now_ms, 0) & (1 << 48) - 1) << 80 | noise
    number = number & ~(0xF << 76) | 0x7 << 76
    number = number & ~(0x3 << 62) | 0x2 << 62
    return str(uuid.UUID(int=number))
