"""One request of a call, read part by part: every fault is kept, and all are said at once.

Not for: what the parts mean (each call's own module).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from scout.records.fields import Field, number_reader, read_date, read_time
from scout.records.kinds import read_record
from scout.records.trouble import Refused, Trouble, at_field, shown


class Request:
    """A request being read.

    Each part answers its value, or None with its fault kept; `close` says them.
    """

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self._raw = raw
        self._known: list[str] = []
        self._troubles: list[Trouble] = []

    def has(self, name: str) -> bool:
        """Tell whether a part was sent and is not null."""
        return self._raw.get(name) is not None

    def part(self, name: str) -> Any:
        """Answer a part as it was sent, None where it was not."""
        self._known.append(name)
        return self._raw.get(name)

    def fault(self, says: str, *path: str | int) -> None:
        """Keep a fault."""
        self._troubles.append(Trouble(path, says))

    def record(self, name: str, kind: str, *, needed: bool = True) -> Any:
        """Read a record of a kind."""
        raw = self.part(name)
        if raw is None:
            if needed:
                self.fault(f"is missing; give the record of the {kind}", name)
            return None
        return self._read(lambda: read_record(kind, raw), name)

    def records(self, name: str, kind: str) -> list[Any]:
        """Read a list of records of a kind, empty where it was not sent; an id may stand once."""
        raw = self.part(name)
        if raw is None:
            return []
        if not isinstance(raw, list):
            self.fault(f"{shown(raw)} is not a list of records", name)
            return []
        read = [
            self._read(lambda one=one: read_record(kind, one), name, place)  # type: ignore[misc]
            for place, one in enumerate(raw)
        ]
        seen: dict[str, int] = {}
        for place, record in enumerate(read):
            if record is not None and seen.setdefault(record.id, place) != place:
                self.fault("stands here twice; keep one of them", name, place, "id")
        return [record for record in read if record is not None]

    def group(self, name: str, made: Any, *, needed: bool = True) -> Any:
        """Read a group of fields that is no record of its own, such as a bearing.

        `made` is what declares it in a record, so that its short forms are read here too.
        """
        field: Field = made.metadata["field"]
        raw = self.part(name)
        if raw is None:
            if needed:
                self.fault("is missing", name)
            return None
        return self._read(lambda: field.read(raw), name)

    def plain(self, name: str, read: Callable[[Any], Any], *, needed: bool = True) -> Any:
        """Read a part with a reader of one value."""
        raw = self.part(name)
        if raw is None:
            if needed:
                self.fault("is missing", name)
            return None
        return self._read(lambda: read(raw), name)

    def number(
        self,
        name: str,
        *,
        low: float | None = None,
        high: float | None = None,
        above: float | None = None,
        unit: str = "",
        whole: bool = False,
        needed: bool = True,
    ) -> float:
        """Read a finite number within bounds; 0 where it was refused or is not there."""
        reader = number_reader(low=low, high=high, above=above, unit=unit, whole=whole)
        value = self.plain(name, reader, needed=needed)
        return 0.0 if value is None else float(value)

    def word(self, name: str, words: Iterable[str], default: str | None = None) -> str:
        """Read one of a few words; the first of them where it was refused."""
        known = tuple(words)
        raw = self.part(name)
        if raw is None and default is not None:
            return default
        if isinstance(raw, str) and raw in known:
            return raw
        self.fault(f"{shown(raw)} is not known; use one of: {', '.join(known)}", name)
        return known[0]

    def flag(self, name: str) -> bool:
        """Read true or false; false where it was not sent."""
        raw = self.part(name)
        if raw is not None and not isinstance(raw, bool):
            self.fault(f"{shown(raw)} is neither true nor false", name)
        return raw is True

    def date(self, name: str) -> Any:
        """Read a local date."""
        return self.plain(name, read_date)

    def time(self, name: str) -> Any:
        """Read an aware time."""
        return self.plain(name, read_time)

    def close(self) -> None:
        """Raise Refused with every fault kept, unknown parts among them."""
        for name in sorted(self._raw, key=str):
            if name not in self._known:
                parts = ", ".join(dict.fromkeys(self._known))
                self.fault(f"is no part of this request; its parts are: {parts}", name)
        if self._troubles:
            raise Refused(self._troubles)

    def _read(self, read: Callable[[], Any], *path: str | int) -> Any:
        try:
            return read()
        except Refused as refusal:
            inner = list(refusal.troubles)
            for step in reversed(path):
                inner = at_field(step, inner)
            self._troubles.extend(inner)
        except ValueError as error:
            self.fault(str(error).rstrip("."), *path)
        return None
