"""Forms built from the schema: what they make, the records read; nothing typed is lost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from scout.notebook.notebook import Notebook
from scout.records.kinds import KINDS
from scout.records.reading import read_object

from .app_page import phone_context
from .shell_page import put_look, served, with_gallery


class Form:
    """A form of one kind with every field open."""

    def __init__(self, page: Page, url: str) -> None:
        self.page = page
        self.url = url

    def open(self, kind: str) -> Form:
        self.page.goto("about:blank")
        self.page.goto(f"{self.url}gallery/index.html?kind={kind}")
        self.page.locator("form:not([aria-busy])").wait_for()
        return self

    def field(self, name: str) -> Locator:
        return self.page.locator(f'[data-field="{name}"]')

    def tap(self, field: str, *names: str) -> Form:
        for name in names:
            self.field(field).get_by_role("button", name=name, exact=True).click()
        return self

    def type(self, name: str, text: str) -> Form:
        self.page.locator(f'[id="{name}"]').fill(text)
        return self

    def wrong(self, name: str) -> Locator:
        return self.page.locator(f'[id="{name}-wrong"]')

    def save(self) -> Form:
        self.page.get_by_role("button", name="Save").click()
        return self

    def saved(self, kind: str) -> dict[str, Any]:
        """Save; answer what then stands in the notebook, after the records' own reader had it."""
        self.save()
        expect(self.page.get_by_text("Saved on this phone")).to_be_visible()
        rec = self.page.evaluate(
            """async (kind) => {
                const recs = await globalThis.notebook.all(kind);
                return recs.sort((a, b) => (a.id < b.id ? 1 : -1))[0];
            }""",
            kind,
        )
        read_object(KINDS[kind], {"id": rec["id"], **rec["values"]})
        values: dict[str, Any] = rec["values"]
        return values


@pytest.fixture
def form(browser: Browser, notebook: Notebook) -> Iterator[Form]:
    faults: list[str] = []
    with served(with_gallery(notebook)) as url:
        context = phone_context(browser, timezone_id="Europe/Lisbon")
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        yield Form(page, url)
        context.close()
    assert faults == []


def test_a_sightline_by_taps_alone(form: Form) -> None:
    form.open("sightline").tap("vantage", "Reed hide").tap("perch", "Dead branch 60")
    # What lies at another site is not among those at hand, and chosen from the sheet.
    form.page.evaluate(
        """async () => {
            const { notebook } = globalThis;
            const set = { name: 'The fen', zone: 'Europe/Lisbon' };
            const { ids: [site] } = await notebook.save([{ kind: 'site', set }]);
            await notebook.save([{ kind: 'vantage', set: { site, name: 'Fen wall' } }]);
        }"""
    )
    choose = form.field("vantage").get_by_role("button", name="Choose", exact=True)
    expect(choose).to_be_visible()
    expect(form.field("vantage").get_by_role("button", name="Fen wall")).to_have_count(0)
    form.tap("gap", "12 m").tap("tone", "dark").tap("background_in_shade", "yes")
    made = form.saved("sightline")
    assert made["gap"] == {"m": 12, "how": "guess", "plus_minus_m": 4}
    assert made["tone"] == "dark"
    assert made["background_in_shade"] is True
    assert "background" not in made, "what was not touched is not said"


def test_sky_behind_it(form: Form) -> None:
    form.open("sightline").tap("vantage", "Reed hide").tap("perch", "Dead branch 60")
    assert form.tap("gap", "sky").saved("sightline")["gap"] == {"sky": True}
    # What a note can be pinned to goes by its name, and a line by its two ends.
    form.open("note").tap("pin", "Choose")
    expect(form.page.get_by_role("button", name="Reed hide → Dead branch 60")).to_be_visible()


def test_a_sensor_goes_by_what_the_trade_calls_it(form: Form) -> None:
    form.open("kit")
    size = [form.page.locator(f"#sensor_{side}_mm") for side in ("width", "height")]
    # The still frame of 35 mm film: 36 × 24 mm (ISO 1007). The Four Thirds System: 17.3 × 13 mm.
    for name, wide, high in (("full frame", "36", "24"), ("Micro Four Thirds", "17.3", "13")):
        form.page.get_by_role("button", name=name).click()
        expect(size[0]).to_have_value(wide)
        expect(size[1]).to_have_value(high)
        expect(form.page.get_by_role("button", name=name)).to_have_attribute("aria-pressed", "true")


