"""A whole morning written with the server dead and the browser killed in the middle of it.

Afterwards the server's notebook is asked, and the engine how many minutes it takes as watched.
"""

from __future__ import annotations

import datetime as dt
import os
import socket
import threading
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Playwright, expect

from scout.engine.presence import presence_of
from scout.notebook.notebook import Notebook, open_notebook
from scout.server import serving
from scout.server.app import create_app

from .app_page import PHONE, AppPage, kill
from .test_visit import carr, held, tap

# British summer time: an hour ahead of UTC. Civil dawn at 52.87° N, 0.47° W was at 04:27, sunset at
# 20:48 (skyfield, DE421), so all that follows is in the light.
DAY = dt.date(2026, 5, 12)
BST = dt.timezone(dt.timedelta(hours=1))
_KEPT = """async () => {
  await navigator.serviceWorker.ready;
  while (!navigator.serviceWorker.controller) await new Promise((done) => setTimeout(done, 50));
}"""


def at(clock: str, days: int = 0) -> dt.datetime:
    time = dt.time.fromisoformat(clock)
    return dt.datetime.combine(DAY + dt.timedelta(days=days), time, BST)


def free_port() -> int:
    """Answer a port that nothing holds, below those handed out to whoever asks for any."""
    for port in range(21_000 + os.getpid() % 5000, 32_000):
        with closing(socket.socket()) as one, suppress(OSError):
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            one.bind(("127.0.0.1", port))
            return port
    raise AssertionError("no port is free")


class Home:
    """The server at home, on one port, that is there or dead."""

    def __init__(self, notebook: Notebook) -> None:
        self.notebook = notebook
        self.port = free_port()
        self.start()
        self.address = f"{self.listening.address}/"

    def start(self) -> None:
        self.listening = serving.listen(create_app(self.notebook), self.port)
        self.thread = threading.Thread(target=self.listening.run, daemon=True)
        self.thread.start()

    def stop(self) -> None:
        self.listening.stop()
        self.thread.join()


class Phone:
    """A browser with a profile of its own, whose clock a test sets."""

    def __init__(self, playwright: Playwright, chromium: Path, profile: Path, url: str) -> None:
        self.playwright, self.chromium, self.profile, self.url = playwright, chromium, profile, url
        self.faults: list[str] = []
        self.now = at("04:00")

    def open(self, path: str) -> Phone:
        self.context: BrowserContext = self.playwright.chromium.launch_persistent_context(
            self.profile, executable_path=self.chromium, viewport=PHONE, has_touch=True
        )
        self.context.clock.set_fixed_time(self.now)
        self.app = AppPage(self.context, self.url)
        self.app.open(path)
        return self

    def close(self) -> None:
        self.faults += self.app.faults
        self.context.close()

    def kill(self) -> None:
        """Kill this browser at once."""
        self.faults += self.app.faults
        kill(self.context, self.profile)

    def set(self, clock: str, days: int = 0) -> Phone:
        self.now = at(clock, days)
        self.context.clock.set_fixed_time(self.now)
        return self

    def tap(self, *names: str) -> Phone:
        tap(self.app, *names)
        return self

    def reads(self, text: str) -> Phone:
        expect(self.app.page.get_by_text(text).first).to_be_visible()
        return self


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Home]:
    days = iter(at("22:00", 1) + dt.timedelta(seconds=second) for second in range(10**6))
    with open_notebook(tmp_path / "server", lambda: next(days), create=True) as notebook:
        one = Home(notebook)
        yield one
        one.stop()


def minutes(watched: Any) -> float:
    return sum(end - start for start, end in watched)


def clocks(record: dict[str, Any], *names: str) -> list[str | None]:
    zoned = [record.get(name) for name in names]
    return [one and dt.datetime.fromisoformat(one["at"]).strftime("%H:%M") for one in zoned]


