"""Answer the parity requests with the engine found on the path; run alike by both Pythons.

Needs nothing but the standard library and the unpacked engine: under CPython it is run with the
site packages switched off, under pyodide it is handed over as text.
"""

from __future__ import annotations

import json
import sys
import zoneinfo


def answers(cases_text: str) -> str:
    """Return the answers' texts, as a JSON array, to a JSON array of [call, request text]."""
    # Zones come from the tzdata package in both, never from the machine.
    zoneinfo.reset_tzpath(())
    from scout.engine.calls import call_text

    return json.dumps([call_text(name, request) for name, request in json.loads(cases_text)])


if __name__ == "__main__":
    sys.path.insert(0, sys.argv[1])
    sys.stdout.write(answers(sys.stdin.read()))