def test_a_figure_of_ones_own_is_not_the_chips_guess(form: Form) -> None:
    form.open("sightline").tap("vantage", "Reed hide").tap("perch", "Dead branch 60")
    form.tap("gap", "12 m").type("gap", "13,5")
    expect(form.field("gap").get_by_role("button", name="12 m")).to_have_attribute(
        "aria-pressed", "false"
    )
    form.tap("gap", "pacing", "from the vantage")
    gap = form.saved("sightline")["gap"]
    assert gap == {"m": 13.5, "how": "pacing", "ranged_from": "vantage"}


def test_feet_are_kept_as_metres(form: Form) -> None:
    form.open("sightline")
    put_look(form.page, "day", units="imperial")
    form.open("sightline").tap("vantage", "Reed hide").tap("perch", "Dead branch 60")
    form.type("gap", "40").tap("gap", "pacing")
    # 1 ft = 0.3048 m by definition (international foot, 1959).
    assert form.saved("sightline")["gap"]["m"] == pytest.approx(12.192, abs=0.0005)


def test_compass_words_and_degrees(form: Form) -> None:
    form.open("perch").type("name", "Old post").tap("site", "Sallow Carr")
    form.type("position", "52.87, -0.47")
    form.tap("travel", "NE, north-east")
    made = form.saved("perch")
    assert made["position"] == {"lat": 52.87, "lon": -0.47, "source": "typed"}
    word = {"read_deg": 45, "reference": "true", "how": "compass word", "plus_minus_deg": 22}
    assert made["travel"] == word
    form.open("perch").type("name", "New post").tap("site", "Sallow Carr")
    form.type("position", "52°52′12″N 0°28′12″W")
    form.field("travel").get_by_role("button", name="Sixteen points").click()
    form.tap("travel", "NNE, north-north-east")
    assert form.saved("perch")["travel"]["plus_minus_deg"] == 11
    form.open("perch").type("name", "Third post").tap("site", "Sallow Carr")
    form.type("position", "52.87, -0.47").type("travel", "271")
    form.tap("travel", "sighting compass")
    travel = form.saved("perch")["travel"]
    assert travel == {"read_deg": 271, "reference": "magnetic", "how": "sighting compass"}


def test_a_time_on_the_clocks_of_the_place(form: Form) -> None:
    form.open("note").type("text", "Two at the branch")
    form.field("at").get_by_role("button", name="now").click()
    form.type("at", "4:35")
    form.field("at").get_by_role("button", name="+15").click()
    at = form.saved("note")["at"]
    assert at["source"] == "person"
    assert at["zone"] == "Europe/Lisbon"
    assert at["at"][10:16] == "T04:50"


def test_what_is_needed_is_asked_for_in_words(form: Form) -> None:
    form.open("perch").save()
    expect(form.wrong("site")).to_have_text("Fill this in; it cannot be saved without it.")
    expect(form.wrong("name")).to_have_text("Fill this in; it cannot be saved without it.")
    expect(form.page.get_by_text("3 fields to mend before this can be saved.")).to_be_visible()
    expect(form.field("site").get_by_role("button").first).to_be_focused()
    form.type("name", "Old post")
    expect(form.wrong("name")).to_have_text("")
    expect(form.wrong("site")).not_to_have_text("")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("4-5", "“4-5” is not a number. Write a number from 0 to 100 m."),
        ("1,000", "“1,000” is not a number. Write a number from 0 to 100 m."),
        ("1e1", "“1e1” is not a number. Write a number from 0 to 100 m."),
        ("101", "101 is out of range. Write a number from 0 to 100 m."),
        ("-1", "−1 is out of range. Write a number from 0 to 100 m."),
    ],
)
def test_a_number_that_is_none_is_named_and_kept(form: Form, typed: str, said: str) -> None:
    form.open("perch").type("height_m", typed).save()
    expect(form.wrong("height_m")).to_have_text(said)
    form.open("perch")
    kept = "−1" if typed == "-1" else typed
    expect(form.page.locator('[id="height_m"]')).to_have_value(kept)


