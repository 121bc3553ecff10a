"""What the notebook answers to a phone: to its push, its pull and its offer.

Not for: working the answers out (`notebook`), or sending them (the server's).
"""

from __future__ import annotations

from collections.abc import Mapping

import attrs

from scout.notebook.intake import Answer
from scout.notebook.store.journal import Kept


@attrs.frozen(kw_only=True)
class Pushed:
    """The answers to a push, in the order sent, and the furthest place that they gave away."""

    answers: tuple[Answer, ...]
    furthest: str | None


@attrs.frozen(kw_only=True)
class Page:
    """Changes in the journal's order, where to go on from, and whether there are more."""

    rows: tuple[Kept, ...]
    cursor: str
    more: bool

    @property
    def text(self) -> str:
        """The page as JSON: {"changes": [{"seq", "change"}], "cursor", "more"}.

        The changes are in canonical form.
        """
        rows = ",".join(f'{{"seq":{row.seq},"change":{row.body}}}' for row in self.rows)
        more = "true" if self.more else "false"
        return f'{{"changes":[{rows}],"cursor":"{self.cursor}","more":{more}}}'


@attrs.frozen(kw_only=True)
class Offered:
    """What of an offer is missing here, the seq of what is present, the journal's end.

    Each blob is `missing`, `here` or `backed_up`.
    """

    missing: tuple[str, ...]
    present: Mapping[str, int]
    furthest: str
    blobs: Mapping[str, str]
