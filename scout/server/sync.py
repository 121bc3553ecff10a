"""The journal over HTTP: ping, push, pull, offer, and what can be looked up in it.

Not for: photos' bytes (`blobs`), or what a change may say (the notebook's).
"""

from __future__ import annotations

import gzip
from functools import partial
from typing import Any, Final

from flask import Blueprint, Response, current_app, jsonify, make_response, request

from scout.notebook.batch import read_batch
from scout.notebook.canonical import plain
from scout.notebook.clock import written
from scout.notebook.scoped import ALL, Scoped
from scout.records.fields import read_identity
from scout.records.kinds import SCHEMA
from scout.records.trouble import Refused
from scout.server.bodies import JSON_TYPE, body, json_body
from scout.server.errors import Problem
from scout.server.tokens import still_stands
from scout.server.who import asker, notebook, pusher

SERVICE: Final = "scout"
MOST_CHANGES: Final = 500
LARGEST_PUSH_BYTES: Final = 1_048_576 + 4096
"""A change of the largest size has room, with what stands around it."""
MOST_IDS: Final = 5000
MOST_ROWS: Final = 5000
_USUAL_ROWS = 1000
_LARGEST_OFFER_BYTES = 1_048_576
_WORTH_PACKING_BYTES = 1400  # less fits into one packet as it is

routes = Blueprint("sync", __name__, url_prefix="/api/v1")


@routes.get("/ping")
def ping() -> Response:
    """Say whose server this is."""
    facts = notebook().facts
    return _json(
        {
            "service": SERVICE,
            "epoch": facts.epoch,
            "time": written(notebook().clock()),
            "schema": SCHEMA,
            "durable_seq": facts.durable_seq,
        }
    )


@routes.post("/push")
def push() -> Response:
    """Take changes in; answers them by position.

    A viewer may send what is here already, to hear its number; anything else refuses the whole.
    """
    who = asker()
    changes, beside = read_batch(body(LARGEST_PUSH_BYTES, JSON_TYPE), LARGEST_PUSH_BYTES)
    if len(changes) > MOST_CHANGES:
        raise Problem(
            413, "too_many", f"{len(changes)} changes at once; send at most {MOST_CHANGES}."
        )
    furthest, device = _text(beside, "furthest"), pusher(_text(beside, "device"))
    gate = None
    if who.device is not None:
        stands = partial(still_stands, device=who.device)
        gate = scoped().gate(who.person, who.sites, stands, who.must_write)
    pushed = notebook().push(changes, device=device, furthest=furthest, gate=gate)
    return _json(
        {"answers": [answer.as_json() for answer in pushed.answers], "furthest": pushed.furthest}
    )


@routes.get("/pull")
def pull() -> Response:
    """Give the changes after a cursor, from the first one where there is none."""
    limit = _whole("limit", _USUAL_ROWS, MOST_ROWS)
    cursor, furthest = request.args.get("cursor"), request.args.get("furthest")
    who = asker()
    if who.device is None or (who.sites is None and who.sight == ALL and cursor is not None):
        page = notebook().pull(cursor, furthest, limit)
    else:
        page = scoped().pull(who.device, who.sites, cursor, furthest, limit)
    return _packed(page.text)


@routes.post("/offer")
def offer() -> Response:
    """Say what of changes and photos is missing here."""
    asked = json_body(_LARGEST_OFFER_BYTES)
    changes, blobs = _ids(asked, "changes"), _ids(asked, "blobs")
    sites = asker().sites
    if sites is None:
        offered = notebook().offer(changes, blobs)
    else:
        offered = scoped().offer(sites, changes, blobs)
    answer = {
        "missing": list(offered.missing),
        "present": dict(offered.present),
        "furthest": offered.furthest,
        "blobs": dict(offered.blobs),
    }
    return _packed(current_app.json.dumps(answer))


@routes.get("/history/<record>")
def history(record: str) -> Response:
    """Give every change of a record, the oldest first."""
    try:
        read_identity(record)
    except Refused:
        raise Problem(404, "no_record", "That is not the id of a record.") from None
    sites = asker().sites
    told = notebook().history(record) if sites is None else scoped().history(sites, record)
    return _packed(current_app.json.dumps({"changes": told}))


@routes.get("/conflicts")
def conflicts() -> Response:
    """Give every register in conflict, with all that stands in it."""
    return _packed(current_app.json.dumps({"conflicts": notebook().conflicts()}))


@routes.get("/quarantine")
def quarantine() -> Response:
    """Give what was not taken, with its content and why, `limit` at a time after `after`."""
    after = _whole("after", 0, 2**53, lowest=0)
    limit = _whole("limit", _USUAL_ROWS, MOST_ROWS)
    rows = [row for row in notebook().quarantine() if row["number"] > after]
    kept = [
        {name: row[name] for name in ("number", "code", "field", "message", "received_at")}
        | {"change": _shown_body(row["body_json"])}
        for row in rows[:limit]
    ]
    return _packed(current_app.json.dumps({"quarantine": kept, "more": len(rows) > limit}))


def scoped() -> Scoped:
    """Answer the notebook as people with some of its sites see it."""
    kept: Scoped = current_app.config["SCOUT_SCOPED"]
    return kept


def _shown_body(body_json: str) -> Any:
    """Answer kept content as JSON where every reader can read it, else as the text that it is."""
    try:
        value = plain(body_json)
        current_app.json.dumps(value, allow_nan=False).encode("utf-8")
    except (ValueError, RecursionError):
        return body_json
    return value


def _ids(asked: dict[str, Any], name: str) -> list[str]:
    ids = asked.get(name, [])
    if not isinstance(ids, list) or not all(isinstance(one, str) for one in ids):
        raise Problem(400, "shape", f"{name}: give a list of ids.")
    if len(ids) > MOST_IDS:
        raise Problem(413, "too_many", f"{name}: at most {MOST_IDS} ids at once; send them apart.")
    return ids


def _text(asked: dict[str, Any], name: str) -> str | None:
    value = asked.get(name)
    if value is not None and not isinstance(value, str):
        raise Problem(400, "shape", f"{name}: give a text, or leave it out.")
    return value


def _whole(name: str, usual: int, highest: int, lowest: int = 1) -> int:
    typed = request.args.get(name)
    if typed is None:
        return usual
    if not typed.isascii() or not typed.isdigit() or not lowest <= int(typed[:17]) <= highest:
        raise Problem(400, "shape", f"{name}: give a whole number from {lowest} to {highest}.")
    return int(typed)


def _json(value: dict[str, Any]) -> Response:
    answer = jsonify(value)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _packed(text: str) -> Response:
    """Answer JSON text, compressed where it is large and the other side can take it."""
    held = text.encode("utf-8")
    answer = make_response(held)
    answer.mimetype = JSON_TYPE
    answer.headers["Cache-Control"] = "no-store"
    answer.headers["Vary"] = "Accept-Encoding"
    if len(held) > _WORTH_PACKING_BYTES and request.accept_encodings.quality("gzip") > 0:
        answer.set_data(gzip.compress(held, 5))
        answer.headers["Content-Encoding"] = "gzip"
    return answer
