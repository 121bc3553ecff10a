"""A visit written in the field: few taps, each undone, and what the notebook holds of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Browser, expect

from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit

from .app_page import AppPage, phone_context
from .field_page import LATE
from .test_book import on_phone

CENTRE = {"lat": 52.87, "lon": -0.47}
ZONE = "Europe/London"
Open = Callable[..., AppPage]


def made(notebook: Notebook, kind: str, **values: Any) -> str:
    return notebook.save([Edit(kind=kind, set=values)]).records[0]


def carr(notebook: Notebook) -> dict[str, str]:
    """Put a site with two perches, two vantages and two animals into a notebook; ids by name."""
    site = made(notebook, "site", name="Sallow Carr", centre=CENTRE, zone=ZONE)
    spot = {"site": site, "position": CENTRE}
    ids = {"site": site}
    for name in ("Dead branch", "Low post"):
        ids[name] = made(notebook, "perch", name=name, **spot)
    for name in ("Reed hide", "Bank"):
        ids[name] = made(notebook, "vantage", name=name, cover="hide", **spot)
        for perch in ("Dead branch", "Low post"):
            made(notebook, "sightline", vantage=ids[name], perch=ids[perch])
    ids["Kingfisher"] = made(notebook, "species", name="Kingfisher", animal="bird", length_m=0.17)
    ids["Otter"] = made(notebook, "species", name="Otter", animal="mammal", length_m=1.1)
    return ids


def tap(one: AppPage, *names: str) -> None:
    """Tap buttons one after another."""
    for name in names:
        one.button(name).first.click()


def held(notebook: Notebook, kind: str) -> list[dict[str, Any]]:
    """Answer what the server's notebook shows of a kind, in the order of its making."""
    contents = notebook.contents()
    assert contents.incomplete == ()
    return [{**values, "id": id_} for id_, values in contents.raw.get(kind, {}).items()]


def test_an_empty_notebook_shows_its_first_act(opened: Open) -> None:
    one = opened().open("write")
    expect(one.page.get_by_text("Nothing is written yet.")).to_be_visible()
    for name in ("Perch here", "Vantage here", "Sightline", "Visit", "Note", "Photo"):
        expect(one.page.get_by_role("link", name=name, exact=True).last).to_be_visible()
    one.go("visiting")
    expect(one.page.get_by_text("A visit needs a site.")).to_be_visible()


def test_three_taps_from_the_shortcut_write_a_sighting_with_time_and_place(
    notebook: Notebook, opened: Open
) -> None:
    ids = carr(notebook)
    one = opened().open("sync").synced()
    one.go("visiting")  # as the shortcut on the home screen opens it
    tap(one, "Start the visit")
    tap(one, "Here now")
    tap(one, "Kingfisher")
    expect(one.page.get_by_text("Kingfisher here")).to_be_visible()
    one.synced()
    (visit,) = held(notebook, "visit")
    (watch,) = held(notebook, "watch")
    (sighting,) = held(notebook, "sighting")
    assert visit["site"] == ids["site"]
    assert watch["visit"] == visit["id"]
    assert sighting["watch"] == watch["id"]
    assert sighting["species"] == ids["Kingfisher"]
    assert sighting["how"] == "seen"
    assert sighting["time_in"]["source"] == "device"
    assert sighting["time_in"]["zone"] == ZONE
    assert "end" not in visit
    one.page.goto(f"{one.url}index.html")  # a running visit is what the app opens with
    expect(one.button("Here now")).to_be_visible()
    one.go("write")  # and it takes the place over, until one asks for the others
    expect(one.button("Here now")).to_be_visible()
    one.link("Write something else").click()
    expect(one.page.get_by_role("heading", name="Write")).to_be_visible()
    one.link("To the visit since").click()
    expect(one.button("Here now")).to_be_visible()


def shown(one: AppPage) -> dict[str, list[dict[str, Any]]]:
    """What the phone shows of a visit's kinds, by another page's own notebook."""
    return on_phone(
        one,
        """const found = {};
        for (const kind of ['visit', 'watch', 'sighting', 'reaction', 'skyline', 'species']) {
          found[kind] = (await notebook.all(kind)).map((rec) => ({ id: rec.id, ...rec.values }));
        }
        return found;""",
    )


EACH_ACT = (
    (["Here now", "Otter"], "Otter here"),
    (["Kingfisher gone"], "Kingfisher gone"),
    (["Dead branch"], "Dead branch"),
    (["Noticed me", "left"], "Kingfisher left"),
    (["Sun on it", "Dead branch in the sheet"], "Sun on Dead branch"),
    (["Sun off it", "Low post in the sheet"], "Sun off Low post"),
    (["Moved", "Bank"], "Moved to Bank"),
    (["Quiet again"], "Quiet from"),
    (["Weather", "overcast", "Save"], "Weather"),
    (["End"], "Visit ended"),
)


