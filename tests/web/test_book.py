"""The book in hand: two phones that diverge, the deleted, the unreadable, an old clock."""

from __future__ import annotations

import datetime as dt
import itertools
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Route, expect

from scout.notebook import backups, rescue
from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.saving import Edit
from scout.records.schema import describe

from .app_page import AppPage, phone_context, served
from .conftest import wall_clock

CENTRE = {"lat": 52.87, "lon": -0.47}
Open = Callable[..., AppPage]


def a_site(notebook: Notebook, **more: object) -> tuple[str, str]:
    """Put a site with one perch into the server's notebook."""
    centre = {"name": "Sallow Carr", "centre": CENTRE, "zone": "Europe/London"}
    (site,) = notebook.save([Edit(kind="site", set=centre)]).records
    perch = {"site": site, "name": "Old post", "position": CENTRE} | more
    return site, notebook.save([Edit(kind="perch", set=perch)]).records[0]


def on_phone(one: AppPage, body: str, given: Any = None) -> Any:
    """Write with the phone's own notebook, as another page of the app would."""
    return one.page.evaluate(
        f"""async (given) => {{
            const {{ openNotebook }} = await import('/notebook/notebook.js');
            const notebook = await openNotebook({{ sync: false }});
            try {{ {body} }} finally {{ notebook.close(); }}
        }}""",
        given,
    )


def test_two_phones_diverge_and_one_tap_settles_it(notebook: Notebook, opened: Open) -> None:
    _, perch = a_site(notebook, height_m=1)
    one, two = opened().open("sync").synced(), opened().open("sync").synced()
    for each, height in ((one, 2), (two, 3)):
        values = {"height_m": height, "name": "Tall post"}  # the name is the same on both
        edit = {"kind": "perch", "record": perch, "set": values}
        on_phone(each, "await notebook.save([given]);", edit)
    for each in (one, two, one):
        each.synced()
    for each in (one, two):
        each.go("conflicts")
        side = each.page.locator(".answers")
        expect(side).to_have_count(1)
        expect(side).to_contain_text("Height above the ground")
        answers = side.locator(".answer")
        expect(answers.filter(has_text="2 m")).to_have_count(1)
        expect(answers.filter(has_text="3 m")).to_have_count(1)
        expect(answers.filter(has_text="this phone")).to_have_count(1)
        expect(answers.filter(has_text="another device")).to_have_count(1)
    two.page.locator(".answer", has_text="2 m").get_by_role("button", name="Keep this one").click()
    expect(two.page.get_by_text("No two answers stand against each other.")).to_be_visible()
    two.synced()
    one.synced().go("conflicts")
    expect(one.page.get_by_text("No two answers stand against each other.")).to_be_visible()
    for each in (one, two):
        each.go(f"perch/{perch}")
        expect(each.page.locator(".told")).to_contain_text("2 m")
    assert notebook.conflicts() == []


def test_what_is_deleted_comes_back_by_undo_and_from_the_list(
    notebook: Notebook, opened: Open
) -> None:
    site, perch = a_site(notebook)
    one = opened().open("sync").synced().go(f"perch/{perch}")
    one.button("Delete").click()
    expect(one.page.get_by_role("heading", name="Sync", exact=True)).to_be_visible()
    one.button("Undo").click()
    expect(one.page.get_by_text("Undone")).to_be_visible()
    one.go("book/perch")
    expect(one.link("Old post")).to_be_visible()
    one.go(f"site/{site}")
    leave = one.page.get_by_role("link", name="the page for the ranger")
    assert leave.get_attribute("href") == f"/plain/leave?site={site}"
    one.button("Delete").click()
    expect(one.page.get_by_role("heading", name="Perches")).to_be_visible()
    expect(one.page.get_by_text("No perches yet.")).to_be_visible()  # hidden with its site
    expect(one.page.locator(".snack")).to_contain_text("site, and 1 record that hangs on it is")
    # An Undo does not follow to other screens, by the phone's own way back either.
    expect(one.button("Undo")).to_be_visible()
    one.page.go_back()
    expect(one.page.locator(".snack")).to_have_count(0)
    one.go("deleted")
    one.button("Bring back").click()
    expect(one.page.get_by_text("Nothing was deleted.")).to_be_visible()
    one.go("book/perch")
    expect(one.link("Old post")).to_be_visible()


def test_a_record_is_changed_by_its_form_and_the_change_undone_from_its_history(
    notebook: Notebook, opened: Open
) -> None:
    _, perch = a_site(notebook, kind="post")
    one = opened().open("sync").synced().go(f"perch/{perch}")
    one.link("Change").click()
    one.page.get_by_label("Name needed").fill("Leaning post")
    one.button("Save").click()
    expect(one.page.get_by_role("heading", name="Leaning post")).to_be_visible()
    one.link("History").click()
    first = one.page.locator(".story > li").first
    expect(first).to_contain_text("this phone")
    expect(first).to_contain_text("Leaning post")
    expect(one.page.locator(".story > li").last).to_contain_text("another device")
    first.get_by_role("button", name="Undo this").click()
    expect(one.page.locator(".story > li")).to_have_count(3)
    one.go(f"perch/{perch}")
    expect(one.page.get_by_role("heading", name="Old post")).to_be_visible()
    one.synced()
    last = notebook.history(perch)[-1]["change"]
    assert last["set"] == {"name": "Old post"}


