"""The tables, triggers and views, as numbered steps from one released form to the next.

Tables of record kinds are not here (`kind_tables` makes them from the records' fields): they are a
cache and are simply made again. There are no foreign keys between records, for a reference may come
before what
it names.
"""

from __future__ import annotations

from sqlite_utils import Database, Migrations

steps = Migrations("notebook")

_GROWS_ONLY = "the journal keeps what was written; make a new change instead"

_JOURNAL = f"""
CREATE TABLE journal (
  seq INTEGER PRIMARY KEY,
  change_id TEXT NOT NULL UNIQUE,
  device_id TEXT NOT NULL,
  device_seq INTEGER NOT NULL,
  record_id TEXT NOT NULL,
  kind TEXT NOT NULL,
  set_json TEXT NOT NULL,
  base_json TEXT NOT NULL,
  seen_json TEXT,
  hlc TEXT NOT NULL,
  wall INTEGER NOT NULL,
  tz_min INTEGER NOT NULL,
  schema INTEGER NOT NULL,
  group_id TEXT,
  received_at TEXT NOT NULL,
  received_via TEXT NOT NULL,
  body_sha256 TEXT NOT NULL,
  chain TEXT NOT NULL
) STRICT;
CREATE INDEX journal_of_record ON journal (record_id);
CREATE INDEX journal_of_device ON journal (device_id, device_seq);
CREATE INDEX journal_of_group ON journal (group_id) WHERE group_id IS NOT NULL;
CREATE TRIGGER journal_refuses_update BEFORE UPDATE ON journal
  BEGIN SELECT RAISE(ABORT, '{_GROWS_ONLY}'); END;
CREATE TRIGGER journal_refuses_delete BEFORE DELETE ON journal
  BEGIN SELECT RAISE(ABORT, '{_GROWS_ONLY}'); END;
CREATE TRIGGER journal_refuses_replace BEFORE INSERT ON journal
  WHEN EXISTS (SELECT 1 FROM journal WHERE seq = NEW.seq)
    OR EXISTS (SELECT 1 FROM journal WHERE change_id = NEW.change_id)
  BEGIN SELECT RAISE(ABORT, '{_GROWS_ONLY}'); END;
"""

_MEANING = """
CREATE TABLE head (
  record_id TEXT NOT NULL,
  kind TEXT NOT NULL,
  register TEXT NOT NULL,
  change_id TEXT NOT NULL,
  hlc TEXT NOT NULL,
  value_json TEXT NOT NULL,
  seen_json TEXT,
  PRIMARY KEY (record_id, kind, register, change_id)
) STRICT, WITHOUT ROWID;
CREATE TABLE awaited (
  change_id TEXT NOT NULL,
  record_id TEXT NOT NULL,
  kind TEXT NOT NULL,
  register TEXT NOT NULL,
  PRIMARY KEY (change_id, record_id, kind, register)
) STRICT, WITHOUT ROWID;
CREATE TABLE quarantine (
  number INTEGER PRIMARY KEY,
  change_id TEXT NOT NULL,
  body_sha256 TEXT NOT NULL,
  body_json TEXT NOT NULL,
  code TEXT NOT NULL,
  field TEXT NOT NULL,
  message TEXT NOT NULL,
  received_at TEXT NOT NULL,
  received_via TEXT NOT NULL,
  UNIQUE (change_id, body_sha256)
) STRICT;
CREATE VIEW conflict AS
  SELECT kind, record_id, register, count(*) AS heads, json_group_array(json(value_json)) AS choices
  FROM head GROUP BY kind, record_id, register HAVING count(DISTINCT value_json) > 1;
CREATE VIEW history AS
  SELECT journal.seq, journal.kind, journal.record_id, one.key AS register, one.value AS value,
    datetime(journal.wall / 1000, 'unixepoch') AS phone_clock_utc, journal.device_id,
    journal.received_at, journal.received_via, journal.change_id, journal.group_id
  FROM journal, json_each(journal.set_json) AS one;
"""

