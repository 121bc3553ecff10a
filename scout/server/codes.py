"""Codes read off one screen and typed on another, and the names that devices give themselves.

Not for: what a code opens (`pairing`).
"""

from __future__ import annotations

import secrets
import unicodedata
from itertools import pairwise
from typing import Final

from scout.server.errors import Problem

LETTERS: Final = "BCDFGHJKLMNPQRSTVWXZ"
"""RFC 8628, 6.1: no vowels, so that no code is a word; small and large letters are one."""
_GROUP = 4
_LONGEST_NAME = 60


def made(letters: int) -> str:
    """Make a code of so many letters."""
    return "".join(secrets.choice(LETTERS) for _ in range(letters))


def shown(code: str) -> str:
    """Write a code in groups of four; a short last group joins the one before."""
    whole = len(code) // _GROUP
    cuts = [*range(0, whole * _GROUP, _GROUP), len(code)]
    return "-".join(code[start:end] for start, end in pairwise(cuts))


def plain(typed: str) -> str:
    """Answer what was typed as the code was made, whatever stands between its letters."""
    return "".join(one for one in typed.upper() if one.isalnum())


def named(name: str) -> str:
    """Answer a name made fit to be shown; raises Problem where nothing is left of it."""
    printable = "".join(one if unicodedata.category(one)[0] not in "CZ" else " " for one in name)
    fit = " ".join(printable.split())[:_LONGEST_NAME].strip()
    if not fit:
        raise Problem(400, "shape", "name: give this device a name, so that it can be told apart.")
    return fit
