"""The phone's notebook in a real browser: what is saved, undone, listed, kept and lost."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from scout.notebook import merge
from scout.notebook.canonical import canonical
from scout.notebook.judging import judge

from .app_page import kill
from .conftest import Opener
from .phone_page import PhonePage
from .phones import PERCH, heads_of, site_and_perch
from .small_server import SmallServer


def changes_of(one: PhonePage) -> list[dict[str, Any]]:
    text = one.run("return (await notebook.rescue()).text()")
    return [line["change"] for line in map(json.loads, text.splitlines()) if "change" in line]


def test_saved_records_are_listed_by_kind_site_and_link(phone: Opener) -> None:
    one = phone()
    site, perch = site_and_perch(one)
    other, post = site_and_perch(one)
    vantage = one.save("vantage", {"site": site, "name": "Bank", "position": PERCH["position"]})
    line = one.save("sightline", {"vantage": vantage["ids"][0], "perch": perch})["ids"][0]
    assert [rec["id"] for rec in one.run("return notebook.all('perch', {site: given})", site)] == [
        perch
    ]
    assert one.run("return notebook.count('site')") == 2
    by_perch = one.run("return notebook.byIndex('sightline', 'perch', given)", perch)
    assert [rec["id"] for rec in by_perch] == [line]
    by_way = one.run("return notebook.all('sightline', {site: given})", site)
    assert [rec["id"] for rec in by_way] == [line]
    assert one.run("return notebook.all('sightline', {site: given})", other) == []
    # Where the other sites have many they are not read for this one.
    many = [{"kind": "sightline", "set": {"vantage": vantage["ids"][0], "perch": perch}}] * 50
    one.run("return notebook.save(given)", many)
    there = one.save("sightline", {"vantage": vantage["ids"][0], "perch": post})["ids"]
    by_way = one.run("return notebook.all('sightline', {site: given})", other)
    assert [rec["id"] for rec in by_way] == there
    rec = one.run("return notebook.get(given)", perch)
    assert (rec["values"]["name"], rec["state"], rec["conflict_count"]) == ("Old post", "phone", 0)
    nobody = "01900000-0000-7000-8000-000000000000"
    assert one.run("return (await notebook.get(given)) === undefined", nobody)


def test_visits_come_newest_first_a_page_at_a_time(phone: Opener) -> None:
    one = phone()
    site, _ = site_and_perch(one)
    for hour in (5, 9, 7, 8, 6):
        one.save("visit", {"site": site, "start": {"at": f"2026-05-12T0{hour}:00:00+01:00"}})
    body = """
      const seen = [];
      for (let before; ; ) {
        const page = await notebook.all('visit', {site: given, limit: 2, before});
        if (page.length === 0) return seen;
        seen.push(...page.map((rec) => rec.values.start.at.slice(11, 13)));
        before = page.at(-1);
      }"""
    assert one.run(body, site) == ["09", "08", "07", "06", "05"]
    # A browser that cannot read rows backwards at once goes by a cursor.
    without = "delete IDBIndex.prototype.getAllRecords;"
    assert one.run(without + body, site) == ["09", "08", "07", "06", "05"]


def test_changes_are_as_the_server_wants_them(phone: Opener) -> None:
    one = phone()
    site, perch = site_and_perch(one)
    one.save("perch", {"name": "Post", "height_m": 1.5}, perch)
    one.run("return notebook.save([{kind: 'site', record: given, remove: true}])", site)
    changes = changes_of(one)
    for change in changes:
        assert judge(change).fault is None
    assert [change["device_seq"] for change in changes] == [1, 2, 3, 4]
    # an edit over a head that has no seq yet also names what that head names
    one.save("perch", {"name": "Stump"}, perch)
    names = [change for change in changes_of(one) if "name" in change["set"]]
    of_perch = [change for change in names if change["record"] == perch]
    assert sorted(of_perch[2]["base"]["name"]) == sorted([of_perch[0]["id"], of_perch[1]["id"]])


def test_i3_the_phone_shows_what_the_rule_says(phone: Opener) -> None:
    one = phone()
    site, perch = site_and_perch(one)
    groups = [one.save("perch", {"height_m": number}, perch)["group"] for number in (1, 2, 3)]
    for group in (groups[2], groups[1]):
        one.run("return notebook.undo(given)", group)
    one.run("return notebook.save([{kind: 'perch', record: given, remove: true}])", perch)
    states = merge.states(map(merge.edit_of, changes_of(one)))
    heads = heads_of(one, [site, perch])
    for (_, record), state in states.items():
        assert heads[record] == {n: [h.id for h in some] for n, some in state.heads.items()}


def test_undo_gives_back_what_stood_before(phone: Opener) -> None:
    one = phone()
    site, perch = site_and_perch(one)
    edit = one.save("perch", {"name": "Post", "kind": "post"}, perch)
    undone = one.run("return notebook.undo(given)", edit["group"])
    rec = one.run("return notebook.get(given)", perch)
    assert rec["values"]["name"] == "Old post"
    assert "kind" not in rec["values"]
    again = one.run("return notebook.undo(given)", undone["group"])
    assert one.run("return notebook.get(given)", perch)["values"]["name"] == "Post"
    assert undone["left"] == again["left"] == []
    made = one.save("note", {"text": "a", "site": site})
    gone = one.run("return notebook.undo(given)", made["group"])
    assert one.run("return notebook.count('note')") == 0
    assert one.run("return notebook.deleted()")[0]["id"] == made["ids"][0]
    one.run("return notebook.undo(given)", gone["group"])
    assert one.run("return notebook.count('note')") == 1


def test_undo_leaves_alone_what_was_edited_since(phone: Opener) -> None:
    one = phone()
    _, perch = site_and_perch(one)
    first = one.save("perch", {"name": "Post", "height_m": 2}, perch)
    one.save("perch", {"name": "Stump"}, perch)
    undone = one.run("return notebook.undo(given)", first["group"])
    assert undone["left"] == [{"kind": "perch", "record": perch, "register": "name"}]
    values = one.run("return notebook.get(given)", perch)["values"]
    assert values["name"] == "Stump"
    assert "height_m" not in values


def test_what_hangs_on_a_deleted_record_is_hidden_and_returns(phone: Opener) -> None:
    one = phone()
    site, perch = site_and_perch(one)
    vantage = one.save("vantage", {"site": site, "name": "Bank", "position": PERCH["position"]})
    one.save("sightline", {"vantage": vantage["ids"][0], "perch": perch})
    gone = one.run("return notebook.save([{kind: 'site', record: given, remove: true}])", site)
    counts = (
        "return Promise.all(['site', 'perch', 'sightline'].map((kind) => notebook.count(kind)))"
    )
    assert one.run(counts) == [0, 0, 0]
    assert one.run("return notebook.all('sightline')") == []
    one.run("return notebook.undo(given)", gone["group"])
    assert one.run(counts) == [1, 1, 1]


def test_what_was_on_screen_is_what_an_edit_names(phone: Opener) -> None:
    one = phone()
    _, perch = site_and_perch(one)
    seen = one.run("return notebook.get(given)", perch)
    one.save("perch", {"name": "Post"}, perch)
    edit = {"kind": "perch", "record": perch, "set": {"name": "Stump"}, "over": seen}
    one.run("return notebook.save([given])", edit)
    assert one.run("return notebook.get(given)", perch)["conflict_count"] == 1
    (conflict,) = one.run("return notebook.conflicts()")
    assert {head["value"] for head in conflict["heads"]} == {"Post", "Stump"}
    one.run("return notebook.resolve(given, 'name', 'Post')", perch)
    assert one.run("return notebook.conflicts()") == []
    assert one.run("return notebook.get(given)", perch)["values"]["name"] == "Post"


@pytest.mark.parametrize(
    "edits",
    [
        "[]",
        "[{kind: 'note', set: {}}]",
        "[{kind: 'note', set: {text: NaN}}]",
        "[{kind: 'note', set: {text: '\\ud800'}}]",
        "['a', 'b'].map((text) => ({kind: 'note', record: 'c', set: {text}}))",
    ],
)
def test_what_says_nothing_or_cannot_be_kept_is_refused_whole(phone: Opener, edits: str) -> None:
    one = phone()
    body = f"return notebook.save({edits}).then(() => 'saved', (trouble) => trouble.message)"
    assert one.run(body) != "saved"
    assert one.run("return notebook.state()")["waiting_changes"] == 0


def test_drafts_and_settings_stay_on_this_phone(phone: Opener) -> None:
    one = phone()
    one.run(
        """await notebook.keepDraft('note/new', {text: 'ha'});
        await notebook.keepSetting('hand', 'left')"""
    )
    one.open()
    assert one.run("return notebook.draft('note/new')") == {"text": "ha"}
    assert one.run("return notebook.drafts()") == ["note/new"]
    assert one.run("return notebook.setting('hand')") == "left"
    one.run("return notebook.save([{kind: 'note', set: {text: 'half'}}], {draft: 'note/new'})")
    assert one.run("return notebook.drafts()") == []
    assert one.run("return notebook.state()")["waiting_changes"] == 1


def test_the_history_names_every_change_with_the_words_of_its_save(phone: Opener) -> None:
    one = phone()
    body = """
      const {ids: [id]} = await notebook.save([{kind: 'note', set: {text: 'a'}}], {label: 'Note'});
      await notebook.save([{kind: 'note', record: id, set: {text: 'b'}}]);
      return notebook.history(id)"""
    history = one.run(body)
    assert [item["change"]["set"]["text"] for item in history] == ["b", "a"]
    assert history[1]["label"] == "Note"
    assert all(item["mine"] and item["where"] == "phone" for item in history)


def test_two_pages_of_one_phone_see_each_other(phone: Opener) -> None:
    one = phone()
    two = phone(one.page.context)
    two.run("globalThis.heard = []; notebook.subscribe((told) => heard.push([...told.kinds]))")
    assert one.run("return notebook.device") == two.run("return notebook.device")
    body = """
      const texts = Array.from({length: 20}, (_, place) => given + place);
      const saves = texts.map((text) => notebook.save([{kind: 'note', set: {text}}]));
      return Promise.all(saves).then((all) => all.length)"""
    one.run(body, "one")
    two.run(body, "two")
    assert one.run("return notebook.count('note')") == 40
    assert two.run("return globalThis.heard.length") >= 40
    assert two.run("return globalThis.heard.every((kinds) => kinds[0] === 'note')")
    numbers = [change["device_seq"] for change in changes_of(one)]
    assert sorted(numbers) == list(range(1, 41))


def test_a_full_disk_keeps_none_of_a_save_and_the_next_small_one_fits(
    phone: Opener, browser: Browser, server: SmallServer
) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(server.url + "blank.html")
    quota = {"origin": server.url.rstrip("/"), "quotaSize": 8_000_000}
    # before the store is opened, for an open one keeps the room it was promised
    context.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", quota)
    one = phone(context)
    # Random bytes, for patterned ones are pressed small; the estimate does not show the override.
    body = """
      const bytes = new Uint8Array(3_000_000);
      for (let at = 0; at < bytes.length; at += 65536) {
        crypto.getRandomValues(bytes.subarray(at, at + 65536));
      }
      return notebook.putBlob(bytes.buffer, 'image/jpeg')
        .then(() => 'kept', (trouble) => `${trouble.name} ${trouble.reason}`)"""
    answers = [one.run(body) for _ in range(4)]
    assert answers[0] == "kept"
    assert answers[-1] == "NotSaved full"
    saved = one.run("return notebook.save([{kind: 'note', set: {text: 'fits'}}])")
    assert one.run("return notebook.get(given)", saved["ids"][0])["values"]["text"] == "fits"
    text = """
      let text = '';
      while (text.length < 6_000_000) text += Math.random().toString(36);
      return notebook.save([{kind: 'note', set: {text}}])
        .then(() => 'saved', (trouble) => `${trouble.name} ${trouble.reason}`)"""
    assert one.run(text) == "NotSaved full"
    assert one.run("return notebook.count('note')") == 1
    context.close()


def test_a_lost_store_gets_a_new_device_and_says_so(phone: Opener) -> None:
    one = phone()
    assert one.run("return notebook.state()")["fresh"] == "new"
    one.run("return notebook.acknowledgeFresh()")
    one.open()
    device = one.run("return notebook.device")
    assert one.run("return notebook.state()")["fresh"] is None
    one.run(
        """notebook.close();
        await new Promise((done) => { indexedDB.deleteDatabase('notebook').onsuccess = done; })"""
    )
    one.open()
    assert one.run("return notebook.state()")["fresh"] == "lost"
    assert one.run("return notebook.device") != device


def test_a_newer_page_takes_over_and_the_older_one_says_so(phone: Opener) -> None:
    one = phone(options="{ sync: false, onClosed: () => { globalThis.taken_over = true; } }")
    two = phone(one.page.context)
    two.run(
        """notebook.close();
        await new Promise((done, failed) => {
          const asked = indexedDB.open('notebook', 99);
          asked.onsuccess = () => { asked.result.close(); done(); };
          asked.onerror = failed;
        })"""
    )
    assert one.run("return globalThis.taken_over") is True
    body = """return notebook.save([{kind: 'note', set: {text: 'a'}}])
      .then(() => 'saved', (trouble) => `${trouble.name} ${trouble.reason}`)"""
    assert one.run(body) == "NotSaved closed"


def test_a_risen_schema_makes_heads_and_records_again(phone: Opener) -> None:
    one = phone()
    note = one.save("note", {"text": "a"})["ids"][0]
    rules = """
      const schema = await (await fetch('/schema.json')).json();
      const upcasts = await (await fetch('/upcasts.json')).json();
      const step = {from: upcasts.schema, kind: 'note', rename: 'text', to: 'words'};
      const risen = {
        schema: {...schema, schema: schema.schema + 1},
        upcasts: {schema: upcasts.schema + 1, table: [...upcasts.table, step]},
      };"""
    one.run("notebook.close()")
    one.run(
        rules
        + """
        const { openNotebook } = await import('/notebook/notebook.js');
        globalThis.notebook = await openNotebook({sync: false, rules: risen})"""
    )
    assert one.run("return notebook.get(given)", note)["values"] == {"words": "a"}
    one.run("return notebook.save([{kind: 'note', record: given, set: {words: 'b'}}])", note)
    rec = one.run("return notebook.get(given)", note)
    assert (rec["values"], rec["conflict_count"]) == ({"words": "b"}, 0)
    assert {change["schema"] for change in changes_of(one)} == {1, 2}


def test_it_opens_with_no_server_once_it_has_been_open(phone: Opener, server: SmallServer) -> None:
    one = phone()
    one.save("note", {"text": "a"})
    one.run("notebook.close()")
    body = """
      const { openNotebook } = await import('/notebook/notebook.js');
      const none = () => Promise.reject(new TypeError('no network'));
      globalThis.notebook = await openNotebook({sync: false, fetch: none});
      const never = openNotebook({name: 'other', sync: false, fetch: none});
      const said = await never.catch((trouble) => trouble.name);
      return [await globalThis.notebook.count('note'), said]"""
    assert one.run(body) == [1, "NoRules"]


def test_i1_what_was_said_to_be_saved_outlives_a_killed_browser(
    playwright: Any, chromium: Path, server: SmallServer, tmp_path: Path
) -> None:
    profile = tmp_path / "profile"
    kept: list[str] = []
    for round_ in range(3):
        context = playwright.chromium.launch_persistent_context(profile, executable_path=chromium)
        one = PhonePage(context.new_page(), server.url).open()
        held = {rec["values"]["text"] for rec in one.run("return notebook.all('note')")}
        assert held >= set(kept)
        for number in range(5):
            text = f"{round_} {number}"
            one.save("note", {"text": text})
            kept.append(text)
        kill(context, profile)
    context = playwright.chromium.launch_persistent_context(profile, executable_path=chromium)
    one = PhonePage(context.new_page(), server.url).open()
    assert {rec["values"]["text"] for rec in one.run("return notebook.all('note')")} >= set(kept)
    context.close()


def test_canonical_form_is_the_same_in_the_browser(phone: Opener) -> None:
    one = phone()
    values = [{"b": 1.5, "a": [1e21, -0.0, 1e-7]}, "é\u2028", {"\U0001f600": 1, "\ufb33": 2}]
    body = """const { canonical } = await import('/notebook/canonical.js');
      return given.map(canonical)"""
    assert one.run(body, values) == [canonical(value) for value in values]
