"""What one field of a record is: its label, help, unit, bounds, and the one reader that accepts or refuses a value.

A record kind is an attrs class whose attributes are made here. Every attribute is one *register*: the smallest part
that a change can carry, so that each can be read alone. Not for: whole records (`reading`), or the kinds themselves.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Callable, Sequence
from typing import Any

import attrs

from scout.records.trouble import Refused, Trouble, at_field, shown

Reader = Callable[[object], Any]
Writer = Callable[[Any], object]

_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_DIGEST = re.compile(r"[0-9a-f]{64}")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_SEASON_DAY = re.compile(r"(\d{2})-(\d{2})")
_OFFSET = re.compile(r"(Z|[+-]\d{2}:\d{2})$")
FIRST_YEAR, LAST_YEAR = (
    1950,
    2100,
)  # the sun's position is checked against references over these years


@attrs.frozen(kw_only=True)
class Field:
    """What a form, a reader and a writer need to know of one register."""

    kind: str
    label: str
    read: Reader = attrs.field(repr=False)
    write: Writer = attrs.field(repr=False, default=lambda value: value)
    help: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    refers_to: tuple[str, ...] = ()
    group: type | None = None
    item: Field | None = None
    needed: bool = False
    last_writer_wins: bool = False


def register(field: Field, default: Any = None) -> Any:
    """Make the attrs attribute that carries a field; a needed one has no default."""
    if field.needed:
        return attrs.field(metadata={"field": field})
    return attrs.field(default=default, metadata={"field": field})


def field_of(attribute: attrs.Attribute[Any]) -> Field:
    """Answer the field behind an attribute of a record kind."""
    found: Field = attribute.metadata["field"]
    return found


def number(
    label: str,
    unit: str = "",
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    whole: bool = False,
    help: str = "",
    needed: bool = False,
    default: float | None = None,
) -> Any:
    """Make a number register with inclusive bounds, or an exclusive lower bound `above`."""
    field = Field(
        kind="whole" if whole else "number",
        label=label,
        unit=unit,
        low=low if low is not None else above,
        high=high,
        help=help,
        needed=needed,
        read=number_reader(low=low, high=high, above=above, unit=unit, whole=whole),
    )
    return register(field, default)


def number_reader(
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    unit: str = "",
    whole: bool = False,
) -> Reader:
    """Answer a reader of finite numbers that takes neither text nor true and false for one."""
    unit_text = f" {unit}" if unit else ""
    if low is not None and high is not None:
        range_text = f"between {low:g} and {high:g}{unit_text}"
    elif low is not None:
        range_text = f"{low:g}{unit_text} or more"
    elif above is not None:
        range_text = f"more than {above:g}{unit_text}" + (
            f" and at most {high:g}" if high is not None else ""
        )
    elif high is not None:
        range_text = f"at most {high:g}{unit_text}"
    else:
        range_text = f"a number{unit_text}"

    def read(raw: object) -> float | int:
        if isinstance(raw, bool) or not isinstance(raw, (int, float)):
            remedy = "write it without quotes" if isinstance(raw, str) else f"give {range_text}"
            raise Refused.one(f"{shown(raw)} is not a number; {remedy}")
        try:
            value = float(raw)
        except OverflowError:
            value = math.inf
        if not math.isfinite(value):
            raise Refused.one(
                f"{shown(raw)} is not a finite number; give {range_text} or leave it out"
            )
        too_low = (low is not None and value < low) or (above is not None and value <= above)
        if too_low or (high is not None and value > high):
            raise Refused.one(f"{shown(raw)} is out of range; give {range_text}")
        if whole:
            if value != int(value):
                raise Refused.one(f"{shown(raw)} is not a whole number; give {range_text}")
            return int(value)
        return value

    return read


def text(
    label: str,
    *,
    help: str = "",
    longest: int = 2000,
    needed: bool = False,
    last_writer_wins: bool = False,
) -> Any:
    """Make a text register of at most `longest` characters; a needed one may not be blank."""

    def read(raw: object) -> str:
        if not isinstance(raw, str):
            raise Refused.one(f"{shown(raw)} is not text; write it in quotes")
        if needed and not raw.strip():
            raise Refused.one("is blank; write something short")
        if len(raw) > longest:
            raise Refused.one(f"has {len(raw)} characters; shorten it to {longest}")
        if any(0xD800 <= ord(letter) <= 0xDFFF for letter in raw):
            raise Refused.one("holds half of a character (a lone surrogate); type it again")
        return raw

    return register(
        Field(
            kind="text",
            label=label,
            help=help,
            read=read,
            needed=needed,
            last_writer_wins=last_writer_wins,
        )
    )


def choice(
    label: str,
    choices: Sequence[str],
    *,
    help: str = "",
    needed: bool = False,
    default: str | None = None,
) -> Any:
    """Make a register that holds one of a few words."""
    words = tuple(choices)
    return register(
        Field(
            kind="choice",
            label=label,
            help=help,
            choices=words,
            needed=needed,
            read=choice_reader(words),
        ),
        default,
    )


def choice_reader(words: tuple[str, ...]) -> Reader:
    """Answer a reader that takes exactly one of the words."""

    def read(raw: object) -> str:
        if isinstance(raw, str) and raw in words:
            return raw
        raise Refused.one(
            f"{shown(raw)} is not one of the words here; use one of: {', '.join(words)}"
        )

    return read


def flag(label: str, *, help: str = "", default: bool | None = None) -> Any:
    """Make a yes-or-no register."""

    def read(raw: object) -> bool:
        if isinstance(raw, bool):
            return raw
        raise Refused.one(
            f"{shown(raw)} is neither true nor false; write true or false without quotes"
        )

    return register(Field(kind="flag", label=label, help=help, read=read), default)


def identity(
    label: str, *, refers_to: Sequence[str] = (), help: str = "", needed: bool = False
) -> Any:
    """Make a register that holds the id of a record (RFC 9562 form, lower case)."""
    return register(
        Field(
            kind="id",
            label=label,
            help=help,
            refers_to=tuple(refers_to),
            needed=needed,
            read=read_identity,
        )
    )


def read_identity(raw: object) -> str:
    """Read a record id: a UUID in lower case with hyphens."""
    if isinstance(raw, str) and _ID.fullmatch(raw):
        return raw
    raise Refused.one(
        f"{shown(raw)} is not a record id (8-4-4-4-12 hexadecimal digits in lower case)"
    )


def digest(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make a register that names bytes by their SHA-256, 64 hexadecimal digits in lower case."""

    def read(raw: object) -> str:
        if isinstance(raw, str) and _DIGEST.fullmatch(raw):
            return raw
        raise Refused.one(f"{shown(raw)} is not a SHA-256 (64 hexadecimal digits in lower case)")

    return register(Field(kind="digest", label=label, help=help, needed=needed, read=read))


