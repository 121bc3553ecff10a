"""Routine, the year of a sightline, what outings taught: on a phone with the sample site."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar
from playwright.sync_api import Browser, expect

from scout.engine.calls import call
from scout.installed import sample_site_folder
from scout.notebook.asking import after_request, card_request, routine_request, season_request
from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.saving import Edit

from .app_page import AppPage, phone_context, served
from .conftest import wall_clock
from .shell_page import pixels, put_look, put_size, too_small, too_wide


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Notebook]:
    folder = tmp_path_factory.mktemp("sample") / "notebook"
    with open_notebook(folder, wall_clock, create=True) as notebook:
        notebook.load(read_folder(str(sample_site_folder())))
        yield notebook


@pytest.fixture(scope="module")
def phone(browser: Browser, sample: Notebook) -> Iterator[AppPage]:
    """A phone that has the sample site; fails on an error, a dialog or a CSP report."""
    with served(sample) as url:
        context = phone_context(browser)
        page = AppPage(context, url).open("sync").synced()
        yield page
        context.close()
        assert page.faults == []


@pytest.fixture(autouse=True)
def look(phone: AppPage) -> None:
    put_look(phone.page, "day")
    put_size(phone.page, 390)


def named(sample: Notebook, kind: str, name: str) -> Any:
    records = sample.contents().records[kind].values()
    return next(one for one in records if one.name == name)


def sightline(sample: Notebook, vantage: str, perch: str) -> Any:
    ends = (named(sample, "vantage", vantage).id, named(sample, "perch", perch).id)
    lines = sample.contents().records["sightline"].values()
    return next(one for one in lines if (one.vantage, one.perch) == ends)


def today(sample: Notebook, site: str) -> dt.date:
    import zoneinfo

    zone = sample.contents().records["site"][site].zone
    return wall_clock().astimezone(zoneinfo.ZoneInfo(zone)).date()


def test_the_phone_asks_as_the_server_does(phone: AppPage, sample: Notebook) -> None:
    """The same records make the same requests, what the log says among them."""
    records = sample.contents().records
    site, species, kit = (
        named(sample, kind, name).id
        for kind, name in (
            ("site", "Pellwick Meadows"),
            ("species", "Stonechat"),
            ("kit", "Long zoom 500 mm f/7.1 on full frame"),
        )
    )
    other = named(sample, "species", "Little egret").id
    line = sightline(sample, "Pump house", "Ditch post").id
    on = dt.date(2026, 5, 12)
    told = phone.page.evaluate(
        """async ({ site, species, other, kit, line, on }) => {
          const { openNotebook } = await import('/notebook/notebook.js');
          const asking = await import('/engine/asking.js');
          const { gatheringOf } = await import('/engine/gathering.js');
          const { withPresence } = await import('/engine/presence.js');
          const notebook = await openNotebook({ sync: false });
          const records = await gatheringOf(notebook).at(site);
          const kept = async (kind) => (await notebook.all(kind)).map(asking.plain);
          const extra = { areas: await kept('area'), tags: await kept('tag') };
          const wanted = { site, species, kit, on, session: 'dawn' };
          const known = await withPresence(records, { ...wanted, also: [other] });
          const alone = await withPresence(records, wanted);
          const narrowed = { sky: 'clear', season: null };
          const of = { sightline: line, first: on, weeks: 3 };
          notebook.close();
          return {
            card: asking.cardRequest(records, known),
            routine: asking.routineRequest(records, { site, species, on }, narrowed, extra),
            season: asking.seasonRequest(records, alone, of),
            after: asking.afterRequest(records, wanted),
          };
        }""",
        {
            **{"site": site, "species": species, "other": other, "kit": kit},
            **{"line": line, "on": on.isoformat()},
        },
    )
    common: dict[str, Any] = {"site": site, "species": species, "kit": kit}
    expected = {
        "card": card_request(records, **common, on=on, session="dawn", also=[other]),
        "routine": routine_request(records, site=site, species=species, on=on, sky="clear"),
        "season": season_request(
            records, **common, sightline=line, first=on, weeks=3, session="dawn"
        ),
        "after": after_request(records, **common, on=on),
    }
    names = {"card": "outing_card", "season": "season_strip", "after": "after_outings"}
    for name, request in expected.items():
        call_name = names.get(name, name)
        ours, theirs = (call(call_name, one) for one in (json_of(told[name]), json_of(request)))
        assert "error" not in theirs
        assert ours == theirs, name


def json_of(request: dict[str, Any]) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(json.dumps(request))
    return read


def test_a_species_page_is_its_routine(phone: AppPage, sample: Notebook) -> None:
    site, species = (
        named(sample, "site", "Pellwick Meadows"),
        named(sample, "species", "Stonechat"),
    )
    said = call(
        "routine",
        routine_request(
            sample.contents().records,
            site=site.id,
            species=species.id,
            on=today(sample, site.id),
        ),
    )
    phone.go(f"species/{species.id}")
    main = phone.page.locator("main")
    for session in ("dawn", "dusk"):
        expect(main).to_contain_text(said[session]["words"])
        expect(main).to_contain_text(said[session]["holds"]["words"])
    marks = phone.page.locator(".visit-marks").first
    assert marks.locator("circle.seen").count() == said["dawn"]["there"]["k"]
    assert marks.locator("circle").count() == said["dawn"]["there"]["n"]
    expect(main).to_contain_text(", ".join(said["unwatched"]["where"]))
    # Quarter hours are there for whoever opens them, k of n each.
    phone.page.get_by_text("Quarter hour by quarter hour").first.click()
    rows = phone.page.locator(".routine details[open] tbody tr")
    expect(rows).to_have_count(len([step for step in said["dawn"]["steps"] if step["k"]]))
    phone.page.locator(".routine details[open]").get_by_role("button").click()
    expect(rows).to_have_count(len(said["dawn"]["steps"]))
    step = said["dawn"]["steps"][3]
    expect(rows.nth(3)).to_contain_text(f"{step['k']} of {step['n']}")


def test_a_routine_is_narrowed_by_tapping(phone: AppPage, sample: Notebook) -> None:
    site, species = (
        named(sample, "site", "Pellwick Meadows"),
        named(sample, "species", "Stonechat"),
    )
    said = call(
        "routine",
        routine_request(
            sample.contents().records,
            site=site.id,
            species=species.id,
            on=today(sample, site.id),
            sky="overcast",
        ),
    )
    phone.go(f"species/{species.id}")
    phone.page.get_by_text("Narrow it down").click()
    phone.page.locator(".narrow").get_by_role("button", name="overcast").click()
    expect(phone.page.locator("main")).to_contain_text(said["dawn"]["words"])


def test_a_sensitive_animal_is_not_suggested(phone: AppPage, sample: Notebook) -> None:
    phone.go(f"species/{named(sample, 'species', 'Otter').id}")
    expect(phone.page.locator("main")).to_contain_text(
        "This site is sensitive: it is never suggested for more visits."
    )


def test_a_tap_on_a_week_opens_its_card(phone: AppPage, sample: Notebook) -> None:
    line = sightline(sample, "Pump house", "Ditch post")
    phone.go(f"sightline/{line.id}")
    strip = phone.page.locator(".year-strip")
    strip.wait_for()
    box = strip.bounding_box()
    dock = phone.page.locator(".dock").bounding_box()
    assert box is not None
    assert dock is not None
    assert box["y"] < dock["y"] - 150, "the year is not seen where the page opens"
    before = phone.page.locator(".week").inner_text()
    strip.click(position={"x": box["width"] / 2, "y": box["height"] * 0.3})
    expect(phone.page.locator(".week")).not_to_have_text(before)
    expect(phone.page.locator(".week")).to_contain_text("sun clears it")
    phone.page.get_by_role("link", name="Open the card of").click()
    expect(phone.page.locator("main .verdict")).to_be_visible()
    assert "/card/" in phone.page.url


def downloaded(phone: AppPage, tmp_path: Path) -> Any:
    with phone.page.expect_download() as download:
        phone.button("Give these days to a calendar").click()
    assert download.value.suggested_filename == "low-sun.ics"
    file = tmp_path / "low-sun.ics"
    download.value.save_as(file)
    raw = file.read_bytes()
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    return Calendar.from_ical(raw)


def test_days_of_low_sun_go_to_a_calendar(phone: AppPage, sample: Notebook, tmp_path: Path) -> None:
    """Read by the icalendar package: RFC 5545."""
    phone.go(f"sightline/{sightline(sample, 'Pump house', 'Ditch post').id}")
    phone.page.locator(".year-strip").wait_for()
    events = downloaded(phone, tmp_path).walk("VEVENT")
    assert events
    for event in events:
        assert str(event["SUMMARY"]) == "Pellwick Meadows: Pump house → Ditch post"
        assert event["DTSTART"].dt < event["DTEND"].dt
        assert event["DTSTART"].dt.tzinfo is not None
    assert len({str(event["UID"]) for event in events}) == len(events)


def test_what_outings_taught(phone: AppPage, sample: Notebook) -> None:
    site = named(sample, "site", "Pellwick Meadows")
    phone.go(f"after?site={site.id}")
    taught = phone.page.locator(".after")
    taught.wait_for()
    text = taught.inner_text()
    records = sample.contents().records
    visits = [one for one in records["visit"].values() if one.site == site.id]
    frames = sum(one.frames or 0 for one in visits)
    keepers = sum(one.keepers or 0 for one in visits if one.frames is not None)
    assert f"{len(visits)} visits; {keepers} kept of {frames} frames" in text


@pytest.mark.parametrize("wide", [320, 390])
@pytest.mark.parametrize("page", ["species", "sightline", "after"])
def test_it_fits_and_glows_red_at_night(
    phone: AppPage, sample: Notebook, page: str, wide: int
) -> None:
    put_look(phone.page, "night")
    put_size(phone.page, wide)
    where = {
        "species": f"species/{named(sample, 'species', 'Stonechat').id}",
        "sightline": f"sightline/{sightline(sample, 'Pump house', 'Ditch post').id}",
        "after": f"after?site={named(sample, 'site', 'Pellwick Meadows').id}",
    }
    phone.go(where[page])
    phone.page.locator(".visit-marks, .year-strip, .after").first.wait_for()
    assert too_wide(phone.page) == []
    assert too_small(phone.page) == []
    assert pixels(phone.page)[:, :, 1:].max() == 0


def test_a_sensitive_place_goes_to_a_calendar_by_its_code_name(
    phone: AppPage, sample: Notebook, tmp_path: Path
) -> None:
    site = named(sample, "site", "Pellwick Meadows")
    line = sightline(sample, "Pump house", "Ditch post")
    secret = {"sensitivity": "high", "code_name": "Flat 3"}
    sample.save([Edit(kind="site", record=site.id, set=secret)])
    try:
        phone.synced().go(f"sightline/{line.id}")
        phone.page.locator(".year-strip").wait_for()
        calendar = downloaded(phone, tmp_path)
        assert {str(event["SUMMARY"]) for event in calendar.walk("VEVENT")} == {"Flat 3"}
        for name in (b"Pellwick", b"Ditch", b"Pump", b"Stonechat"):
            assert name not in calendar.to_ical()
    finally:
        sample.save([Edit(kind="site", record=site.id, set={"sensitivity": "open"})])
        phone.synced()


def test_several_animals_may_be_chosen_for_a_card(phone: AppPage, sample: Notebook) -> None:
    """What is chosen stays chosen; a sightline too near for one of them is for the other."""
    site = named(sample, "site", "Pellwick Meadows")
    phone.go(f"card/{site.id}/2026-05-12/dawn")
    phone.page.locator(".meant > .act").click()
    egret = phone.page.get_by_role("group", name="Others that will do")
    egret.get_by_role("button", name="Little egret").click()
    expect(phone.page.locator(".meant > .act")).to_contain_text("Stonechat, Little egret")
    first = phone.page.locator("article.line").first
    first.locator(".line-head").click()
    expect(first).to_contain_text("Not for Little egret: ")
    asked = card_request(
        sample.contents().records,
        site=site.id,
        species=named(sample, "species", "Stonechat").id,
        kit=named(sample, "kit", "Long zoom 500 mm f/7.1 on full frame").id,
        on=dt.date(2026, 5, 12),
        session="dawn",
        also=[named(sample, "species", "Little egret").id],
    )
    said = call("outing_card", asked)
    expect(phone.page.locator("main")).to_contain_text(said["verdict"])
    phone.page.get_by_role("group", name="Others that will do").get_by_role(
        "button", name="Little egret"
    ).click()
    expect(phone.page.locator(".meant > .act")).not_to_contain_text("Little egret")


def test_the_map_says_how_often_it_came_to_a_perch(phone: AppPage, sample: Notebook) -> None:
    site, perch = (
        named(sample, "site", "Pellwick Meadows").id,
        named(sample, "perch", "Ditch post").id,
    )
    said = phone.page.evaluate(
        """async ([perch, site]) => {
          const { openNotebook } = await import('/notebook/notebook.js');
          const { h, render } = await import('/doors/preact.js');
          const { SessionContext } = await import('/session.js');
          const { Came } = await import('/screens/perch_came.js');
          const notebook = await openNotebook({ sync: false });
          const box = document.createElement('div');
          const session = { notebook, schema: { kinds: {} } };
          render(h(SessionContext.Provider, { value: session }, h(Came, { perch, site })), box);
          for (let tries = 0; tries < 200 && box.textContent === ''; tries += 1)
            await new Promise((resolve) => setTimeout(resolve, 50));
          const told = box.textContent;
          render(null, box);
          notebook.close();
          return told;
        }""",
        [perch, site],
    )
    request = card_request(
        sample.contents().records,
        site=site,
        species=named(sample, "species", "Stonechat").id,
        kit=named(sample, "kit", "Long zoom 500 mm f/7.1 on full frame").id,
        on=dt.date(2026, 5, 12),
        session="dawn",
    )
    dawn, dusk = (request["presence"][half]["perches"][perch]["there"] for half in ("dawn", "dusk"))
    assert said == (
        f"Stonechat: came on {dawn['k']} of {dawn['n']} watched dawns, "
        f"{dusk['k']} of {dusk['n']} watched dusks"
    )
