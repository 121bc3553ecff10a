"""Which modules of the front end a module starts with: what it imports, and what those import.

Not for: what is imported later, by a call (`import()`).
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable
from typing import Final

# `import … from './a.js'`, `export … from './a.js'`, `import './a.js'`, where a line starts.
_NAMED: Final = re.compile(
    r"""^(?:import|export)\b[^;'"]*?from\s*['"](\.[^'"]+)['"]|^import\s*['"](\.[^'"]+)['"]""",
    re.MULTILINE,
)


def imported(text_of: Callable[[str], str], start: str) -> list[str]:
    """List a module and all that it starts with, in the order in which they are met.

    `text_of`: name → text of a module, "" where there is none. Names are paths in one folder.
    """
    met = [start]
    for name in met:
        for found in _NAMED.finditer(text_of(name)):
            path = posixpath.normpath(posixpath.join(posixpath.dirname(name), found[1] or found[2]))
            if path not in met:
                met.append(path)
    return met
