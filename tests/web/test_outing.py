"""Deciding with the server dead: table, card, light, kit, map; in every look and size."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from playwright.sync_api import Browser, Locator, expect

from scout.notebook.notebook import open_notebook

from .conftest import wall_clock
from .engine_page import EnginePage, engine_page, load_sample
from .looks import looked_at
from .shell_page import pixels, put_look, put_size

_AHEAD = """const { computeAhead } = await import('/engine/ahead.js');
  const { openNotebook } = await import('/notebook/notebook.js');
  const { engine } = await import('/engine/engine.js');
  const notebook = await openNotebook({ sync: false });
  return computeAhead(notebook, engine(), () => false, given);"""
_SAVED = """const { openNotebook } = await import('/notebook/notebook.js');
  const notebook = await openNotebook({ sync: false });
  try { return (await notebook.save(given)).ids; } finally { notebook.close(); }"""
# What is kept under names that begin so is kept under others.
_MOVED = """for (const name of await caches.keys()) {
    if (!name.startsWith(given[0])) continue;
    const [from, to] = [await caches.open(name), await caches.open(name.replace(...given))];
    for (const one of await from.keys()) await to.put(one, await from.match(one));
    await caches.delete(name);
  }"""
_JOURNEY = """const { Store } = await import('/notebook/store.js');
  const store = new Store('notebook', {});
  const db = await store.db();
  const journey = await db.get('kv', 'journey');
  await db.put('kv', { ...journey, last_sync: journey.last_sync + given }, 'journey');
  store.close();"""
WAIT_MS = 60_000  # for an answer on a busy machine
_CLOCK = re.compile(r"\b\d\d:\d\d\b")


@pytest.fixture(scope="module")
def away(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[EnginePage]:
    """A phone that synced the sample site at home, worked two days out, and is away now."""
    folder = tmp_path_factory.mktemp("outing") / "server"
    with open_notebook(folder, wall_clock, create=True) as notebook:
        load_sample(notebook)
        with engine_page(browser, notebook, accept_downloads=True) as page:
            page.open("sync").synced()
            page.run("await navigator.serviceWorker.ready")
            page.started()
            assert page.run(_AHEAD, 2) == 16  # two sites, two sessions, card and cell, two days
            page.kill_server()
            page.page.reload()
            page.page.locator("main h1").wait_for()
            page.started()
            yield page


@pytest.fixture
def phone(away: EnginePage) -> Iterator[EnginePage]:
    """That phone, as every test finds it; fails on an error, a dialog or a CSP report."""
    put_size(away.page, 390)
    put_look(away.page, "day")
    yield away
    put_look(away.page, "day")
    assert away.faults == []


def tomorrow(phone: EnginePage, session: str = "dawn") -> Locator:
    """Answer tomorrow's cell of the first site, whether today still stands before it or not."""
    row = phone.page.locator("tbody tr").filter(has_text=session).first
    day = dt.datetime.now(ZoneInfo("Europe/London")).date() + dt.timedelta(days=1)
    return row.locator(f"td a[href*='/{day}/']")


def to_card(phone: EnginePage, session: str = "dawn") -> None:
    """Open tomorrow's card from the table, as a person does."""
    phone.go("choice")
    tomorrow(phone, session).click()
    phone.page.locator(".verdict").wait_for()


def settled(phone: EnginePage) -> None:
    """Wait until nothing is being worked out."""
    age = phone.page.locator(".age")
    expect(age).to_contain_text("worked out", timeout=WAIT_MS)
    expect(age).not_to_contain_text("working it out", timeout=WAIT_MS)


def tap(phone: EnginePage, name: str) -> None:
    phone.button(name).click()


def names(phone: EnginePage) -> list[str]:
    return phone.page.locator(".line-name").all_inner_texts()