def test_a_morning_an_evening_and_a_blank(
    playwright: Playwright, chromium: Path, tmp_path: Path, home: Home
) -> None:
    ids = carr(home.notebook)
    phone = Phone(playwright, chromium, tmp_path / "profile", home.address).open("sync")
    phone.app.synced()
    phone.app.page.evaluate(_KEPT)
    phone.app.open("book")
    home.stop()

    # The morning. First the cold start from the shortcut.
    phone.close()
    phone.now = at("04:30")
    phone.open("visiting")
    phone.tap("Reed hide").app.page.get_by_text("Sky, wind, temperature").click()
    phone.tap("clear").app.page.get_by_role("button", name="SW, south-west").click()
    phone.tap("Start the visit").reads("Visit started")
    phone.set("04:40").tap("Quiet again").reads("Quiet from 04:40")
    phone.set("04:50").tap("Here now", "Kingfisher", "Dead branch").reads("since 04:50")
    phone.set("04:52").tap("Here now", "Otter").reads("since 04:52")
    phone.set("05:00").app.page.locator(".visit-acts").get_by_role("button", name="Gone").click()
    phone.tap("Otter, since 04:52").reads("Otter gone, 05:00")
    phone.set("05:05").tap("Noticed me", "12 m", "moved off").reads("Kingfisher moved off")
    phone.reads("Disturbed at 05:05")
    phone.kill()
    phone.now = at("05:20")
    phone.open("write")  # the visit that runs takes the place over
    phone.reads("since 04:50").reads("Disturbed at 05:05")
    phone.tap("Quiet again").reads("Quiet since 05:20.")
    phone.set("05:30").tap("Sun on it")
    phone.app.page.locator("dialog").get_by_role("button", name="Dead branch").click()
    phone.reads("Sun on Dead branch, 05:30")
    phone.set("05:35").app.button("Kingfisher gone").click()
    phone.reads("Kingfisher gone, 05:35").reads("Nothing here now.")
    phone.set("05:40").tap("Moved", "Bank").reads("Moved to Bank, 05:40")
    phone.set("06:10").tap("Here now", "heard", "Kingfisher").reads("Kingfisher here, 06:10")
    phone.set("06:30").app.link("Note").first.click()
    phone.app.page.get_by_label("Text").fill("Reeds cut along the far bank")
    phone.tap("Save").reads("Saved on this phone")
    phone.set("06:40").app.go("visiting")
    phone.tap("End").reads("Visit ended, 06:40").reads("3 sightings.")
    phone.tap("light").app.page.get_by_label("Frames taken").fill("240")
    phone.app.page.get_by_label("Frames kept").fill("241")
    phone.tap("Save").reads("241 kept of 240 frames: correct one of the two.")
    phone.app.page.get_by_label("Frames kept").fill("11")
    phone.tap("Save")
    expect(phone.app.page.get_by_role("heading", name="Write")).to_be_visible()

    # The evening: its end is forgotten, and asked for the next morning.
    phone.set("18:00").app.go("visiting")
    phone.tap("Reed hide", "Start the visit").reads("Visit started")
    phone.set("18:30").tap("Here now", "Otter").reads("Otter here, 18:30")
    phone.close()
    phone.now = at("04:55", 1)
    phone.open("write")
    phone.reads("When did you leave?")
    phone.app.page.get_by_label("Time of leaving").fill("18:10")
    phone.tap("Left then").reads("Something was written at")
    phone.app.page.get_by_role("button", name="At the last entry").click()
    phone.reads("Visit ended").reads("1 sighting.")

    # A blank.
    phone.set("05:00", 1).app.go("visiting")
    # Begun in the dark without a word on where: it is nobody's morning until that is said.
    lost = phone.app.page.get_by_text("counts for no perch until you say where you watched")
    worth = phone.app.page.get_by_text("A blank morning is worth as much as any other.")
    phone.tap("Start the visit").reads("Visit started")
    expect(lost).to_be_visible()
    phone.set("06:00", 1).tap("End").reads("Nothing seen or heard.")
    expect(lost).to_be_visible()
    expect(worth).to_have_count(0)
    phone.tap("Bank")
    expect(worth).to_be_visible()
    expect(lost).to_have_count(0)

    home.start()
    phone.app.synced()
    phone.close()
    assert phone.faults == []

    morning, evening, blank = held(home.notebook, "visit")
    assert clocks(morning, "start", "end") == ["04:30", "06:40"]
    assert (morning["sky"], morning["wind_from_deg"]) == ("clear", 225)
    assert (morning["frames"], morning["keepers"], morning["failed_by"]) == (240, 11, ["light"])
    assert clocks(evening, "start", "end") == ["18:00", "18:30"]
    assert evening["end"]["source"] == "person"
    assert clocks(blank, "start", "end") == ["05:00", "06:00"]
    watches = held(home.notebook, "watch")
    assert [clocks(one, "start", "quiet_from", "end") for one in watches] == [
        ["04:30", "04:40", "05:05"],
        ["05:05", "05:20", "05:40"],
        ["05:40", None, "06:40"],
        ["18:00", None, "18:30"],
        ["05:00", None, "06:00"],
    ]
    assert [one["vantage"] for one in watches[:3]] == [ids["Reed hide"]] * 2 + [ids["Bank"]]
    sightings = held(home.notebook, "sighting")
    assert [(one["how"], *clocks(one, "time_in", "time_out")) for one in sightings] == [
        ("seen", "04:50", "05:35"),
        ("seen", "04:52", "05:00"),
        ("heard", "06:10", None),
        ("seen", "18:30", None),
    ]
    assert sightings[0]["perch"] == ids["Dead branch"]
    (reaction,) = held(home.notebook, "reaction")
    told = {"what": "moved off", "distance_m": 12, "cause": "me", "species": ids["Kingfisher"]}
    assert {name: reaction[name] for name in told} == told
    (sun,) = held(home.notebook, "skyline")
    assert (sun["pin"], sun["source"]) == (ids["Dead branch"], "sun on it")
    assert clocks(sun, "at") == ["05:30"]
    (note,) = held(home.notebook, "note")
    assert note["site"] == ids["site"]

    # 04:40 to 05:05, 05:20 to 05:40 and 06:00 to 06:40; from 18:20; from 05:20 on the blank day.
    request: dict[str, Any] = {
        "site": held(home.notebook, "site")[0],
        "species": next(
            one for one in held(home.notebook, "species") if one["id"] == ids["Kingfisher"]
        ),
        **{
            f"{kind}s" if kind[-1] not in "h" else f"{kind}es": held(home.notebook, kind)
            for kind in ("perch", "vantage", "sightline", "visit", "watch", "sighting", "reaction")
        },
    }
    known = presence_of(request)
    dawn = known["dawn"]["perches"][ids["Dead branch"]]["mornings"]
    dusk = known["dusk"]["perches"][ids["Dead branch"]]["mornings"]
    assert [one["date"] for one in dawn] == ["2026-05-12", "2026-05-13"]
    # Sun time runs with the clock but for the minute by which the sun rises earlier a day later.
    assert minutes(dawn[0]["watched"]) == pytest.approx(85, abs=0.5)
    assert minutes(dawn[1]["watched"]) == pytest.approx(40, abs=0.5)
    assert minutes(dusk[0]["watched"]) == pytest.approx(10, abs=0.5)
    (stay,) = dawn[0]["stays"]
    assert stay[1] - stay[0] == pytest.approx(45, abs=0.5)
    assert dawn[1]["stays"] == []
