"""The engine on the phone, in real Chromium: the server's answers, and every way to fail."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from scout.engine.calls import CALLS, ENGINE_VERSION, call_text
from scout.installed import web_folder
from scout.notebook.asking import card_request
from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook, open_notebook
from scout.packing import Pack, engine_packs
from scout.server import packs
from scout.server.headers import POLICY
from scout.server.shell import ENGINE_FOLDER
from tests.conftest import only_full
from tests.parity.cases import all_cases
from tests.server.pages import SAMPLE

from .conftest import wall_clock
from .engine_page import EnginePage, engine_page, load_sample

Open = Callable[..., EnginePage]

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


@pytest.fixture
def phone(browser: Browser, notebook: Notebook) -> Iterator[Open]:
    """Open the app beside a server in which faults can be played, with the sample site in it."""
    load_sample(notebook)
    with ExitStack() as kept:
        pages: list[EnginePage] = []

        def fresh(**more: Any) -> EnginePage:
            pages.append(kept.enter_context(engine_page(browser, notebook, **more)))
            return pages[-1]

        yield fresh
    assert [fault for page in pages for fault in page.faults] == []


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


def kits_request() -> dict[str, Any]:
    """Answer a request that every engine can answer."""
    cases = [one for one in all_cases() if one.call == "kit_table" and not one.refused]
    return dict(cases[0].request)


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


def test_it_is_kept_in_a_cache_of_its_own_and_fetched_once(phone: Open) -> None:
    page = phone(service_workers="block").open("phone")
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


def test_it_starts_with_the_server_dead(phone: Open) -> None:
    page = phone().open("phone")
    page.run("await navigator.serviceWorker.ready")
    page.started()
    page.kill_server()
    page.page.reload()
    page.page.locator("main h1").wait_for()
    page.started()
    said = page.ask("kit_table", kits_request())
    assert said["from"] == "phone"
    assert said["is_current"] is True


# -- what may go wrong


def test_nothing_waits_for_an_engine_that_hangs(phone: Open) -> None:
    page = phone(service_workers="block")
    page.faulty.before_worker = "for (;;) {}\n"
    page.open("new/note")
    page.until("return made.length === 1")
    assert page.state()["phase"] == "starting"
    page.page.get_by_label("Text").fill("Written while it hangs")
    page.button("Save").click()
    expect(page.page.get_by_text("Saved on this phone")).to_be_visible()
    page.synced()
    # The server answers meanwhile, a card too.
    page.go("choice")
    page.page.locator(".choice td a").first.click()
    page.page.locator(".verdict").wait_for()
    expect(page.page.locator(".age")).to_contain_text("worked out on the server")
    assert page.state()["phase"] == "starting"


def test_a_policy_that_refuses_it_is_said_once_and_the_rest_goes_on(phone: Open) -> None:
    page = phone(service_workers="block").open("sync").synced()
    page.go("choice")
    page.page.locator(".choice td a b").first.wait_for()
    page.page.locator(".choice td a").first.click()
    verdict = page.page.locator(".verdict").inner_text()
    card = page.page.url.split("#/")[1]
    page.faulty.policy = POLICY.replace(" 'wasm-unsafe-eval'", "")
    assert page.faulty.policy != POLICY
    page.page.reload()
    told = page.page.get_by_text("The engine is not allowed to run in this browser.")
    told.wait_for()
    assert page.state()["reason"] == "refused"
    # The server answers; then it dies, and what was kept is shown with its age.
    said = page.ask("kit_table", kits_request())
    assert said["from"] == "server"
    page.page.reload()
    page.awake()
    page.page.wait_for_timeout(1000)
    expect(told).to_have_count(0)
    page.go("new/note")
    page.page.get_by_label("Text").fill("Written without an engine")
    page.button("Save").click()
    expect(page.page.get_by_text("Saved on this phone")).to_be_visible()
    page.synced()
    expect(page.page.locator(".sync-line")).to_contain_text("Nothing waiting")
    page.kill_server()
    page.go(card)
    expect(page.page.locator(".verdict")).to_have_text(verdict)
    expect(page.page.locator(".age")).to_contain_text("kept on this phone, worked out")
    assert page.ask("kit_table", kits_request())["trouble"] == "NoAnswer"
    page.faults = [fault for fault in page.faults if "WebAssembly" not in fault]


def test_killed_in_the_middle_of_a_call_it_comes_back(phone: Open) -> None:
    page = phone().open("phone")
    page.run("await navigator.serviceWorker.ready")
    page.started()
    page.kill_server()
    asked = next(one for one in all_cases() if one.call == "season_strip" and not one.refused)
    # An engine of its own, so that what the app works out behind does not come between.
    said = page.run(
        """const { Engine } = await import('/engine/engine.js');
        const here = new Engine();
        await here.wake();
        const before = made.length;
        const text = JSON.stringify(given);
        globalThis.fatal = true;
        const asked = here.messenger.call('season_strip', text, 3000);
        const why = await asked.catch((trouble) => trouble.reason);
        globalThis.fatal = false;
        const answer = await here.messenger.call('season_strip', text);
        const first = [why, JSON.parse(answer).error ?? null, made.length - before];
        // A person's own restart: what was asked is answered from what is kept, or not at all.
        const lost = here.ask('season_strip', given).catch((trouble) => trouble.name);
        await new Promise((done) => setTimeout(done, 0));
        await here.restart();
        const second = [await lost, (await here.ask('season_strip', given)).from, here.state.phase];
        here.close();
        return [first, second];""",
        asked.request,
    )
    assert said == [["slow", None, 1], ["NoAnswer", "phone", "ready"]]


@only_full
def test_what_kills_it_again_and_again_ends_it(phone: Open) -> None:
    page = phone(service_workers="block").open("phone")
    page.started()
    said = page.run(
        """const here = (await import('/engine/engine.js')).engine();
        here.messenger.call_ms = 300;
        globalThis.fatal = true;
        const froms = [];
        for (let turn = 0; turn < 4; turn += 1) {
          froms.push((await here.ask('engine', {})).from);
        }
        globalThis.fatal = false;
        return [froms, here.state.phase, here.state.reason, made.length];"""
    )
    # The server stands in each time; the fourth is not even tried on the phone.
    assert said == [["server"] * 4, "failed", "killed", 3]
    # Woken again, it is whole.
    page.run("(await import('/engine/engine.js')).engine().messenger.call_ms = 30000")
    page.started()
    assert page.ask("engine", {})["from"] == "phone"


def test_out_of_memory_it_starts_anew(phone: Open) -> None:
    page = phone(service_workers="block")
    # As on a phone that gives a page no more: the runtime's memory cannot grow past 64 MB.
    page.faulty.before_worker = """
      const grow = WebAssembly.Memory.prototype.grow;
      WebAssembly.Memory.prototype.grow = function (pages) {
        const bytes = this.buffer.byteLength + pages * 65536;
        if (bytes > 64 * 1048576) throw new RangeError('no more memory');
        return grow.call(this, pages);
      };
    """
    page.open("phone")
    page.started()
    said = page.run(
        """const here = (await import('/engine/engine.js')).engine();
        const large = JSON.stringify({ padding: 'x'.repeat(60e6) });
        const why = await here.messenger.call('engine', large).catch((trouble) => trouble.reason);
        const after = await here.messenger.call('engine', '{}');
        return [why, JSON.parse(after).calls.length, made.length];"""
    )
    assert said == ["killed", len(CALLS), 2]


@only_full
def test_a_start_that_takes_too_long_is_given_up(phone: Open) -> None:
    page = phone(service_workers="block").open("phone")
    page.started()
    said = page.run(
        """const { Engine } = await import('/engine/engine.js');
        const { Messenger } = await import('/engine/messenger.js');
        const one = new Engine({ messenger: new Messenger({ boot_ms: 50 }), server: false });
        await one.wake();
        const first = one.state.reason;
        one.messenger.boot_ms = 60000;
        await one.wake();
        const from = (await one.ask('engine', {})).from;
        one.close();
        return [first, one.state.phase, from];"""
    )
    assert said == ["slow", "ready", "phone"]


@pytest.mark.parametrize(
    ("fault", "reason"),
    [("missing", "not_ours"), pytest.param("cut", "spoilt", marks=only_full)],
)
def test_packs_that_cannot_be_had_are_fetched_when_they_can(
    phone: Open, fault: str, reason: str
) -> None:
    page = phone()
    setattr(page.faulty, fault, ("engine/libraries",))
    page.open("phone")
    state = page.awake()
    assert (state["phase"], state["reason"]) == ("failed", reason)
    expect(page.page.get_by_text("Writing and syncing go on")).to_be_visible()
    setattr(page.faulty, fault, ())
    page.run("await navigator.serviceWorker.ready")
    page.faulty.asked.clear()
    page.started()
    asked = page.faulty.asked
    # What had come whole is not fetched again.
    assert len([path for path in asked if path.endswith((".zip", ".wasm"))]) == 1


def changed_packs(monkeypatch: pytest.MonkeyPatch, *changes: tuple[str, str]) -> packs.Packed:
    """Make the packs of another engine: what stands in its calls changed."""

    def other() -> tuple[Pack, Pack]:
        ours, libraries = engine_packs()
        made = io.BytesIO()
        with (
            zipfile.ZipFile(io.BytesIO(ours.content)) as given,
            zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as written,
        ):
            for name in given.namelist():
                text = given.read(name).decode("utf-8")
                if name == "scout/engine/calls.py":
                    for now, then in changes:
                        assert now in text
                        text = text.replace(now, then)
                written.writestr(name, text)
        mark = hashlib.sha256(made.getvalue()).hexdigest()[:16]
        return Pack(f"scout-{mark}.zip", made.getvalue()), libraries

    with monkeypatch.context() as patched:
        patched.setattr(packs, "engine_packs", other)
        return packs.packed(web_folder() / ENGINE_FOLDER)


OLDER = (
    (f'ENGINE_VERSION: Final = "{ENGINE_VERSION}"', 'ENGINE_VERSION: Final = "0"'),
    ('    "stand_where": stand_where,\n', ""),
)


def answered_by(page: EnginePage) -> tuple[str, str]:
    """Answer who answers now, and with which engine."""
    said = page.ask("kit_table", kits_request())
    return said["from"], said["answer"]["engine"]


def stand_request() -> dict[str, Any]:
    """Answer a request that the older engine does not know."""
    cases = [one for one in all_cases() if one.call == "stand_where" and not one.refused]
    return dict(cases[0].request)


@pytest.fixture
def old(phone: Open, monkeypatch: pytest.MonkeyPatch) -> EnginePage:
    """Answer a phone that holds an older engine and an answer of it."""
    page = phone()
    page.app.extensions["scout_packs"] = changed_packs(monkeypatch, *OLDER)
    page.open("phone")
    page.run("await navigator.serviceWorker.ready")
    page.started()
    said = page.ask("kit_table", kits_request(), {"subject": "kit/one"})
    assert (said["from"], said["answer"]["engine"]) == ("phone", "0")
    del page.app.extensions["scout_packs"]
    return page


def test_an_older_engine_beside_a_new_shell_gives_way(old: EnginePage) -> None:
    (kept,) = old.caches()
    old.faulty.asked.clear()
    old.page.reload()
    old.awake()
    # What the older one does not know is never the person's fault while the server knows it.
    assert "answer" in old.ask("stand_where", stand_request())
    old.until(
        """const here = (await import('/engine/engine.js')).engine();
        const names = (await caches.keys()).filter((name) => name.startsWith('engine-'));
        return here.is_ready && names.length === 1 && names[0] !== given;""",
        kept,
    )
    # Only what had changed was fetched.
    asked = [path for path in old.faulty.asked if path.endswith((".zip", ".wasm", ".mjs"))]
    assert len(asked) == 1
    assert "scout-" in asked[0]
    said = old.ask("kit_table", kits_request(), {"subject": "kit/one"})
    assert (said["from"], said["answer"]["engine"]) == ("phone", ENGINE_VERSION)


@only_full
def test_an_older_engine_answers_where_there_is_no_server(old: EnginePage) -> None:
    old.kill_server()
    old.page.reload()
    old.started()
    said = old.ask("kit_table", kits_request(), {"subject": "kit/one"})
    assert (said["from"], said["is_current"]) == ("stored", True)
    assert old.ask("kit_table", kits_request())["from"] == "phone"
    refused = old.ask("stand_where", stand_request())
    assert refused["trouble"] == "Refusal"
    assert "The engine has no call" in refused["sentences"][0]


@only_full
def test_half_a_newer_engine_leaves_the_older_one(old: EnginePage) -> None:
    kept = old.caches()
    old.faulty.cut = ("engine/scout-",)
    old.page.reload()
    old.started()
    old.page.wait_for_timeout(1500)
    assert answered_by(old) == ("phone", "0")
    assert set(kept) <= set(old.caches())
    # The rest comes with the next start.
    old.faulty.cut = ()
    old.page.reload()
    old.awake()
    old.until(
        """const { state } = (await import('/engine/engine.js')).engine();
        return state.phase === 'ready' && !(await caches.keys()).includes(given);""",
        kept[0],
    )
    assert answered_by(old) == ("phone", ENGINE_VERSION)


@only_full
def test_a_newer_engine_that_does_not_start_is_let_go(
    old: EnginePage, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = old.caches()
    broken = changed_packs(monkeypatch, ("import json\n", "import no_such_module\n"))
    old.app.extensions["scout_packs"] = broken
    old.page.reload()
    old.awake()
    old.until("return localStorage.getItem('engine_unfit') !== null")
    old.until("return (await import('/engine/engine.js')).engine().is_ready")
    assert answered_by(old) == ("phone", "0")
    assert old.caches() == kept
    # It is not fetched again at the next start.
    old.faulty.asked.clear()
    old.page.reload()
    old.awake()
    old.page.wait_for_timeout(1000)
    assert not [path for path in old.faulty.asked if path.endswith(".zip")]