def test_every_act_is_undone_by_its_snackbar(notebook: Notebook, opened: Open) -> None:
    carr(notebook)
    one = opened().open("sync").synced().go("visiting")
    tap(one, "Reed hide", "Start the visit", "Here now", "Kingfisher")
    expect(one.page.locator(".snack")).to_contain_text("Kingfisher here")
    before = shown(one)
    for taps, says in EACH_ACT:
        for name in taps:
            in_sheet = name.removesuffix(" in the sheet")
            place = one.page.locator("dialog") if in_sheet != name else one.page
            place.get_by_role("button", name=in_sheet, exact=True).click()
        expect(one.page.locator(".snack")).to_contain_text(says)
        one.button("Undo").focus()  # so that it stays, however slow the machine is
        assert shown(one) != before, says
        tap(one, "Undo")
        expect(one.page.locator(".snack")).to_contain_text("Undone")
        assert shown(one) == before, says
    units = "async () => (await import('/phone.js')).setPhone({ units: 'imperial' })"
    one.page.evaluate(units)
    tap(one, "Noticed me", "39 ft", "moved off")
    expect(one.page.locator(".logged").first).to_contain_text("moved off · 39 ft")
    assert shown(one)["reaction"][0]["distance_m"] == 12


def test_an_entry_is_taken_back_and_brought_back_from_the_list(
    notebook: Notebook, opened: Open
) -> None:
    carr(notebook)
    one = opened().open("sync").synced().go("visiting")
    tap(one, "Reed hide", "Start the visit", "Here now", "Kingfisher", "Kingfisher gone")
    expect(one.page.get_by_text("Nothing here now.")).to_be_visible()
    entries = one.page.locator(".logged")
    expect(entries).to_have_count(3)
    tap(one, "Undo: Visit begins")  # on which the rest hangs
    expect(one.page.locator(".snack")).to_contain_text("take those back first")
    expect(entries).to_have_count(3)
    tap(one, "Undo: Kingfisher gone")
    expect(one.button("Kingfisher gone")).to_be_visible()  # it is here again
    tap(one, "Undo: Kingfisher · seen")
    expect(one.page.get_by_text("Nothing here now.")).to_be_visible()
    expect(one.page.locator(".snack")).to_contain_text("Undone")
    one.page.locator(".snack").get_by_role("button", name="Undo").click()
    expect(one.button("Kingfisher gone")).to_be_visible()
    one.page.get_by_role("link", name="Kingfisher · seen. Change").click()
    expect(one.page.get_by_role("heading", name="Change sighting")).to_be_visible()


def test_a_new_animal_is_written_with_its_first_sighting(notebook: Notebook, opened: Open) -> None:
    made(notebook, "site", name="Sallow Carr", centre=CENTRE, zone=ZONE)
    one = opened().open("sync").synced().go("visiting")
    tap(one, "Start the visit")
    tap(one, "Here now")
    sheet = one.page.locator("dialog")
    one.page.get_by_label("Name", exact=True).fill("Water rail")
    sheet.get_by_role("button", name="bird").click()
    sheet.get_by_role("button", name="0.2 m").click()
    sheet.get_by_role("button", name="How many: more").click()
    sheet.get_by_role("button", name="Here now").click()
    expect(one.page.get_by_text("Water rail here")).to_be_visible()
    one.synced()
    (animal,) = held(notebook, "species")
    assert (animal["name"], animal["animal"], animal["length_m"]) == ("Water rail", "bird", 0.2)
    (sighting,) = held(notebook, "sighting")
    assert (sighting["species"], sighting["count"]) == (animal["id"], 2)


def long_ago(one: AppPage, hours: float) -> None:
    """Move the visit that runs back, as if nothing had been written for so long."""
    on_phone(
        one,
        """const [[visit], watches] = [await notebook.all('visit'), await notebook.all('watch')];
        const at = new Date(Date.now() - given * 3_600_000).toISOString().slice(0, 19) + 'Z';
        const start = { at, source: 'device', zone: 'Europe/London' };
        await notebook.save([visit, ...watches].map((rec) => (
          { kind: rec.kind, record: rec.id, set: { start } })));""",
        hours,
    )


def test_a_forgotten_end_that_nobody_knows_counts_for_nothing(
    notebook: Notebook, opened: Open
) -> None:
    carr(notebook)
    one = opened().open("sync").synced().go("visiting")
    tap(one, "Reed hide")
    tap(one, "Start the visit")
    expect(one.button("Here now")).to_be_visible()
    long_ago(one, 5)
    one.page.reload()
    expect(one.page.get_by_role("heading", name="When did you leave?")).to_be_visible()
    tap(one, "I am still here")  # and so it runs on
    expect(one.button("Here now")).to_be_visible()
    long_ago(one, 30)
    on_phone(one, "await notebook.keepSetting('still_here', null);")
    one.page.reload()
    tap(one, "Not known")
    expect(one.page.get_by_role("heading", name="Visit ended")).to_be_visible()
    expect(one.page.get_by_text("Nothing seen or heard.")).to_be_visible()
    one.synced()
    (visit,) = held(notebook, "visit")
    (watch,) = held(notebook, "watch")
    assert visit["end"] == {**visit["start"], "source": "person"}
    assert visit["end_unsure"] is True
    assert (watch["end"], watch["end_unsure"]) == (visit["end"], True)


