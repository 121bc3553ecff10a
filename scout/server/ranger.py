"""The ranger's page as one self-contained page to print: black on white, no script.

Not for: what it holds (`scout.notebook.sharing.ranger`).
"""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined

from scout.notebook.sharing.ranger import RangersPage

_PAGES = Environment(
    loader=PackageLoader("scout.server", "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def page_of(page: RangersPage) -> str:
    """Lay the page out."""
    return _PAGES.get_template("ranger.html").render(page=page)
