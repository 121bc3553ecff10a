"""The one written form of a value and of a change (RFC 8785), and the hashes drawn from it.

It decides whether two values are equal, and names a change's body. Not for: reading JSON
(`strict_json`).
"""

from __future__ import annotations

import hashlib
import json
from typing import Any, cast

import rfc8785

from scout.records.change import LAST_EXACT_INTEGER
from scout.records.trouble import Refused

FIRST_CHAIN = "0" * 64  # what the first change in a journal is chained to


def canonical(value: object) -> str:
    """Write a JSON value in its canonical form.

    Raises Refused for what has none: NaN, infinities, integers beyond 2^53, halves of characters,
    anything not JSON.
    """
    try:
        return rfc8785.dumps(cast(Any, value)).decode("utf-8")
    except rfc8785.FloatDomainError:
        raise Refused.one("holds a number that is not finite; leave it out") from None
    except rfc8785.IntegerDomainError:
        raise Refused.one(
            "holds a whole number beyond 2^53, which not every reader keeps; write it as text"
        ) from None
    except (rfc8785.CanonicalizationError, UnicodeEncodeError):
        raise Refused.one(
            "holds half of a character (a lone surrogate) or something not JSON; type it again"
        ) from None
    except RecursionError:
        raise Refused.one("is nested too deeply; write it flatter") from None


def plain(text: str) -> Any:
    """Read a canonical form back to its value.

    2^53 and more is written like an integer, but was a float and must be one to be written again.
    """
    return json.loads(text, parse_int=_whole)


def _whole(digits: str) -> int | float:
    number = int(digits)
    return number if abs(number) <= LAST_EXACT_INTEGER else float(digits)


def sha256_of(text: str) -> str:
    """Answer the SHA-256 of a text's UTF-8, in lower-case hex."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def link(previous: str, change_id: str, body_sha256: str) -> str:
    """Answer the chain after one more change: what binds every change to all before it."""
    return hashlib.sha256(f"{previous}{change_id}{body_sha256}".encode("ascii")).hexdigest()
