"""A phone with the sample site on it, and an address for every screen that the app has.

Not for: what is checked there (`test_every_screen`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from playwright.sync_api import Browser

from scout.installed import sample_site_folder, web_folder
from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook, open_notebook
from scout.notebook.saving import Edit

from .app_page import AppPage, phone_context, served
from .conftest import wall_clock
from .map_page import write_tiles

NOWHERE: Final = "nowhere/at/all/of/it"
# A form and a list of every kind look alike: these have every sort of field and row.
FORMS: Final = ("perch", "sightline", "measurement", "visit")
LISTS: Final = ("perch", "photo")
_PATTERN = re.compile(r"""pattern:\s*['"]([^'"]+)['"]""")

# Told by the page itself: what breaks the policy also where nothing is written to the console.
_REPORTS = """
  globalThis.reports = [];
  addEventListener('securitypolicyviolation', (event) =>
    globalThis.reports.push(`${event.violatedDirective}: ${event.blockedURI}`));
"""


def patterns() -> list[str]:
    """Answer the patterns of all routes, as they stand in the files, in their order."""
    folder = web_folder() / "screens"
    index = (folder / "index.js").read_text("utf-8")
    found: list[str] = []
    taken = {"index.js"}
    lists = re.findall(r"from '\./(\w+_routes\.js)'", index)
    for name in (*lists, "index.js"):
        taken.add(name)
        found += _PATTERN.findall((folder / name).read_text("utf-8"))
    assert {path.name for path in folder.glob("*_routes.js")} <= taken
    return list(dict.fromkeys(found))


class Stocked(AppPage):
    """A phone that holds the sample site, with something in every list; all that it asked for."""

    asked: list[str]
    ids: dict[str, str]


@contextmanager
def stocked(
    browser: Browser,
    folder: Path,
    before: Callable[[Notebook], None] | None = None,
    *,
    settled: bool = False,
) -> Iterator[Stocked]:
    """Answer a phone with the sample site, a base map, and something in every list.

    `settled`: leave out what a person would have to settle.
    """
    with open_notebook(folder / "notebook", wall_clock, create=True) as notebook:
        sample = read_folder(sample_site_folder())
        notebook.load(sample, sample.photo_paths)
        if before is not None:
            before(notebook)
        maps = notebook.folder / "maps"
        maps.mkdir()
        write_tiles(maps / "heath.mbtiles", _green())
        ids = {kind: next(iter(held)) for kind, held in notebook.contents().raw.items() if held}
        with served(notebook) as url:
            context = phone_context(browser)
            context.add_init_script(_REPORTS)
            one = Stocked(context, url)
            one.asked = []
            one.page.on("request", lambda request: one.asked.append(request.url))
            one.open("sync").synced()
            one.ids = ids if settled else ids | _unsettled(one, notebook, ids)
            yield one
            context.close()


def _unsettled(one: Stocked, notebook: Notebook, ids: Mapping[str, str]) -> dict[str, str]:
    """Make what a person must settle: two answers, a record that the server cannot read."""
    perch = ids["perch"]
    on_phone(
        one,
        """const [perch, note] = given;
        const unreadable = { name: 'Old zoom', frame_rate_fps: '4-5' };
        await notebook.save([{ kind: 'perch', record: perch, set: { height_m: 2 } }]);
        await notebook.save([{ kind: 'kit', set: unreadable }]);
        await notebook.save([{ kind: 'note', record: note, remove: true }]);""",
        [perch, ids["note"]],
    )
    notebook.save([Edit(kind="perch", record=perch, set={"height_m": 3.0})])
    one.synced()
    waiting = {"kind": "note", "set": {"text": "Two at the dead branch"}}
    on_phone(one, "await notebook.save([given]);", waiting)
    one.go("parked")
    mend = one.page.get_by_role("link", name="Mend", exact=True).get_attribute("href") or ""
    one.go("book/note")
    note = one.page.locator("main a.row").nth(1).get_attribute("href") or ""
    return {"mend": mend.split("/")[-1], "note": note.split("/")[-1], "conflicts": perch}


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


def addresses(pattern: str, ids: Mapping[str, str]) -> list[str]:
    """Answer addresses of a route: every name in it becomes a record of the sample, or a word."""
    if pattern == ":kind/:id":
        return [f"{kind}/{id}" for kind, id in ids.items() if kind not in ("mend", "conflicts")]
    kinds = FORMS if pattern.startswith(("new/", "edit/")) else LISTS
    if ":kind" in pattern:
        return [_filled(pattern.replace(":kind", kind), ids) for kind in kinds]
    return [_filled(pattern, ids)]


def _filled(pattern: str, ids: Mapping[str, str]) -> str:
    words = {"date": wall_clock().date().isoformat(), "session": "dawn"} | dict(ids)
    parts = pattern.split("/")
    kinds = [word for part in parts for word in (part, *part.split("-")) if word in ids]
    about = kinds[-1] if kinds else "perch"
    return "/".join(
        words.get(part[1:], ids[about]) if part.startswith(":") else part for part in parts
    )


def _green() -> bytes:
    import io

    from PIL import Image

    tile = io.BytesIO()
    Image.new("RGB", (256, 256), (40, 160, 60)).save(tile, "PNG")
    return tile.getvalue()


def faults_of(one: Stocked) -> list[Any]:
    """Answer what went wrong since it was last asked: errors, dialogs, breaches of the policy."""
    reports = one.page.evaluate("() => globalThis.reports.splice(0)")
    found = [*one.faults, *reports]
    foreign = [
        url for url in one.asked if not url.startswith((one.url, "blob:", "data:", "about:"))
    ]
    one.faults.clear()
    one.asked.clear()
    return found + foreign
