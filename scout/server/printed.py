"""The templates of pages that are printed: filled outside any request, with nothing left unsaid.

Not for: pages of the server's own (Flask fills those).
"""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined

_PAGES = Environment(
    loader=PackageLoader("scout.server", "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def filled(template: str, **values: object) -> str:
    """Answer a page: a template of this folder with its values, escaped."""
    return _PAGES.get_template(template).render(**values)
