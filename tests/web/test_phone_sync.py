"""Phones and a server with a notebook, over a link that loses, lies and refuses."""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import random
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scout.notebook import backups, rescue
from scout.notebook.canonical import plain
from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.saving import Edit
from scout.notebook.store import heads
from tests.conftest import FULL

from .conftest import Opener, wall_clock
from .phone_page import PhonePage
from .small_server import Answered, Asked, SmallServer, lost, refused
from .test_phone_notebook import heads_of, site_and_perch

MANY = 10_000 if FULL else 2_000


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


def test_what_was_written_on_one_phone_is_on_the_other(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one, two = phone(), phone()
    _, perch = site_and_perch(one)
    state = one.sync()
    assert (state["waiting_changes"], state["sync"]["trouble"]) == (0, None)
    assert state["epoch"] == notebook.facts.epoch
    assert one.run("return notebook.get(given)", perch)["state"] == "server"
    two.sync()
    assert two.run("return notebook.get(given)", perch)["values"]["name"] == "Old post"
    assert_same(notebook, one, two)


def test_i6_phones_that_diverged_converge_with_the_conflict_listed(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one, two = phone(), phone()
    _, perch = site_and_perch(one)
    one.sync()
    two.sync()
    one.save("perch", {"name": "Post", "height_m": 2}, perch)
    two.save("perch", {"name": "Stump", "height_m": 2}, perch)
    for each in (one, two, one):
        each.sync()
    assert_same(notebook, one, two)
    for each in (one, two):
        (conflict,) = each.run("return notebook.conflicts()")
        assert {head["value"] for head in conflict["heads"]} == {"Post", "Stump"}
        assert sorted(head["mine"] for head in conflict["heads"]) == [False, True]
    two.run("return notebook.resolve(given, 'name', 'Post')", perch)
    two.sync()
    one.sync()
    assert one.run("return notebook.conflicts()") == []
    assert_same(notebook, one, two)


def test_lost_requests_and_answers_change_nothing(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    rng = random.Random(4)

    def bad_link(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        chance = rng.random()
        if chance < 0.2:
            return Answered(0, b"", lost=True)
        return lost(asked, work) if chance < 0.4 else None

    one, two = phone(), phone()
    _, perch = site_and_perch(one)
    server.fault = bad_link
    for number in range(12):
        one.save("perch", {"height_m": number}, perch)
        two.save("note", {"text": f"{number}"})
        one.sync()
        two.sync()
    server.fault = None
    for each in (one, two, one):
        assert each.sync()["waiting_changes"] == 0
    assert_same(notebook, one, two)
    assert one.run("return notebook.count('note')") == 12


def test_i7_one_bad_change_is_parked_and_delays_no_other(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    _, perch = site_and_perch(one)
    one.sync()
    one.save("perch", {"height_m": 1}, perch)
    one.save("perch", {"height_m": "4-5"}, perch)
    one.save("perch", {"name": "Post"}, perch)
    state = one.sync()
    assert (state["waiting_changes"], state["parked"]) == (0, 1)
    (parked,) = one.run("return notebook.parked()")
    assert (parked["code"], parked["field"]) == ("value", "set.height_m")
    assert "4-5" in parked["message"]
    # It is out of the heads: what stood before is shown again.
    values = one.run("return notebook.get(given)", perch)["values"]
    assert (values["height_m"], values["name"]) == (1, "Post")
    assert_same(notebook, one)
    one.run("return notebook.mend(given, {height_m: 4.5})", parked["change"]["id"])
    state = one.sync()
    assert (state["waiting_changes"], state["parked"]) == (0, 0)
    assert one.run("return notebook.get(given)", perch)["values"]["height_m"] == 4.5
    assert one.run("return notebook.conflicts()") == []
    assert_same(notebook, one)


def test_an_edit_over_a_parked_one_stands_in_the_place_of_what_stood_before(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    _, perch = site_and_perch(one)
    one.save("perch", {"height_m": 1}, perch)
    one.sync()
    one.save("perch", {"height_m": "4-5"}, perch)
    one.save("perch", {"height_m": 5}, perch)
    one.sync()
    assert one.run("return notebook.get(given)", perch)["values"]["height_m"] == 5
    assert one.run("return notebook.conflicts()") == []
    assert_same(notebook, one)


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


def test_i9_an_older_backup_restored_loses_nothing(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one, two = phone(), phone()
    _, perch = site_and_perch(one)
    one.sync()
    two.sync()
    backup = Path(backups.back_up(notebook, tmp_path / "kept").path)
    one.save("perch", {"name": "Post"}, perch)
    two.save("note", {"text": "b"})
    for each in (one, two, one):
        each.sync()
    notebook.close()
    backups.restore(tmp_path / "again", backup, wall_clock)
    with open_notebook(tmp_path / "again", wall_clock) as again:
        server.serve(again)
        again.save([Edit(kind="note", set={"text": "written after the restore"})])
        for each in (one, two, one):
            assert each.sync()["waiting_changes"] == 0
        assert_same(again, one, two)
        assert one.run("return notebook.count('note')") == 2
        assert len(again.pull().rows) == 5
        server.serve(None)


@pytest.mark.parametrize("unsent", [0, 3])
def test_i9_a_file_copied_back_by_hand_loses_nothing(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path, unsent: int
) -> None:
    one = phone()
    one.save("note", {"text": "a"})
    one.sync()
    folder = tmp_path / "server"
    notebook.close()
    shutil.copytree(folder, tmp_path / "copied")
    with open_notebook(folder, wall_clock) as later:
        server.serve(later)
        one.save("note", {"text": "b"})
        one.sync()
    with open_notebook(tmp_path / "copied", wall_clock) as copied:
        server.serve(copied)
        copied.save([Edit(kind="note", set={"text": "c"})])  # the same seq, another chain
        for number in range(unsent):  # what is pushed goes further than what was held before
            one.save("note", {"text": f"{number}"})
        one.sync()
        assert one.sync()["waiting_changes"] == 0
        assert_same(copied, one)
        assert len(copied.pull().rows) == 3 + unsent
        server.serve(None)


def test_a_backup_moves_the_third_state(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one = phone()
    note = one.save("note", {"text": "a"})["ids"][0]
    one.sync()
    assert one.run("return notebook.get(given)", note)["state"] == "server"
    elsewhere = iter(range(1, 100))
    backups.back_up(notebook, tmp_path / "other disk", disk=lambda path: next(elsewhere))
    one.sync()
    assert one.run("return notebook.get(given)", note)["state"] == "backed up"


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


def test_i11_photos_arrive_whole_and_no_piece_is_sent_twice(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one = phone()
    sha256, content = put_photo(one, 300_000, 1)
    large, large_content = put_photo(one, 2_500_000, 2)
    photos = one.run("return notebook.all('photo')")
    assert {rec["state"] for rec in photos} == {"phone"}
    state = one.run("return notebook.state()")
    assert (state["waiting_photos"], state["waiting_bytes"]) == (2, 2_800_000)
    pieces: list[int] = []

    def bad_link(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        if asked.method != "PATCH":
            return None
        pieces.append(len(asked.body))
        if len(pieces) == 2:
            return Answered(0, b"", lost=True)  # the piece is lost
        return lost(asked, work) if len(pieces) == 3 else None  # its answer is lost

    server.fault = bad_link
    for _ in range(3):
        state = one.sync()
    assert (state["waiting_photos"], state["sync"]["trouble"]) == (0, None)
    assert notebook.blobs.path_of(sha256).read_bytes() == content
    assert notebook.blobs.path_of(large).read_bytes() == large_content
    # The lost piece once more, and the one whose answer was lost, by the browser's own retry.
    assert sum(pieces) <= 2_800_000 + 2 * 1_048_576
    assert {rec["state"] for rec in one.run("return notebook.all('photo')")} == {"server"}
    assert one.run("return notebook.freeBlob(given)", large) is False
    elsewhere = iter(range(1, 100))
    backups.back_up(notebook, tmp_path / "other disk", disk=lambda path: next(elsewhere))
    one.sync()
    assert {rec["state"] for rec in one.run("return notebook.all('photo')")} == {"backed up"}
    assert one.run("return notebook.freeBlob(given)", large) is True
    assert one.run("return (await notebook.blob(given)) === undefined", large)
    assert one.run("return (await notebook.fetchBlob(given)).size", large) == 2_500_000
    assert one.run("return (await notebook.blob(given)).size", large) == 2_500_000


def test_a_torn_piece_is_not_taken(phone: Opener, server: SmallServer, notebook: Notebook) -> None:
    one = phone()
    sha256, content = put_photo(one, 100_000, 3)

    def torn(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        if asked.method == "PATCH":
            asked.body = asked.body[:500] + b"\0" + asked.body[501:]
            server.fault = None
        return None

    server.fault = torn
    one.sync()
    state = one.sync()
    assert state["waiting_photos"] == 0
    assert notebook.blobs.path_of(sha256).read_bytes() == content


def test_a_photo_that_the_server_will_not_have_delays_no_other(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    photos = [put_photo(one, 1000, seed) for seed in (5, 6)]
    bad = photos[0][0]

    def picky(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        refusing = asked.method == "PATCH" and asked.path.endswith(bad)
        return refused(422, "unreadable", "No.") if refusing else None

    server.fault = picky
    state = one.sync()
    assert (state["waiting_photos"], state["sync"]["trouble"]) == (0, None)
    assert notebook.blobs.path_of(photos[1][0]).read_bytes() == photos[1][1]
    states = {
        rec["values"]["blob"]: rec["state"] for rec in one.run("return notebook.all('photo')")
    }
    assert states == {bad: "phone", photos[1][0]: "server"}


def test_the_rescue_file_brings_everything_unsent(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one = phone()
    site_and_perch(one)
    sha256, content = put_photo(one, 1_500_000, 4)
    file = tmp_path / "phone.rescue"
    file.write_text(one.run("return (await notebook.rescue()).text()"), "utf-8")
    done = rescue.bring_in(notebook, file)
    assert (done.new, done.blobs, done.faults) == (3, 1, [])
    assert notebook.blobs.path_of(sha256).read_bytes() == content
    assert_same(notebook, one)
    # Sent again by the phone itself it is nothing new.
    assert one.sync()["waiting_changes"] == 0
    assert len(notebook.pull().rows) == 3


def test_a_clock_that_is_far_off_is_told_and_stamps_are_corrected(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    notebook.clock = lambda: wall_clock() - dt.timedelta(hours=1)
    state = one.sync()
    assert abs(state["clock_off_ms"] + 3_600_000) < 60_000
    note = one.save("note", {"text": "a"})["ids"][0]
    ((item,)) = one.run("return notebook.history(given)", note)
    change = item["change"]
    assert abs(int(change["hlc"][:15]) - change["wall"] + 3_600_000) < 60_000


def test_one_page_of_a_phone_syncs_and_the_other_hears_of_it(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    two = phone(one.page.context)
    write_notes(notebook, 300)
    body = "await Promise.all([notebook.sync.now(), notebook.sync.now()])"
    one.page.evaluate(f"() => {{ {body.replace('await ', 'globalThis.going = ')} }}")
    two.run(body)
    one.run("await globalThis.going; await notebook.sync.now()")
    two.run("await notebook.sync.now()")
    assert one.run("return notebook.count('note')") == 300
    assert two.run("return notebook.count('note')") == 300
    assert two.run("return notebook.state()")["last_sync"] is not None


def test_a_save_is_sent_soon_by_itself(phone: Opener, server: SmallServer) -> None:
    one = phone(options="{}")
    one.run(
        """await notebook.sync.now();
        const sent = new Promise((done) => notebook.sync.subscribe(
          (state) => { if (state.phase === 'idle' && state.pushed === 1) done(); }));
        await notebook.save([{kind: 'note', set: {text: 'a'}}]);
        await sent"""
    )
    assert one.run("return notebook.state()")["waiting_changes"] == 0


def test_many_pulled_changes_in_a_worker(
    phone: Opener, server: SmallServer, notebook: Notebook, capsys: Any
) -> None:
    write_notes(notebook, MANY)
    one = phone()
    body = """
      const gaps = [];
      let last = performance.now();
      const ticking = setInterval(() => {
        const now = performance.now();
        gaps.push(now - last);
        last = now;
      }, 5);
      const { Applier } = await import('/notebook/applier.js');
      const ask = Applier.prototype.ask;
      let applying = 0;
      Applier.prototype.ask = async function timed(name, args) {
        const start = performance.now();
        await ask.call(this, name, args);
        if (name === 'takePulled') applying += performance.now() - start;
      };
      const start = performance.now();
      await notebook.sync.now();
      const whole = performance.now() - start;
      clearInterval(ticking);
      Applier.prototype.ask = ask;
      return {whole, applying, gap: Math.max(...gaps), count: await notebook.count('note')}"""
    took = one.run(body)
    assert took["count"] == MANY
    assert_same(notebook, one)
    with capsys.disabled():
        print(
            f"\n{MANY} pulled changes: applied in {took['applying']:.0f} ms, with HTTP "
            f"{took['whole']:.0f} ms; the page stood still for {took['gap']:.0f} ms at most"
        )


def test_without_a_worker_the_page_does_the_same(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    write_notes(notebook, 400)
    one = phone(options="{ sync: false, worker: false }")
    one.save("note", {"text": "a"})
    one.sync()
    assert one.run("return notebook.count('note')") == 401
    assert_same(notebook, one)


def test_relayed_bodies_are_those_of_their_writers(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    write_notes(notebook, 20)
    one = phone()
    one.sync()
    bodies = {row.body for row in notebook.pull().rows}
    with open_notebook(tmp_path / "empty", wall_clock, create=True) as empty:
        server.serve(empty)
        one.sync()
        assert {row.body for row in empty.pull().rows} == bodies
        assert all(plain(body)["kind"] == "note" for body in bodies)
        server.serve(notebook)