def test_the_table_says_which_morning_and_opens_its_card(phone: EnginePage) -> None:
    phone.go("choice")
    table = phone.page.locator(".choice table")
    expect(table.locator("tbody tr")).to_have_count(4)
    cell = tomorrow(phone)
    expect(cell.locator("b")).not_to_have_text("…", timeout=WAIT_MS)
    assert _CLOCK.search(cell.inner_text())
    assert "past" not in cell.inner_text()  # tomorrow's
    expect(phone.page.locator(".age")).to_contain_text(
        re.compile("Every day is worked out · the oldest (just now|[0-9]+ min ago)"),
        timeout=WAIT_MS,
    )
    # A day of which nothing is to come is scrolled past.
    today = table.locator("tbody tr td:first-of-type")
    is_over = all("past" in text or text == "–" for text in today.all_inner_texts())
    left = phone.page.locator(".choice").evaluate("box => box.scrollLeft")
    assert (left > 0) == is_over
    expect(phone.page.get_by_text("up: when to get up")).to_be_visible()
    expect(cell).to_contain_text("dawn")  # said to those who do not see the row
    expect(cell).to_contain_text("open the card")
    cell.click()
    expect(phone.page.locator(".verdict")).to_be_visible()
    expect(phone.page.locator(".age")).to_contain_text("kept on this phone, worked out")
    expect(phone.page.locator(".times")).to_contain_text("get up")
    assert len(names(phone)) > 2
    assert phone.page.locator(".line .strip").count() == len(names(phone))
    # What is owed to the animal and the place is on it.
    for heading in ("Cautions", "Not known", "Going"):
        expect(phone.page.get_by_role("heading", name=heading)).to_be_visible()
    # The engine's sentences too are as the phone is set.
    put_look(phone.page, "day", units="imperial", hours=12)
    phone.page.reload()
    settled(phone)
    phone.page.locator(".line-head").first.click()
    said = phone.page.locator("main").inner_text()
    assert re.search(r"\d ft ± [\d.]+ ft", said)
    assert re.search(r"best \d+:\d\d [ap]m–\d+:\d\d [ap]m", said)
    assert re.findall(r"\d m\b|\b[01]?\d:\d\d(?! [ap]m)", said) == []
    put_look(phone.page, "day", units="metric", hours=24)


def test_two_taps_rank_it_anew_and_are_kept(phone: EnginePage) -> None:
    phone.go("choice")
    cell = tomorrow(phone).locator("b")
    expect(cell).not_to_have_text("…", timeout=WAIT_MS)
    in_table = cell.inner_text()
    to_card(phone)
    settled(phone)
    before = (phone.page.locator(".verdict").inner_text(), phone.page.locator(".line-best").first)
    row = phone.page.locator(".expected-row")
    row.get_by_role("button", name="Sky").click()
    tap(phone, "overcast")
    settled(phone)
    expect(row).to_contain_text("overcast")
    expect(phone.page.locator(".verdict")).not_to_have_text(before[0])
    row.get_by_role("button", name="Shutter").click()
    tap(phone, "fidgeting")
    expect(row).to_contain_text("fidgeting 1/")
    row.get_by_role("button", name="Wind from").click()
    tap(phone, "SW")
    tap(phone, "gentle, 3")
    settled(phone)
    expect(row).to_contain_text("SW 3")
    expect(phone.page.locator(".age")).to_contain_text("worked out on this phone just now")
    expect(phone.page.locator(".expected")).to_contain_text("typed")
    card = phone.page.url.split("#/")[1]
    # The table is of what was typed as well.
    phone.go("choice")
    expect(cell).not_to_have_text(re.compile(f"…|{re.escape(in_table)}"), timeout=WAIT_MS)
    phone.go(card)
    for typed in ("overcast", "fidgeting", "SW 3"):
        expect(row).to_contain_text(typed)
    # The other session has its own.
    phone.button("Next session").click()
    expect(row).to_contain_text("three shown")
    phone.button("Session before").click()
    expect(row).to_contain_text("overcast")
    row.get_by_role("button", name="Sky").click()
    tap(phone, "overcast")  # a second tap takes it back
    expect(row).to_contain_text("three shown")


def test_why_this_one_opens_every_figure(phone: EnginePage) -> None:
    to_card(phone)
    settled(phone)
    first = phone.page.locator(".line").first
    first.locator(".line-head").click()
    # Four skies, each a strip with its words at the stretch.
    expect(first.locator(".strip")).to_have_count(5)
    expect(first.locator(".stretches")).to_have_count(4)
    assert _CLOCK.search(first.locator(".stretches").first.inner_text())
    phone.button("Why this one").click()
    inputs = first.locator(".inputs")
    for named in ("Light needed", "Sky left", "Line", "Background behind it"):
        expect(inputs).to_contain_text(named)
    assert re.search(r"1/\d+: EV \d", inputs.inner_text())
    expect(inputs.get_by_role("link", name="Its year, and what was measured")).to_be_visible()
    phone.button("Less").click()
    expect(inputs).to_have_count(0)