def test_a_visit_that_runs_on_another_phone_is_offered_and_takes_nothing_over(
    notebook: Notebook, opened: Open
) -> None:
    carr(notebook)
    one = opened().open("sync").synced().go("visiting")
    tap(one, "Start the visit")
    tap(one, "Here now")
    tap(one, "Otter")
    expect(one.page.get_by_text("Otter here")).to_be_visible()
    one.synced()
    two = opened().open("sync").synced().go("write")
    expect(two.page.get_by_role("heading", name="Open visits")).to_be_visible()
    two.go("visiting")
    expect(two.button("Start the visit")).to_be_visible()
    two.go("write").page.get_by_role("link", name="Sallow Carr").click()
    tap(two, "Otter gone")
    expect(two.page.get_by_text("Nothing here now.")).to_be_visible()
    two.synced()
    (sighting,) = held(notebook, "sighting")
    assert "time_out" in sighting


def test_what_is_half_written_stands_on_top(notebook: Notebook, opened: Open) -> None:
    carr(notebook)
    one = opened().open("sync").synced().go("note-here")
    one.page.get_by_label("Text").fill("Otter spraint on the")
    one.page.wait_for_timeout(200)
    one.go("write")
    one.page.get_by_role("link", name="Note").first.click()
    expect(one.page.get_by_label("Text")).to_have_value("Otter spraint on the")
    tap(one, "Start anew")
    one.go("write")
    expect(one.page.get_by_role("heading", name="Half-written")).to_have_count(0)


def test_a_note_is_placed_when_the_phone_knows_where_it_is(
    notebook: Notebook, browser: Browser, url: str
) -> None:
    ids = carr(notebook)
    context = phone_context(browser)
    context.add_init_script(f"({LATE})()")
    one = AppPage(context, url).open("sync").synced().go("note-here")
    one.page.get_by_label("Text").fill("Fresh pellets")
    tap(one, "Save")
    expect(one.page.get_by_text("Saved on this phone")).to_be_visible()
    one.page.evaluate("() => fixed(52.8701, -0.4702, 3)")  # after the Save
    read = "const [note] = await notebook.all('note'); return note?.values;"
    for _ in range(100):
        if on_phone(one, read).get("site"):
            break
        one.page.wait_for_timeout(100)
    found = on_phone(one, read)
    assert (found["position"]["lat"], found["position"]["source"]) == (52.8701, "satellite fix")
    assert found["site"] == ids["site"]
    assert one.faults == []
    context.close()


def test_a_clock_that_is_set_back_ends_nothing_before_it_began(
    notebook: Notebook, opened: Open
) -> None:
    carr(notebook)
    one = opened()
    now = dt.datetime.now(dt.UTC).replace(microsecond=0)
    one.context.clock.set_fixed_time(now + dt.timedelta(minutes=5))
    one.open("sync").synced().go("visiting")
    tap(one, "Reed hide", "Start the visit", "Here now", "Kingfisher")
    expect(one.page.locator(".snack")).to_contain_text("Kingfisher here")
    one.context.clock.set_fixed_time(now - dt.timedelta(hours=2))
    one.page.reload()
    tap(one, "Quiet again", "Kingfisher gone")
    expect(one.page.get_by_text("Nothing here now.")).to_be_visible()
    tap(one, "Moved", "Bank", "End")
    expect(one.page.get_by_role("heading", name="Visit ended")).to_be_visible()
    found = shown(one)
    (visit,), (sighting,) = found["visit"], found["sighting"]
    for one_thing in (visit, *found["watch"]):
        assert one_thing["start"]["at"] <= one_thing["end"]["at"]
    assert sighting["time_out"] == sighting["time_in"]
    assert visit["end"]["at"] >= sighting["time_out"]["at"]


def test_the_shortcuts_of_the_home_screen_lead_to_screens(opened: Open) -> None:
    one = opened().open("write")
    manifest = one.page.evaluate("async () => (await fetch('manifest.webmanifest')).json()")
    names = [shortcut["name"] for shortcut in manifest["shortcuts"]]
    assert names[:2] == ["Visit", "Perch here"]
    for shortcut in manifest["shortcuts"]:
        one.page.goto(one.url + shortcut["url"].removeprefix("./"))
        one.page.locator("main:not([aria-busy]) h1").wait_for()
        expect(one.page.get_by_text("There is no such page")).to_have_count(0)