_BESIDE = """
CREATE TABLE meta (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  epoch TEXT NOT NULL,
  schema INTEGER NOT NULL,
  durable_seq INTEGER NOT NULL,
  device_id TEXT NOT NULL,
  tables_sha256 TEXT NOT NULL
) STRICT;
CREATE TABLE person (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  role TEXT NOT NULL CHECK (role IN ('owner', 'editor', 'viewer')),
  added_at TEXT NOT NULL,
  removed_at TEXT
) STRICT;
CREATE TABLE device (
  id TEXT PRIMARY KEY,
  person_id TEXT,
  name TEXT NOT NULL,
  token_sha256 TEXT,
  paired_at TEXT NOT NULL,
  seen_at TEXT,
  revoked_at TEXT
) STRICT;
CREATE TABLE audit (
  number INTEGER PRIMARY KEY,
  at TEXT NOT NULL,
  person_id TEXT,
  device_id TEXT,
  what TEXT NOT NULL,
  detail TEXT NOT NULL
) STRICT;
CREATE TABLE blob (
  sha256 TEXT PRIMARY KEY,
  size_bytes INTEGER NOT NULL,
  media_type TEXT,
  completed_at TEXT,
  checked_at TEXT,
  backed_up_at TEXT
) STRICT;
CREATE TABLE blob_upload (
  sha256 TEXT PRIMARY KEY,
  size_bytes INTEGER NOT NULL,
  offset_bytes INTEGER NOT NULL,
  device_id TEXT,
  started_at TEXT NOT NULL,
  touched_at TEXT NOT NULL
) STRICT;
CREATE TABLE backup (
  number INTEGER PRIMARY KEY,
  at TEXT NOT NULL,
  path TEXT NOT NULL,
  epoch TEXT NOT NULL,
  seq INTEGER NOT NULL,
  on_another_disk INTEGER NOT NULL
) STRICT;
CREATE TABLE folder (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  loaded_at TEXT NOT NULL
) STRICT;
CREATE TABLE folder_word (
  folder_id TEXT NOT NULL,
  record_id TEXT NOT NULL,
  word TEXT NOT NULL,
  PRIMARY KEY (folder_id, record_id)
) STRICT, WITHOUT ROWID;
"""

_DOOR = """
ALTER TABLE device DROP COLUMN token_sha256;
ALTER TABLE device ADD COLUMN wipe_asked_at TEXT;
ALTER TABLE device ADD COLUMN sight TEXT;
ALTER TABLE person ADD COLUMN all_sites INTEGER NOT NULL DEFAULT 1;
CREATE TABLE person_site (
  person_id TEXT NOT NULL,
  site_id TEXT NOT NULL,
  PRIMARY KEY (person_id, site_id)
) STRICT, WITHOUT ROWID;
CREATE TABLE token (
  sha256 TEXT PRIMARY KEY,
  device_id TEXT NOT NULL,
  made_at TEXT NOT NULL,
  used_at TEXT,
  ends_at TEXT
) STRICT;
CREATE INDEX token_of_device ON token (device_id);
CREATE TABLE pairing (
  id TEXT PRIMARY KEY,
  way TEXT NOT NULL CHECK (way IN ('shown', 'printed')),
  secret_sha256 TEXT NOT NULL,
  code_sha256 TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('waiting', 'granted', 'denied', 'burnt', 'done')),
  started_at TEXT NOT NULL,
  ends_at TEXT NOT NULL,
  polled_at TEXT,
  wrong INTEGER NOT NULL DEFAULT 0,
  device_id TEXT,
  device_name TEXT,
  address TEXT,
  person_id TEXT
) STRICT;
CREATE TABLE attempt (
  what TEXT NOT NULL,
  who TEXT NOT NULL,
  at TEXT NOT NULL
) STRICT;
CREATE INDEX attempt_of ON attempt (what, at);
CREATE TABLE pause (
  what TEXT PRIMARY KEY,
  until TEXT NOT NULL
) STRICT;
CREATE TABLE hidden (
  device_id TEXT NOT NULL,
  record_id TEXT NOT NULL,
  PRIMARY KEY (device_id, record_id)
) STRICT, WITHOUT ROWID;
"""


@steps(name="0001_journal")
def _first(db: Database) -> None:
    for script in (_JOURNAL, _MEANING, _BESIDE):
        for statement in statements(script):
            db.execute(statement)


@steps(name="0002_damaged_blobs")
def _damaged(db: Database) -> None:
    db.execute("ALTER TABLE blob ADD COLUMN damaged_at TEXT")


@steps(name="0003_door")
def _door(db: Database) -> None:
    for statement in statements(_DOOR):
        db.execute(statement)


def statements(script: str) -> list[str]:
    """Split a script into its statements; a trigger's own semicolons stay within it."""
    found: list[str] = []
    rest = ""
    for piece in script.split(";"):
        rest += piece
        if "BEGIN SELECT" in rest and not rest.rstrip().endswith("END"):
            rest += ";"
            continue
        if rest.strip():
            found.append(rest.strip())
        rest = ""
    return found
