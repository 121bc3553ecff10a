"""What the tests of phones write on them, and compare with the server."""

from __future__ import annotations

import base64
import hashlib
import random
from typing import Any

from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit
from scout.notebook.store import heads

from .phone_page import PhonePage

SITE = {"name": "Reed bay", "centre": {"lat": 10.0, "lon": 20.0}, "zone": "Etc/UTC"}
PERCH = {"name": "Old post", "position": {"lat": 10.0, "lon": 20.0, "accuracy_m": 8}}


def heads_of(one: PhonePage, records: list[str]) -> dict[str, Any]:
    body = "return Promise.all(given.map((id) => notebook.get(id)))"
    return {rec["id"]: rec["heads"] for rec in one.run(body, records) if rec is not None}


def site_and_perch(one: PhonePage) -> tuple[str, str]:
    site = one.save("site", SITE)["ids"][0]
    return site, one.save("perch", PERCH | {"site": site})["ids"][0]


def server_heads(notebook: Notebook) -> dict[str, Any]:
    with notebook.store.reading() as db:
        states = heads.all_states(db)
    return {
        record: {name: [head.id for head in some] for name, some in state.heads.items()}
        for (_, record), state in states.items()
    }


def assert_same(notebook: Notebook, *phones: PhonePage) -> None:
    """I3: every replica shows the same heads."""
    wanted = server_heads(notebook)
    for one in phones:
        assert heads_of(one, list(wanted)) == wanted


def write_notes(notebook: Notebook, count: int) -> list[str]:
    """Write notes on the server, a Save for each hundred."""
    made: list[str] = []
    for start in range(0, count, 100):
        some = range(start, min(start + 100, count))
        edits = [Edit(kind="note", set={"text": f"note {number}"}) for number in some]
        made.extend(notebook.save(edits).records)
    return made


def put_photo(one: PhonePage, size: int, seed: int) -> tuple[str, bytes]:
    """Keep random bytes and the record that names them."""
    content = random.Random(seed).randbytes(size)
    body = """
      const bytes = Uint8Array.from(atob(given), (letter) => letter.charCodeAt(0));
      const sha = await notebook.putBlob(bytes.buffer, 'image/jpeg');
      await notebook.save([{kind: 'photo', set: {blob: sha}}]);
      return sha"""
    sha256 = one.run(body, base64.b64encode(content).decode())
    assert sha256 == hashlib.sha256(content).hexdigest()
    return sha256, content
