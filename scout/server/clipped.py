"""Texts made to fit on paper: clipped at a word, counted in lines, the rest left to the notebook.

What a font will do is guessed with room to spare. Not for: drawing (`room`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import ceil

_FIGURE = re.compile(r"(?<=\d) ((?:min|m|%|px|mm)\b|%)")


def clipped(text: str, most: int) -> str:
    """Clip a text to so many letters, at a word where there is one, with … for what is missing."""
    plain = " ".join("".join(c for c in text if c.isprintable() or c.isspace()).split())
    # A figure stays with its unit.
    plain = _FIGURE.sub("\u00a0\\1", plain)
    if len(plain) <= most:
        return plain
    cut = plain[: most - 1]
    word = cut.rsplit(" ", 1)[0]
    # A word longer than half the room is cut through rather than left out.
    kept = word if len(word) >= most // 2 else cut
    return f"{kept.rstrip(' ,;:.')}…"


def shortened(text: str, letters: int) -> str:
    """Shorten a sentence longer than so many letters by what can best be spared.

    A bracket at its end goes first; of several clauses the first and the last are kept: what it is
    about, and what it comes to.
    """
    if len(text) > letters and text.endswith(")") and " (" in text:
        text = text.rsplit(" (", 1)[0]
    if len(text) <= 2 * letters or "; " not in text:
        return text
    first, rest = text.split("; ", 1)
    last = rest.rsplit(", ", 1)
    return text if len(last) < 2 else f"{first}; … {last[1]}"


def fitted(texts: Sequence[str], per_line: int, lines: int, longest: int = 3) -> list[str]:
    """Keep the texts that fit into so many lines of so many letters, then say how many are left.

    No text takes more than `longest` lines; a line is kept for the count where one is needed.
    """
    clean = [clipped(text, per_line * longest) for text in texts if text.strip()]
    kept: list[str] = []
    left = lines
    for place, text in enumerate(clean):
        need = ceil(len(text) / per_line)
        more_come = place < len(clean) - 1
        if need > left - more_come:
            room = per_line * (left - 1)
            if room >= per_line:
                kept.append(clipped(text, room))
                place += 1
            rest = len(clean) - place
            if rest:
                kept.append(f"… {rest} more in the notebook")
            return kept
        kept.append(text)
        left -= need
    return kept