def date(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make a register that holds a calendar date."""
    return register(
        Field(
            kind="date",
            label=label,
            help=help,
            needed=needed,
            read=read_date,
            write=lambda day: day.isoformat(),
        )
    )


def read_date(raw: object) -> dt.date:
    """Read a calendar date written 2026-05-12."""
    if isinstance(raw, str) and _DATE.fullmatch(raw):
        try:
            day = dt.date.fromisoformat(raw)
        except ValueError:
            raise Refused.one(
                f"{shown(raw)} is no date in the calendar; check day and month"
            ) from None
        _refuse_far_year(day.year, raw)
        return day
    raise Refused.one(f"{shown(raw)} is not a date; write it like 2026-05-12")


def season_day(
    label: str, *, help: str = "", needed: bool = False, default: str | None = None
) -> Any:
    """Make a register that holds a day of every year, written 02-29 (month-day)."""

    def read(raw: object) -> str:
        found = _SEASON_DAY.fullmatch(raw) if isinstance(raw, str) else None
        if found is not None:
            try:
                dt.date(2024, int(found[1]), int(found[2]))  # a leap year, so that 02-29 is a day
            except ValueError:
                found = None
        if found is None:
            raise Refused.one(f"{shown(raw)} is no day of the year; write month-day like 03-01")
        return str(raw)

    return register(Field(kind="season_day", label=label, help=help, needed=needed, read=read), default)


def read_time(raw: object) -> dt.datetime:
    """Read an instant written with its offset, like 2026-05-12T04:35:00+01:00 or …Z."""
    if not isinstance(raw, str):
        raise Refused.one(f"{shown(raw)} is not a time; write it like 2026-05-12T04:35:00+01:00")
    try:
        moment = dt.datetime.fromisoformat(raw)
    except ValueError:
        raise Refused.one(
            f"{shown(raw)} is not a time; write it like 2026-05-12T04:35:00+01:00"
        ) from None
    if moment.tzinfo is None or not _OFFSET.search(raw):
        raise Refused.one(f"{shown(raw)} lacks its offset from UTC; add it, like +01:00 or Z")
    _refuse_far_year(moment.year, raw)
    return moment


def write_time(moment: dt.datetime) -> str:
    """Write an instant with its offset, Z for UTC, seconds always and fractions only where there are some."""
    return moment.isoformat().replace("+00:00", "Z")


def _refuse_far_year(year: int, raw: object) -> None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Refused.one(
            f"{shown(raw)} is outside the years {FIRST_YEAR} to {LAST_YEAR}; check the year"
        )


def time(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make a register that holds an instant with its offset."""
    return register(
        Field(kind="time", label=label, help=help, needed=needed, read=read_time, write=write_time)
    )


def many(label: str, item: Any, *, help: str = "", most: int = 500, needed: bool = False) -> Any:
    """Make a register that holds a list; `item` is what a field function above answers for one of them."""
    inner: Field = item.metadata["field"]

    def read(raw: object) -> tuple[Any, ...]:
        if not isinstance(raw, list):
            raise Refused.one(f"{shown(raw)} is not a list; write it in square brackets")
        if len(raw) > most:
            raise Refused.one(f"has {len(raw)} entries; at most {most} fit")
        if needed and not raw:
            raise Refused.one("is an empty list; give at least one entry")
        values: list[Any] = []
        troubles: list[Trouble] = []
        for place, one in enumerate(raw):
            try:
                values.append(inner.read(one))
            except Refused as refusal:
                troubles.extend(at_field(place, refusal.troubles))
        if troubles:
            raise Refused(troubles)
        return tuple(values)

    def write(values: tuple[Any, ...]) -> object:
        return [inner.write(one) for one in values]

    return register(
        Field(
            kind="list", label=label, help=help, item=inner, needed=needed, read=read, write=write
        ),
        default=(),
    )
