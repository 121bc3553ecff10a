"""What may go wrong with the engine on the phone, and what goes on without it."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from scout.engine.calls import CALLS
from scout.server.headers import POLICY
from tests.conftest import only_full
from tests.parity.cases import all_cases

from .engine_page import EngineOpen, kits_request


def test_nothing_waits_for_an_engine_that_hangs(engine_phone: EngineOpen) -> None:
    page = engine_phone(service_workers="block")
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


def test_a_policy_that_refuses_it_is_said_once_and_the_rest_goes_on(
    engine_phone: EngineOpen,
) -> None:
    page = engine_phone(service_workers="block").open("sync").synced()
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


def test_killed_in_the_middle_of_a_call_it_comes_back(engine_phone: EngineOpen) -> None:
    page = engine_phone().open("phone")
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
def test_what_kills_it_again_and_again_ends_it(engine_phone: EngineOpen) -> None:
    page = engine_phone(service_workers="block").open("phone")
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


def test_out_of_memory_it_starts_anew(engine_phone: EngineOpen) -> None:
    page = engine_phone(service_workers="block")
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
def test_a_start_that_takes_too_long_is_given_up(engine_phone: EngineOpen) -> None:
    page = engine_phone(service_workers="block").open("phone")
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
    engine_phone: EngineOpen, fault: str, reason: str
) -> None:
    page = engine_phone()
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
