"""Phones and a server with a notebook, over a link that loses and doubles."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

from scout.notebook.canonical import plain
from scout.notebook.notebook import Notebook, open_notebook
from tests.conftest import FULL

from .conftest import Opener, wall_clock
from .phones import assert_same, site_and_perch, write_notes
from .small_server import Answered, Asked, SmallServer, lost

MANY = 10_000 if FULL else 2_000


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
