"""The engine on the phone, in real Chromium: the server's answers, kept apart from the shell."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser

from scout.engine.calls import CALLS, call_text
from scout.notebook.asking import card_request
from scout.notebook.folder import read_folder
from scout.notebook.notebook import open_notebook
from tests.parity.cases import all_cases
from tests.server.pages import SAMPLE

from .conftest import wall_clock
from .engine_page import EngineOpen, EnginePage, engine_page, kits_request, load_sample

# Worker and server asked the same, text for text.
_BOTH = """const here = (await import('/engine/engine.js')).engine();
  await here.wake();
  const said = [];
  for (const [name, text] of given) {
    const server = await fetch(`/api/v1/engine/${name}`, { method: 'POST', body: text,
      headers: { 'Content-Type': 'application/json', 'X-Scout': '1' } });
    said.push([await here.messenger.call(name, text, 60000), await server.text()]);
  }
  return said;"""
_REQUESTS = """const { gatheringOf } = await import('/engine/gathering.js');
  const { cardRequest } = await import('/engine/asking.js');
  const { withPresence } = await import('/engine/presence.js');
  const { openNotebook } = await import('/notebook/notebook.js');
  const notebook = await openNotebook({ sync: false });
  const said = [];
  for (const wanted of given) {
    const records = await gatheringOf(notebook).at(wanted.site);
    said.push(JSON.stringify(cardRequest(records, await withPresence(records, wanted))));
  }
  return said;"""


@pytest.fixture(scope="module")
def ready(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[EnginePage]:
    """One phone with the sample site synced and its engine running, shared by the reading tests."""
    folder = tmp_path_factory.mktemp("engine") / "server"
    with open_notebook(folder, wall_clock, create=True) as notebook:
        load_sample(notebook)
        with engine_page(browser, notebook) as page:
            page.open("sync").synced()
            page.started()
            yield page
            assert page.faults == []


def in_order(asked: dict[str, Any]) -> dict[str, Any]:
    """Answer a request with its records in the order of their ids."""
    return {
        name: sorted(said, key=lambda one: str(one["id"])) if isinstance(said, list) else said
        for name, said in asked.items()
    }


# -- the same answers


def test_every_recorded_request_has_the_server_s_answer(ready: EnginePage) -> None:
    cases = all_cases()
    assert {case.call for case in cases} >= set(CALLS)
    said = ready.run(_BOTH, [[case.call, json.dumps(case.request)] for case in cases])
    different = [
        case.title for case, (phone, server) in zip(cases, said, strict=True) if phone != server
    ]
    assert different == []
    assert {"error" in json.loads(phone) for phone, _ in said} == {True, False}


def test_the_sample_s_cards_are_asked_and_answered_as_on_the_server(ready: EnginePage) -> None:
    folder = read_folder(SAMPLE)
    sites = sorted(folder.records["site"])
    species = sorted(folder.records["species"])
    kit = min(folder.records["kit"])
    wanted = [
        {"site": site, "species": animal, "kit": kit, "on": on, "session": session, **more}
        for site in sites
        for animal in species[:2]
        for on, session, more in (
            ("2026-05-12", "dawn", {}),
            ("2026-11-02", "dusk", {"sky": "overcast", "wind": "SW 3"}),
            ("2026-06-20", "dawn", {"discreet": True, "behaviour": "flight"}),
        )
    ]
    texts = ready.run(_REQUESTS, wanted)
    ours: list[str] = []
    for one, text in zip(wanted, texts, strict=True):
        on = dt.date.fromisoformat(str(one["on"]))
        asked = card_request(folder.records, **{**one, "on": on})  # type: ignore[arg-type]
        ours.append(json.dumps(asked))
        # The phone has them in the order of their ids, the folder as they were written down.
        assert in_order(json.loads(text)) == in_order(asked)
    said = ready.run(_BOTH, [["outing_card", text] for text in texts])
    for text, (phone, server) in zip(ours, said, strict=True):
        assert phone == server == call_text("outing_card", text)
        assert json.loads(phone)["sightlines"] or json.loads(phone)["barred"]


def test_the_coming_days_are_worked_out_behind_and_kept(ready: EnginePage) -> None:
    ready.until(
        """const here = (await import('/engine/engine.js')).engine();
        return (await here.answers.under('card/')).length > 7;"""
    )
    kept = ready.run(
        """const here = (await import('/engine/engine.js')).engine();
        const kept = await here.answers.under('card/');
        return kept.map(({ until, from, at }) => [until, from, Date.now() - at]);"""
    )
    # The nearest come first, both sites and both sessions of a day; each knows how old it is.
    assert len({until for until, *_ in kept}) >= 2
    assert min(until for until, *_ in kept) <= dt.datetime.now(dt.UTC).date().isoformat()
    assert {source for _, source, _ in kept} == {"phone"}
    assert all(0 <= age_ms < 600_000 for *_, age_ms in kept)


# -- kept apart from the shell


def test_it_is_kept_in_a_cache_of_its_own_and_fetched_once(engine_phone: EngineOpen) -> None:
    page = engine_phone(service_workers="block").open("phone")
    seen = page.run(
        """const { Engine } = await import('/engine/engine.js');
        const one = new Engine();
        const seen = [];
        one.subscribe((at) => seen.push([at.phase, at.done_bytes, at.all_bytes]));
        await one.wake();
        one.close();
        return seen;"""
    )
    phases = [phase for phase, *_ in seen]
    assert phases[0] == "starting"
    assert phases[-1] == "ready"
    fetched = [done for phase, done, _ in seen if phase == "fetching"]
    assert fetched == sorted(fetched)
    assert len(set(fetched)) > 20
    assert seen[-1][1] == seen[-1][2] > 10_000_000
    assert len(page.caches()) == 1
    page.faulty.asked.clear()
    page.page.reload()
    page.started()
    # The runtime's own modules come through the browser; no pack and no binary does.
    assert not [path for path in page.faulty.asked if path.endswith((".zip", ".wasm", "lock.json"))]


def test_it_starts_with_the_server_dead(engine_phone: EngineOpen) -> None:
    page = engine_phone().open("phone")
    page.run("await navigator.serviceWorker.ready")
    page.started()
    page.kill_server()
    page.page.reload()
    page.page.locator("main h1").wait_for()
    page.started()
    said = page.ask("kit_table", kits_request())
    assert said["from"] == "phone"
    assert said["is_current"] is True
