"""The notebook's records for pages and answers, read again only when something was written.

Not for: writing, or the journal.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from typing import Any

import attrs
from flask import current_app

from scout.notebook.leaving import standing
from scout.notebook.loading import Contents
from scout.notebook.notebook import Notebook


class Reading:
    """What the notebook held when it was last asked, kept until its journal has grown."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook
        self._lock = threading.Lock()
        self._place = ""
        self._contents: Contents | None = None

    def contents(self) -> Contents:
        """Answer all records that are shown now; without its other end none is."""
        with self._lock:
            place = self._notebook.furthest()
            if self._contents is None or place != self._place:
                held = self._notebook.contents()
                records, hidden = standing(held.records)
                self._contents = attrs.evolve(
                    held, records=records, incomplete=(*held.incomplete, *hidden)
                )
                self._place = place
            return self._contents


def contents() -> Contents:
    """Answer what the served notebook holds."""
    reading: Reading = current_app.config["SCOUT_READING"]
    return reading.contents()


def records() -> Mapping[str, Mapping[str, Any]]:
    """Answer its whole records, by kind and id."""
    return contents().records
