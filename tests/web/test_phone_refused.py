"""A server that refuses, is none of ours, or is older: what the phone keeps and says."""

from __future__ import annotations

from collections.abc import Callable

from scout.notebook.notebook import Notebook

from .conftest import Opener
from .phones import site_and_perch, write_notes
from .small_server import Answered, Asked, SmallServer, refused


def test_a_batch_that_is_refused_is_halved_until_the_offender_is_alone(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    for number in range(20):
        text = "x" * 60_000 if number == 13 else str(number)
        one.save("note", {"text": text})

    def strict(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        return refused(413, "too_large", "Less.") if len(asked.body) > 50_000 else None

    server.fault = strict
    state = one.sync()
    assert (state["waiting_changes"], state["parked"]) == (0, 1)
    (parked,) = one.run("return notebook.parked()")
    assert parked["code"] == "too_large"
    assert len(notebook.pull().rows) == 19


def test_a_captive_portal_is_not_our_server(phone: Opener, server: SmallServer) -> None:
    one = phone()
    one.save("note", {"text": "a"})
    portal = Answered(200, b"<html>Welcome</html>", {"Content-Type": "text/html"})
    server.fault = lambda asked, work: portal
    state = one.sync()
    assert state["sync"]["trouble"] == "not_ours"
    assert state["waiting_changes"] == 1
    # …nor where it comes up in the middle of a round, whatever its number
    for status in (200, 400, 404):
        portal.status = status
        server.fault = lambda asked, work: None if asked.path.endswith("ping") else portal
        state = one.sync()
        assert (state["sync"]["trouble"], state["waiting_changes"]) == ("not_ours", 1)
        assert state["parked"] == 0
    assert state["sync"]["phase"] == "waiting"
    server.fault = None
    assert one.sync()["waiting_changes"] == 0


def test_on_401_the_queue_is_kept_and_sync_pauses(phone: Opener, server: SmallServer) -> None:
    one = phone()
    one.save("note", {"text": "a"})
    server.fault = lambda asked, work: refused(401, "unpaired", "Pair this phone again.")
    state = one.sync()
    assert (state["sync"]["phase"], state["sync"]["trouble"]) == ("paused", "unpaired")
    assert state["sync"]["message"] == "Pair this phone again."
    assert state["waiting_changes"] == 1
    server.fault = None
    assert one.sync()["waiting_changes"] == 0


def test_who_may_no_longer_write_still_reads(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    site_and_perch(one)
    note = write_notes(notebook, 1)[0]

    def barred(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        only_looks = asked.path.endswith("/push")
        return refused(403, "not_allowed", "You may look.") if only_looks else None

    server.fault = barred
    state = one.sync()
    assert (state["sync"]["trouble"], state["sync"]["phase"]) == ("not_allowed", "paused")
    assert state["waiting_changes"] > 0, "what was written stays, and can be given out"
    assert one.run("return notebook.get(given)", note)["values"]["text"] == "note 0"
    server.fault = None
    assert one.sync()["waiting_changes"] == 0


def test_waits_grow_and_a_tap_starts_afresh(phone: Opener, server: SmallServer) -> None:
    one = phone()
    server.fault = lambda asked, work: refused(503, "busy", "Later.")
    state = one.sync()
    assert (state["sync"]["phase"], state["sync"]["trouble"]) == ("waiting", "busy")
    assert one.run("return notebook.sync.state.next_at > Date.now()")
    one.sync()
    assert len(server.calls("ping")) == 2


def test_a_newer_schema_waits_for_a_newer_server(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    one.run("notebook.close()")
    one.run(
        """const schema = await (await fetch('/schema.json')).json();
        const upcasts = await (await fetch('/upcasts.json')).json();
        const { openNotebook } = await import('/notebook/notebook.js');
        const rules = {schema: {...schema, schema: 2}, upcasts: {...upcasts, schema: 2}};
        globalThis.notebook = await openNotebook({sync: false, rules})"""
    )
    one.save("note", {"text": "a"})
    state = one.sync()
    assert (state["sync"]["trouble"], state["waiting_changes"], state["parked"]) == (
        "server_older",
        1,
        0,
    )