def test_the_four_states_are_told_apart_by_pattern(phone: EnginePage) -> None:
    to_card(phone)
    settled(phone)
    first = phone.page.locator(".line").first
    first.locator(".line-head").click()
    fills = set()
    for one in phone.page.locator(".strip svg rect:not(.strip-edge)").all():
        fills.add(re.sub(r"url\(#(\w+)-.*", r"\1", one.get_attribute("fill") or ""))
    assert fills <= {"none", "stipple", "hatch", "currentColor"}
    assert {"none", "currentColor"} < fills
    told = phone.page.locator(".strip svg").first.get_attribute("aria-label") or ""
    assert "too dark" in told
    first.locator(".line-head").click()


def test_the_light_here_today(phone: EnginePage) -> None:
    phone.go("light")
    settled(phone)
    expect(phone.page.locator(".verdict")).to_contain_text("Sun over the skyline")
    expect(phone.page.locator(".strip")).to_have_count(4)
    expect(phone.page.get_by_role("columnheader", name="overcast")).to_be_visible()
    day = phone.page.locator(".kicker").inner_text()
    phone.button("Day after").click()
    expect(phone.page.locator(".kicker")).not_to_have_text(day)
    settled(phone)


def test_a_perch_dropped_a_minute_ago_has_light_without_a_skyline(phone: EnginePage) -> None:
    site = phone.run(
        """const { openNotebook } = await import('/notebook/notebook.js');
        const notebook = await openNotebook({ sync: false });
        try { const [site] = await notebook.all('site', { limit: 1 }); return site; }
        finally { notebook.close(); }"""
    )
    position = {**site["values"]["centre"], "accuracy_m": 8, "source": "satellite fix"}
    values = {"site": site["id"], "name": "New post", "kind": "post", "position": position}
    (perch,) = phone.run(_SAVED, [{"kind": "perch", "set": values}])
    phone.go(f"light?perch={perch}")
    settled(phone)
    expect(phone.page.get_by_role("heading", level=1)).to_have_text("New post")
    expect(phone.page.locator(".verdict")).to_contain_text(re.compile("not before .*, not after "))
    expect(phone.page.get_by_text("No skyline was measured")).to_be_visible()
    before = phone.page.locator(".scroll").inner_text()
    phone.page.get_by_role("group", name="Lens looks toward").get_by_role(
        "button", name="N, north", exact=True
    ).click()
    phone.page.wait_for_function(
        "before => document.querySelector('.scroll')?.innerText !== before",
        arg=before,
        timeout=WAIT_MS,
    )
    settled(phone)
    assert phone.page.locator(".scroll").inner_text() != before


def test_kits_side_by_side_and_where_to_stand(phone: EnginePage) -> None:
    phone.go("kit")
    settled(phone)
    expect(phone.page.locator(".kits-table").first.locator("thead th")).to_have_count(1)
    phone.page.get_by_role("group", name="Beside").get_by_role("button").first.click()
    heads = phone.page.locator(".kits-table").first.locator("thead th")
    expect(heads).to_have_count(2, timeout=WAIT_MS)
    for heading in ("At this distance", "Wanted shutters", "Shutter at the ISO ceiling"):
        expect(phone.page.get_by_role("heading", name=heading)).to_be_visible()
    expect(phone.page.get_by_role("heading", name="Frames caught")).to_have_count(2)
    phone.link("Where to stand for it").click()
    settled(phone)
    verdict = phone.page.locator(".verdict")
    expect(verdict).to_be_visible()
    said = verdict.inner_text()
    blur = phone.page.get_by_role("group", name="Blur wanted")
    blur.get_by_role("button", name="a tenth").click()
    expect(verdict).not_to_have_text(said, timeout=WAIT_MS)
    expect(phone.page.locator(".facts").first).to_contain_text("Keep-distance")