def test_what_the_server_could_not_read_is_mended_where_it_stands(
    notebook: Notebook, opened: Open
) -> None:
    a_site(notebook)
    one = opened().open("sync").synced()
    values = {"name": "Long zoom", "frame_rate_fps": "4-5"}
    body = "return (await notebook.save([{ kind: 'kit', set: given }])).ids[0];"
    kit = on_phone(one, body, values)
    one.synced()
    one.link("Could not be read by the server: 1").click()
    expect(one.page.locator(".answers")).to_contain_text(
        "The server could not read Frame rate (“4-5”)."
    )
    with one.page.expect_download() as got:
        one.button("Write it to a file").click()
    assert '"4-5"' in Path(got.value.path()).read_text("utf-8")
    one.page.get_by_role("link", name="Mend", exact=True).click()
    one.page.get_by_label("Frame rate").fill("4.5")
    one.button("Save the mended one").click()
    expect(one.page.get_by_text("Nothing was set aside.")).to_be_visible()
    one.synced()
    changes = [one["change"] for one in notebook.history(kit)]
    told = {name: value for change in changes for name, value in change["set"].items()}
    assert told == {"name": "Long zoom", "frame_rate_fps": 4.5}
    assert len(notebook.quarantine()) == 1  # its content is kept


def test_without_a_server_it_says_so_and_the_rescue_file_is_made(
    browser: Browser, notebook: Notebook, tmp_path: Path, opened: Open
) -> None:
    context = phone_context(browser)
    with served(notebook) as address:
        one = opened(context, address).open("sync").synced().go("rescue")
        one.go("sync")  # its modules have come by now
        one.page.wait_for_load_state("networkidle")
    note = {"kind": "note", "set": {"text": "Barn owl over the dyke"}}
    on_phone(one, "await notebook.save([given]);", note)
    one.button("Sync now").click()
    expect(one.page.get_by_text("The server is not reached from here.")).to_be_visible()
    row = one.page.locator(".row", has_text="Barn owl over the dyke")
    expect(row).to_contain_text("on this phone")
    one.go("rescue")
    with one.page.expect_download() as got:
        one.button("Make the file").click()
    rescued = rescue.bring_in(notebook, got.value.path())
    assert (rescued.new, rescued.faults) == (1, [])
    context.close()


def test_times_of_a_trip_are_shifted_by_one_tap(browser: Browser, tmp_path: Path) -> None:
    off_min = 75

    def fast() -> dt.datetime:
        return wall_clock() + dt.timedelta(minutes=off_min)

    with open_notebook(tmp_path / "fast", fast, create=True) as notebook, served(notebook) as url:
        site, _ = a_site(notebook)
        context = phone_context(browser)
        one = AppPage(context, url).open("sync").synced()
        now = wall_clock().replace(microsecond=0)
        start = {"at": now.isoformat(), "source": "device", "zone": "Europe/London"}
        typed = start | {"source": "person"}
        body = "return await notebook.save([{ kind: 'visit', set: given }]);"
        visit = on_phone(one, body, {"site": site, "start": start, "end": typed})["ids"][0]
        one.synced()
        expect(one.page.get_by_text("clock is 1 h 15 min slow.")).to_be_visible()
        expect(one.page.get_by_text("1 time of this trip came from it")).to_be_visible()
        one.button("Shift them by +1 h 15 min").click()
        expect(one.page.get_by_text("No time of this trip came from it.")).to_be_visible()
        values = on_phone(one, "return (await notebook.get(given)).values;", visit)
        shifted = dt.datetime.fromisoformat(values["start"]["at"])
        assert shifted == now + dt.timedelta(minutes=75)
        assert values["end"] == typed  # a person's word stands
        one.button("Undo").click()
        expect(one.button("Shift them by +1 h 15 min")).to_be_visible()
        # The day after it is offered still: a trip ends with its last word.
        later = """const { tripTimes } = await import('/notebook/trip.js');
            return (await tripTimes(notebook, Date.now() + given * 3_600_000)).length;"""
        assert on_phone(one, later, 30) == 1
        # Eight minutes are no trip to be shifted, but to a camera they are.
        off_min = 8
        one.synced()
        expect(one.page.get_by_text("clock is")).to_have_count(0)
        one.go("ready")
        clock = one.page.locator(".checks .row", has_text=re.compile("^Clock"))
        expect(clock).to_contain_text(re.compile("off by (479|480) s: the phone is slow"))
        one.go("camera-clock")
        expect(one.page.get_by_text(re.compile("Corrected by (479|480) s"))).to_be_visible()
        assert one.faults == []
        context.close()


