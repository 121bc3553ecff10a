"""A page with the phone's notebook open in it and no screen of the app."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page


class PhonePage:
    """A page with the notebook opened as `notebook`; what goes wrong in it is kept in `faults`."""

    def __init__(self, page: Page, url: str) -> None:
        self.page = page
        self.url = url
        self.faults: list[str] = []
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on("console", self._heard)

    def _heard(self, message: Any) -> None:
        if "Content Security Policy" in message.text or "Uncaught" in message.text:
            self.faults.append(message.text)

    def open(self, options: str = "{ sync: false }") -> PhonePage:
        self.page.goto(self.url + "blank.html")
        self.page.evaluate(
            f"""async () => {{
                const {{ openNotebook }} = await import('/notebook/notebook.js');
                globalThis.notebook = await openNotebook({options});
            }}"""
        )
        return self

    def run(self, body: str, given: Any = None) -> Any:
        """Run the body of an async function with `notebook` and `given`."""
        return self.page.evaluate(
            f"async (given) => {{ const notebook = globalThis.notebook; {body} }}", given
        )

    def save(self, kind: str, values: dict[str, Any], record: str | None = None) -> dict[str, Any]:
        edit = {"kind": kind, "set": values} | ({} if record is None else {"record": record})
        saved: dict[str, Any] = self.run("return notebook.save([given])", edit)
        return saved

    def sync(self) -> dict[str, Any]:
        state: dict[str, Any] = self.run("await notebook.sync.now(); return notebook.state()")
        return state