def test_ready_to_leave(phone: EnginePage) -> None:
    phone.run(_AHEAD, 2)
    phone.go("ready")
    rows = phone.page.locator(".checks .row")
    expect(rows).to_have_count(9)
    cards = rows.filter(has_text=re.compile("^Cards")).locator(".row-state")
    expect(cards).to_have_text("yes", timeout=WAIT_MS)
    for name, said in (
        ("App", "opens without signal"),
        ("Notebook", "complete as of"),
        ("Engine", "ready on this phone"),
        ("Cards", "kept"),
        ("Map", "no base map kept"),
        ("Room", "free"),
        ("Clock", "agrees with the server, compared"),
    ):
        expect(rows.filter(has_text=re.compile(f"^{name}"))).to_contain_text(said)
    # What is old or empty gets no "yes": a week without a sync, a record since, no tile.
    phone.run(_JOURNEY, -7 * 86_400_000)
    phone.run(
        """const { openNotebook } = await import('/notebook/notebook.js');
        const notebook = await openNotebook({ sync: false });
        const [site] = await notebook.all('site', { limit: 1 });
        const set = { access: 'By the gate at the bridge' };
        await notebook.save([{ kind: 'site', record: site.id, set, over: site }]);
        notebook.close();"""
    )
    phone.run("await caches.open('map-empty')")
    try:
        phone.go("book")
        phone.go("ready")
        for name, said in (
            ("Notebook", "7 days ago"),
            ("Cards", "not all of them by what is written down now"),
            ("Map", "no base map kept"),
            ("Clock", "compared 7 days ago"),
        ):
            row = rows.filter(has_text=re.compile(f"^{name}"))
            expect(row).to_contain_text(said, timeout=WAIT_MS)
            expect(row.locator(".row-state")).not_to_have_text("yes")
    finally:
        phone.run(_JOURNEY, 7 * 86_400_000)
        phone.run("await caches.delete('map-empty')")
    phone.page.get_by_text("Tell somebody where you go").wait_for()


def test_the_map_answers_for_a_moment(phone: EnginePage) -> None:
    to_card(phone)  # the site last in hand is the map's
    settled(phone)
    phone.go("map")
    moment = phone.page.locator(".map-moment")
    moment.get_by_role("button", name="Sun clears").click()
    status = moment.get_by_role("status")
    expect(status).to_contain_text("Light at", timeout=WAIT_MS)
    clears = minutes(status.inner_text())
    expect(status).to_contain_text(re.compile("sun (clears|goes behind)"))
    shots = [pixels(phone.page)[60:480]]
    for name, by in (("+15 min", 15), ("+1 min", 1), ("−1 min", -1), ("−15 min", -15)):
        clears = (clears + by) % 1440
        moment.get_by_role("button", name=name, exact=True).click()
        expect(status).to_contain_text(f"{clears // 60:02}:{clears % 60:02}", timeout=WAIT_MS)
        shots.append(pixels(phone.page)[60:480])
    moment.get_by_role("button", name="−15 min", exact=True).click()
    phone.page.wait_for_timeout(300)
    shots.append(pixels(phone.page)[60:480])
    # The lines are drawn otherwise before the sun is there.
    assert any(not np.array_equal(shots[0], one) for one in shots[1:])
    moment.get_by_role("button", name="Best").click()
    expect(status).to_contain_text("best", timeout=WAIT_MS)
    # The other site answers for itself, by the sky typed for it, and offers nothing too near.
    perch, site = phone.run(
        """const { openNotebook } = await import('/notebook/notebook.js');
        const { sessionOf } = await import('/engine/moments.js');
        const notebook = await openNotebook({ sync: false });
        try {
          const perches = await notebook.all('perch');
          const perch = perches.find((one) => one.values.name === 'Grey boulder');
          const { zone } = (await notebook.get(perch.values.site)).values;
          const { date, session } = sessionOf(Date.now(), zone);
          const key = `typed/${perch.values.site}/${date}/${session}`;
          await notebook.keepSetting(key, { sky: 'overcast', at: Date.now() });
          return [perch.id, perch.values.site];
        } finally { notebook.close(); }"""
    )
    assert not phone.run(
        """const { openNotebook } = await import('/notebook/notebook.js');
        const notebook = await openNotebook({ sync: false });
        try { return (await notebook.setting('outing_opened')).site === given; }
        finally { notebook.close(); }""",
        site,
    )
    phone.go(f"map?pin={perch}")
    moment.get_by_role("button", name="Light now").click()
    expect(status).to_contain_text("Sky: overcast", timeout=WAIT_MS)
    expect(status).to_contain_text("worked out")
    phone.page.get_by_role("list", name="Sightlines").get_by_text("Root plate").click()
    # 19.5 m, as the sample's tape has it; 50 m is its keep-distance for that animal.
    expect(phone.page.locator(".map-sheet")).to_contain_text(
        "not offered: 19.5 m is nearer than your keep-distance of 50 m"
    )
    moment.get_by_role("button", name="Plain lines").click()
    expect(status).to_be_hidden()


def minutes(text: str) -> int:
    found = _CLOCK.search(text)
    assert found is not None
    hours, rest = found[0].split(":")
    return int(hours) * 60 + int(rest)


