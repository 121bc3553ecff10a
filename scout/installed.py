"""Where the files that are not Python lie: the front end and the sample site.

An installed package carries them inside itself (scout/web, scout/sample_site); in a checkout
they lie beside it (../web, ../sample_site). Not for the user's own records.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent

_NOT_THERE = (
    "The folder {name} is neither in {inside} nor in {beside}: the installation is incomplete. "
    "Install the package again with pip."
)


def web_folder() -> Path:
    """Return the folder of the front end; the fetched libraries are in its `vendor`.

    Raises FileNotFoundError, in a sentence, when it is not there.
    """
    return _folder("web")


def sample_site_folder() -> Path:
    """Return the folder of the invented site that shows every feature.

    Raises FileNotFoundError, in a sentence, when it is not there.
    """
    return _folder("sample_site")


def _folder(name: str) -> Path:
    for parent in (_PACKAGE, _PACKAGE.parent):
        if (parent / name).is_dir():
            return parent / name
    raise FileNotFoundError(_NOT_THERE.format(name=name, inside=_PACKAGE, beside=_PACKAGE.parent))