def test_a_lost_store_is_told_plainly(notebook: Notebook, opened: Open) -> None:
    a_site(notebook)
    one = opened().open("sync").synced()
    one.page.goto(f"{one.url}manifest.webmanifest")  # a page of the origin without the notebook
    gone = """() => new Promise((resolve, reject) => {
        const asked = indexedDB.deleteDatabase('notebook');
        asked.onsuccess = () => resolve(true);
        asked.onerror = () => reject(asked.error);
    })"""
    assert one.page.evaluate(gone)
    one.open("sync")
    expect(one.page.get_by_role("alert")).to_contain_text("was gone when the app opened")
    one.button("I have read this").click()
    expect(one.page.get_by_text("was gone when the app opened")).to_have_count(0)
    one.synced().go("book/site")
    expect(one.link("Sallow Carr")).to_be_visible()


def test_a_photo_leaves_the_phone_once_a_backup_has_it(
    notebook: Notebook, opened: Open, tmp_path: Path
) -> None:
    one = opened().open("sync").synced()
    body = """const canvas = new OffscreenCanvas(64, 48);
        canvas.getContext('2d').fillRect(8, 8, 20, 20);
        const blob = await canvas.convertToBlob({ type: 'image/png' });
        const hash = await notebook.putBlob(await blob.arrayBuffer(), 'image/png');
        const set = { blob: hash, caption: 'The alders from the bank' };
        return (await notebook.save([{ kind: 'photo', set }])).ids[0];"""
    photo = on_phone(one, body)
    one.synced().go(f"photo/{photo}")
    expect(one.page.locator("img.photo")).to_be_visible()
    expect(one.page.get_by_text("can leave this phone once it is in a backup")).to_be_visible()
    elsewhere = itertools.count()
    backups.back_up(notebook, tmp_path / "other disk", disk=lambda path: next(elsewhere))
    one.synced().go(f"photo/{photo}")
    one.page.get_by_role("button", name="Let go of the picture here").click()
    expect(one.page.get_by_text("The picture is on the server, not on this phone.")).to_be_visible()
    one.button("Fetch it").click()
    expect(one.page.locator("img.photo")).to_be_visible()
    one.go("sync")
    one.page.get_by_role("button", name="1 photo in a backup").click()
    expect(one.page.get_by_text("1 photo let go of")).to_be_visible()


def test_an_empty_notebook_shows_the_first_act_and_the_sample(opened: Open) -> None:
    one = opened()
    line, said = one.page.locator(".sync-line"), one.page.locator(".empty [role=status]")
    # Never paired; then while the first sync runs: nobody knows yet that there is nothing.
    one.page.route("**/api/v1/ping", lambda route: route.fulfill(status=401))
    one.open("book")
    expect(line).to_have_text("Nothing waiting · not paired yet")
    expect(said).to_contain_text("this phone is not paired with it yet")
    one.go("sync")
    expect(one.page.get_by_text("is not paired with the notebook yet")).to_be_visible()
    expect(one.link("Pair this phone")).to_be_visible()
    one.page.unroute("**/api/v1/ping")
    held: list[Route] = []
    one.page.route("**/api/v1/pull*", lambda route: held.append(route))
    told = """() => {
      globalThis.told = new Set();
      const look = () => told.add(document.querySelector('.empty [role=status]')?.textContent);
      const all = { childList: true, subtree: true, characterData: true };
      new MutationObserver(look).observe(document, all);
    }"""
    one.page.add_init_script(f"({told})()")
    with one.page.expect_request("**/api/v1/pull*"):
        one.go("book").page.reload()
    expect(line).to_contain_text("fetching")
    expect(said).to_have_text("Fetching what the notebook holds. You can write meanwhile.")
    assert not [text for text in one.page.evaluate("[...told]") if text and "Nothing" in text]
    so_far = """async () => (await import('/words.js')).sync.coming(
      { last_sync: null, sync: { trouble: null, phase: 'syncing', pulled: 1000 } })"""
    assert "holds, 1000 changes so far." in one.page.evaluate(so_far)
    while not held:  # the line says so from the first of several questions on
        one.page.wait_for_timeout(20)
    held.pop().continue_()
    one.page.unroute("**/api/v1/pull*")
    expect(said).to_contain_text("Nothing is written here yet")
    expect(line).to_contain_text("Nothing waiting · last sync")
    # Away from the server it says so, and from when it is what is shown.
    one.context.set_offline(True)
    expect(line).to_contain_text("Nothing waiting · no server in reach · last sync")
    one.context.set_offline(False)
    expect(line).to_contain_text("Nothing waiting · last sync")
    expect(one.link("Put the first pin")).to_be_visible()
    for screen in ("book", "write", "outing"):
        one.go(screen)
        expect(one.page.get_by_text("“scout load” puts a folder into yours")).to_be_visible()
    kinds = [kind for kind in describe()["kinds"] if kind != "settings"]
    for kind in kinds:
        one.go(f"book/{kind}")
        expect(one.page.locator(".empty")).to_be_visible()
