"""How many bytes something has, in words, as the phone says it too (`bytes` in web/units.js)."""

from __future__ import annotations


def size_words(size_bytes: int) -> str:
    """Say a size: "36 kB", "1.2 MB", "25 MB", "1.9 GB"; nothing is ever "0.0 MB"."""
    if size_bytes < 1000:
        return f"{size_bytes} bytes"
    if size_bytes < 1e6:
        return f"{size_bytes / 1e3:.0f} kB"
    if size_bytes < 1e9:
        return f"{size_bytes / 1e6:.{1 if size_bytes < 1e7 else 0}f} MB"
    return f"{size_bytes / 1e9:.1f} GB"