def test_a_card_is_handed_over_as_one_file(phone: EnginePage, tmp_path: Path) -> None:
    to_card(phone)
    settled(phone)
    site = phone.page.get_by_role("heading", level=1).inner_text()
    with phone.page.expect_download() as given:
        phone.button("Hand over").click()
    assert re.fullmatch(r"outing-\d{4}-\d\d-\d\d-dawn\.html", given.value.suggested_filename)
    file = tmp_path / "card.html"
    given.value.save_as(file)
    text = file.read_text("utf-8")
    # It needs nothing else, and its title and name tell of no place.
    assert not re.search(r"(src|href)=|<script|https?://|url\((?!#)", text)
    assert "<title>Outing card</title>" in text
    assert site.replace("\n", " ") in text
    other = phone.context.new_page()
    other.goto(file.as_uri())
    other.locator("article svg").first.wait_for()
    assert other.locator("article").count() == len(names(phone))
    other.close()
    # Where the phone has a share sheet, that is asked instead.
    shared = phone.run(
        """const seen = [];
        navigator.canShare = () => true;
        navigator.share = async ({ files }) => { seen.push(files[0].name, await files[0].text()); };
        [...document.querySelectorAll('.dock button')].at(-1).click();
        while (seen.length < 2) await new Promise((done) => setTimeout(done, 20));
        delete navigator.canShare;
        delete navigator.share;
        return seen;"""
    )
    assert shared[0] == given.value.suggested_filename
    assert shared[1].startswith("<!doctype html>")


def test_the_place_that_opens_is_the_card_when_its_session_is_near(phone: EnginePage) -> None:
    to_card(phone, "dusk")
    settled(phone)
    site = phone.page.get_by_role("heading", level=1).inner_text()
    # Its session is set an hour ahead: near enough to open with.
    phone.run(
        """const { openNotebook } = await import('/notebook/notebook.js');
        const notebook = await openNotebook({ sync: false });
        const opened = await notebook.setting('outing_opened');
        const start = Date.now() + 3600000;
        await notebook.keepSetting('outing_opened', { ...opened, start, end: start + 7200000 });
        notebook.close();"""
    )
    phone.page.goto(phone.url + "index.html")
    expect(phone.page.locator(".kicker")).to_contain_text("dusk")
    expect(phone.page.get_by_role("heading", level=1)).to_have_text(site)
    expect(phone.page.locator(".verdict")).to_be_visible()


def test_what_is_kept_says_what_it_does_not_count(phone: EnginePage) -> None:
    """Without engine and server: nothing kept is passed off as ranked by what was typed."""
    phone.started()  # what still starts is not cut off
    phone.run(_AHEAD, 3)
    phone.run(_MOVED, ["engine-", "aside-"])
    try:
        phone.page.reload()
        to_card(phone)
        assert phone.awake()["phase"] == "failed"
        with phone.page.expect_download() as given:
            phone.button("Hand over").click()
        text = Path(given.value.path()).read_text("utf-8")
        assert re.search(r"<td>perched 1/\d+</td><td>\d\d:\d\d</td>", text)
        # Marked since it was worked out: what is kept names the place, and does not leave.
        site = phone.page.url.split("/card/")[1].split("/")[0]
        phone.run(_SAVED, [{"kind": "site", "record": site, "set": {"sensitivity": "withheld"}}])
        phone.button("Hand over").click()
        expect(phone.page.get_by_text("could not be handed over")).to_be_visible()
        phone.run(_SAVED, [{"kind": "site", "record": site, "set": {"sensitivity": None}}])
        row = phone.page.locator(".expected-row")
        row.get_by_role("button", name="Sky").click()
        tap(phone, "in and out")
        row.get_by_role("button", name="Wind from").click()
        tap(phone, "NE")
        settled(phone)
        age = phone.page.locator(".age")
        expect(age).to_contain_text("ranked without what was typed: wind, sky")
        expect(age).not_to_contain_text("written down since")
        phone.go("choice")
        expect(tomorrow(phone)).to_contain_text("typed not counted")
    finally:
        phone.run(_MOVED, ["aside-", "engine-"])
        phone.page.reload()
        assert phone.awake()["phase"] == "ready"


def test_an_opened_card_in_every_look_and_size(phone: EnginePage) -> None:
    to_card(phone)
    settled(phone)
    phone.page.locator(".line-head").first.click()
    phone.button("Why this one").click()
    phone.page.locator(".expected-row button").first.click()
    assert looked_at(phone.page) == []
