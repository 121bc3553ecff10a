"""The owner's screens of the door in a browser: devices, people, backups; all of it by taps."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from scout.notebook.notebook import Notebook
from scout.server.app import create_app
from scout.server.serving import in_background, listen
from scout.server.upkeep import Upkeep
from tests.notebook.phone import Phone
from tests.server.callers import Household

from .app_page import AppPage, phone_context

PATIENCE_MS = 60_000  # of a busy machine


@pytest.fixture
def home(notebook: Notebook, tmp_path: Path) -> Household:
    app = create_app(notebook)
    app.config["SCOUT_UPKEEP"] = Upkeep(notebook, tmp_path / "spare", dt.timedelta(days=1))
    return Household(app, notebook)


@pytest.fixture
def app(home: Household, browser: Browser) -> Iterator[AppPage]:
    with in_background(listen(home.app, 0)) as listening, phone_context(browser) as context:
        page = AppPage(context, f"{listening.address}/")
        yield page
        assert page.faults == []


def test_an_owner_adds_a_person_lets_their_phone_in_and_takes_it_off(
    home: Household, app: AppPage
) -> None:
    page = app.open("people").page
    app.button("Add a person").click()
    page.get_by_label("Name").fill("Anna")
    app.button("read and write").click()
    app.button("Save").click()
    expect(page.locator(".row", has_text="Anna")).to_contain_text("all sites", timeout=PATIENCE_MS)

    phone = home.caller()
    begun = phone.post("pair/start", device=phone.device, name="Anna's <b>phone</b>").json
    app.go("devices")
    app.button("Add a device").click()
    page.get_by_label("The code that the phone shows").fill("BCDFGHJK")
    app.button("Find the phone").click()
    expect(page.get_by_role("alert")).to_contain_text(
        "No device waits with this code", timeout=PATIENCE_MS
    )
    page.get_by_label("The code that the phone shows").fill(begun["user_code"].lower())
    app.button("Find the phone").click()
    expect(page.locator("dialog")).to_contain_text(
        "“Anna's <b>phone</b>”, from 192.168.1.77", timeout=PATIENCE_MS
    )
    expect(app.button("Let it in")).to_be_disabled()
    app.button("Anna (read and write)").click()
    app.button("Let it in").click()
    expect(page.locator(".row")).to_contain_text("Anna's <b>phone</b>", timeout=PATIENCE_MS)
    assert phone.code("pair/poll", device_code=begun["device_code"]) == "ok"
    assert phone.get("ping").status == 200

    # What it wrote stands above the act that takes it back.
    writer = Phone(random.Random(7), 1_778_557_500_000)
    writer.device = phone.device
    writer.edit("species", writer.new_id(), {"name": "Wren"})
    assert phone.post("push", changes=writer.outbox).status == 200
    app.go("book").go("devices")
    page.locator(".row").first.click()
    expect(page.locator("dialog .door-events li")).to_contain_text("1 change: species")
    app.button("Take it off and ask to clear it").click()
    expect(page.locator(".row")).to_contain_text("taken off", timeout=PATIENCE_MS)
    expect(page.locator(".door-events")).to_contain_text(
        "was taken off (asked to clear itself)", timeout=PATIENCE_MS
    )
    assert phone.get("ping").status == 401


def test_backups_are_made_and_tried_from_the_screen(home: Household, app: AppPage) -> None:
    page = app.open("backups").page
    expect(page.locator("main")).to_contain_text(
        "none since the server started", timeout=PATIENCE_MS
    )
    app.button("Back up now").click()
    home.app.config["SCOUT_UPKEEP"].look()
    app.go("book").go("backups")
    expect(page.locator("main")).to_contain_text("verified", timeout=PATIENCE_MS)
    expect(page.locator(".door-events")).to_contain_text(
        "0 changes, on the same disk", timeout=PATIENCE_MS
    )
    expect(page.locator("main")).to_contain_text(
        "restored aside, checked whole", timeout=PATIENCE_MS
    )


def test_who_is_no_owner_is_told_so(home: Household, browser: Browser) -> None:
    with in_background(listen(home.app, 0)) as listening, phone_context(browser) as context:
        app = AppPage(context, f"{listening.address}/")
        refusal = (
            '{"error": {"code": "not_allowed", "message": "Only the notebook\'s owners may do '
            'this."}}'
        )
        for path in ("people", "backups", "audit"):
            context.route(
                f"**/api/v1/{path}",
                lambda route: route.fulfill(
                    status=403, body=refusal, content_type="application/json"
                ),
            )
        for screen in ("people", "backups"):
            app.open(screen)
            expect(app.page.get_by_role("alert")).to_contain_text(
                "Only owners see this", timeout=PATIENCE_MS
            )
        context.route("**/api/v1/**", lambda route: route.abort())
        app.open("pair")
        expect(app.page.get_by_role("alert")).to_contain_text("not in reach", timeout=PATIENCE_MS)
