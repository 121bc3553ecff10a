"""Tokens, pairings under way, tries that count against limits, and what a device was not shown.

Secrets come here as their SHA-256 only. Not for: making or judging them (the server's).
"""

from __future__ import annotations

from collections.abc import Iterable

import attrs
from sqlite_utils import Database


@attrs.frozen(kw_only=True)
class Token:
    """One token of a device: made, last used (to the hour), ended (None: by rule alone)."""

    sha256: str
    device_id: str
    made_at: str
    used_at: str | None
    ends_at: str | None


@attrs.frozen(kw_only=True)
class Pairing:
    """A pairing under way: shown by a device that asks, or printed by the machine."""

    id: str
    way: str
    secret_sha256: str
    code_sha256: str
    state: str
    started_at: str
    ends_at: str
    polled_at: str | None = None
    wrong: int = 0
    device_id: str | None = None
    device_name: str | None = None
    address: str | None = None
    person_id: str | None = None


_TOKEN = ", ".join(attrs.fields_dict(Token))
_PAIRING = ", ".join(attrs.fields_dict(Pairing))


# -- tokens


def token(db: Database, sha256: str) -> Token | None:
    """Answer a token by the hash of it, or None."""
    row = db.conn.execute(f"SELECT {_TOKEN} FROM token WHERE sha256 = ?", (sha256,)).fetchone()
    return None if row is None else Token(**dict(zip(_TOKEN.split(", "), row, strict=True)))


def tokens_of(db: Database, device_id: str) -> list[Token]:
    """Answer a device's tokens, the newest first."""
    rows = db.conn.execute(
        f"SELECT {_TOKEN} FROM token WHERE device_id = ? ORDER BY made_at DESC, rowid DESC",
        (device_id,),
    )
    return [Token(**dict(zip(_TOKEN.split(", "), row, strict=True))) for row in rows]


def store_token(db: Database, one: Token) -> None:
    """Keep a token as it is now."""
    db.conn.execute(
        f"INSERT INTO token ({_TOKEN}) VALUES (?,?,?,?,?) ON CONFLICT (sha256) DO UPDATE SET"
        " used_at = excluded.used_at, ends_at = excluded.ends_at",
        attrs.astuple(one),
    )


def end_older(db: Database, newest: Token, at: str) -> None:
    """Let a device's tokens older than one end at a time, if they would not end sooner."""
    db.conn.execute(
        "UPDATE token SET ends_at = ? WHERE device_id = ? AND sha256 <> ? AND made_at <= ?"
        " AND (ends_at IS NULL OR ends_at > ?)",
        (at, newest.device_id, newest.sha256, newest.made_at, at),
    )


def drop_token(db: Database, sha256: str) -> None:
    """Forget one token."""
    db.conn.execute("DELETE FROM token WHERE sha256 = ?", (sha256,))


def drop_tokens(db: Database, device_id: str) -> None:
    """Forget every token of a device."""
    db.conn.execute("DELETE FROM token WHERE device_id = ?", (device_id,))


def drop_ended_tokens(db: Database, before: str) -> None:
    """Forget tokens that ended before a time."""
    db.conn.execute("DELETE FROM token WHERE ends_at < ?", (before,))


# -- pairings


def pairing(db: Database, secret_sha256: str) -> Pairing | None:
    """Answer the pairing of a long secret, or None."""
    row = db.conn.execute(
        f"SELECT {_PAIRING} FROM pairing WHERE secret_sha256 = ?", (secret_sha256,)
    ).fetchone()
    return None if row is None else _pairing(row)


def waiting(db: Database, way: str, now: str) -> list[Pairing]:
    """Answer the pairings of one way that wait for somebody, the oldest first."""
    rows = db.conn.execute(
        f"SELECT {_PAIRING} FROM pairing WHERE way = ? AND state = 'waiting' AND ends_at > ?"
        " ORDER BY started_at, rowid",
        (way, now),
    )
    return [_pairing(row) for row in rows.fetchall()]


def _pairing(row: Iterable[object]) -> Pairing:
    return Pairing(**dict(zip(_PAIRING.split(", "), row, strict=True)))  # type: ignore[arg-type]


def store_pairing(db: Database, one: Pairing) -> None:
    """Keep a pairing as it is now."""
    places = ",".join("?" * len(attrs.fields(Pairing)))
    db.conn.execute(
        f"INSERT OR REPLACE INTO pairing ({_PAIRING}) VALUES ({places})", attrs.astuple(one)
    )


def end_pairings(db: Database, device_id: str) -> None:
    """End a device's pairings that wait, or were granted and may still be asked for a token."""
    db.conn.execute(
        "UPDATE pairing SET state = 'done' WHERE device_id = ? AND state IN ('waiting', 'granted')",
        (device_id,),
    )


def drop_ended_pairings(db: Database, before: str) -> None:
    """Forget pairings that ended before a time."""
    db.conn.execute("DELETE FROM pairing WHERE ends_at < ?", (before,))


# -- tries


def add_attempt(db: Database, what: str, who: str, at: str) -> None:
    """Write down one try."""
    db.conn.execute("INSERT INTO attempt VALUES (?,?,?)", (what, who, at))


def attempts(db: Database, what: str, after: str, to: str, who: str | None = None) -> list[str]:
    """Answer when tries were made after a time and up to one, by one or by all, oldest first."""
    rows = db.conn.execute(
        "SELECT at FROM attempt WHERE what = ? AND at > ? AND at <= ? AND who = coalesce(?, who)"
        " ORDER BY at",
        (what, after, to, who),
    )
    return [str(at) for (at,) in rows]


def drop_attempts(db: Database, what: str, before: str) -> None:
    """Forget tries that no limit looks at any more."""
    db.conn.execute("DELETE FROM attempt WHERE what = ? AND at <= ?", (what, before))


def paused_until(db: Database, what: str) -> str | None:
    """Answer until when nobody may try, or None."""
    row = db.conn.execute("SELECT until FROM pause WHERE what = ?", (what,)).fetchone()
    return None if row is None else str(row[0])


def store_pause(db: Database, what: str, until: str) -> None:
    """Let nobody try until a time."""
    db.conn.execute("INSERT OR REPLACE INTO pause VALUES (?,?)", (what, until))


# -- what a device was not shown


def hidden_from(db: Database, device_id: str) -> set[str]:
    """Answer the records whose changes a device's cursor went past."""
    rows = db.conn.execute("SELECT record_id FROM hidden WHERE device_id = ?", (device_id,))
    return {record for (record,) in rows}


def hide_from(db: Database, device_id: str, records: Iterable[str]) -> None:
    """Write down that a device's cursor went past these records."""
    db.conn.executemany(
        "INSERT OR IGNORE INTO hidden VALUES (?,?)", [(device_id, record) for record in records]
    )


def show_anew(db: Database, device_id: str) -> None:
    """Forget what a device was not shown: it begins from the start."""
    db.conn.execute("DELETE FROM hidden WHERE device_id = ?", (device_id,))