def test_every_keystroke_is_kept(form: Form) -> None:
    form.open("note")
    form.page.locator('[id="text"]').press_sequentially("A kingf")
    # The last letter is on its way to the disk for some milliseconds after it was typed.
    form.page.wait_for_function(
        "() => globalThis.notebook.draft('note/new').then((one) => one?.values.text === 'A kingf')",
        timeout=2000,
    )
    form.open("note")
    expect(form.page.locator('[id="text"]')).to_have_value("A kingf")
    expect(form.page.get_by_text("taken up where it was left")).to_be_visible()
    form.type("text", "A kingfisher").saved("note")
    form.open("note")
    expect(form.page.locator('[id="text"]')).to_have_value("")
    form.type("text", "Another").page.wait_for_timeout(100)
    form.open("note").page.get_by_role("button", name="Start anew").click()
    expect(form.page.locator('[id="text"]')).to_have_value("")
    form.open("note")
    expect(form.page.get_by_text("taken up where it was left")).to_have_count(0)


def test_undo_takes_the_save_back(form: Form) -> None:
    form.open("note").type("text", "Not this").saved("note")
    form.page.get_by_role("button", name="Undo").click()
    expect(form.page.get_by_text("Undone")).to_be_visible()
    assert form.page.evaluate("() => globalThis.notebook.count('note')") == 0


def test_two_taps_save_once(form: Form) -> None:
    form.open("note").type("text", "Once")
    form.page.evaluate(
        """() => {
            const form = document.getElementById('form');
            form.requestSubmit();
            form.requestSubmit();
        }"""
    )
    expect(form.page.get_by_text("Saved on this phone")).to_be_visible()
    form.page.wait_for_timeout(200)
    assert form.page.evaluate("() => globalThis.notebook.count('note')") == 1


def test_the_red_keys(form: Form) -> None:
    form.open("perch")
    put_look(form.page, "night")
    name = form.page.locator('[id="name"]')
    name.click()
    expect(name).to_have_attribute("inputmode", "none")
    keys = form.field("name").get_by_role("group", name="Use the red keys")
    for key in ("Capitals", "O", "l", "d", "d", "Delete", "space", "p", "o", "s", "t"):
        keys.get_by_role("button", name=key, exact=True).click()
    expect(name).to_have_value("Old post")
    # In the middle of a word too, where the cursor stands.
    name.evaluate("one => one.setSelectionRange(3, 3)")
    keys.get_by_role("button", name="e", exact=True).click()
    expect(name).to_have_value("Olde post")
    keys.get_by_role("button", name="Done").click()
    expect(keys).to_have_count(0)
    height = form.page.locator('[id="height_m"]')
    height.click()
    pad = form.field("height_m").get_by_role("group", name="Use the red keys")
    for key in ("1", ".", "5"):
        pad.get_by_role("button", name=key, exact=True).click()
    expect(height).to_have_value("1.5")
    pad.get_by_role("button", name="keyboard (bright)").click()
    expect(height).to_have_attribute("inputmode", "decimal")
    put_look(form.page, "day")


def test_a_change_says_only_what_was_changed(form: Form) -> None:
    form.open("perch").type("name", "Old post").tap("site", "Sallow Carr").tap("kind", "post")
    form.type("position", "52.87, -0.47").saved("perch")
    perch = form.page.evaluate("async () => (await notebook.all('perch', { limit: 1 }))[0].id")
    form.page.goto(f"{form.url}index.html#/edit/perch/{perch}")
    form.page.locator('[id="name"]').fill("Older post")
    form.tap("kind", "post").save()  # a second tap on what is chosen takes it back
    expect(form.page.get_by_text("Saved on this phone")).to_be_visible()
    form.open("tag")
    items = form.page.evaluate("id => notebook.history(id)", perch)
    sets = [item["change"]["set"] for item in items]
    assert {"name": "Older post", "kind": None} in sets


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_form(form: Form, kind: str) -> None:
    form.open(kind)
    asked = form.page.locator("[data-field]").count()
    assert asked > 0
    # Whatever is asked has a name that a screen reader says.
    unnamed = form.page.locator("form input, form textarea, form button").evaluate_all(
        """all => all.filter((one) => !(one.getAttribute('aria-label') || one.labels?.length ||
            one.textContent.trim())).map((one) => one.outerHTML)"""
    )
    assert unnamed == []
