"""A folder or a notebook opened for a question, and a record found in it by name, word or id.

A folder with faults answers nothing: what is left out of it might be the thing that mattered.
Not for: reading files (`scout.notebook.folder`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from scout.commands.refusal import Refusal
from scout.commands.typed import now
from scout.notebook.folder import FILES, FOLDER_FILE, Folder, read_folder
from scout.notebook.leaving import folder_of
from scout.notebook.notebook import FILE as NOTEBOOK_FILE
from scout.notebook.notebook import open_notebook
from scout.notebook.store.trouble import StoreTrouble
from scout.records.trouble import Refused, shown

_MOST_FAULTS = 10
_PLURALS = {"perch": "perches", "species": "species"}


def opened(path: str) -> Folder:
    """Read the folder, or the notebook in it; refuse with its faults."""
    if is_notebook(path):
        return _notebook_read(path)
    if is_folder(path) and not (Path(path) / FOLDER_FILE).exists():
        raise Refusal(
            f"{path}: there is no folder of records here, for it has no {FOLDER_FILE}; "
            "name one with --folder, for example --folder sample_site."
        )
    folder = judged(path)
    if folder.faults:
        shown_ones = [fault.sentence for fault in folder.faults[:_MOST_FAULTS]]
        more = len(folder.faults) - len(shown_ones)
        rest = [f"And {more} more: scout check {path} tells them all."] if more else []
        raise Refusal(*shown_ones, *rest)
    return folder


def judged(path: str) -> Folder:
    """Read the folder with its faults; refuse only where the machine will not let it be read."""
    try:
        return read_folder(path)
    except OSError as error:
        raise Refusal(
            f"{path}: cannot be read ({error.strerror}); check its name and its permissions."
        ) from None


def is_notebook(path: str) -> bool:
    """Tell whether a folder holds a notebook."""
    return is_folder(path) and (Path(path) / NOTEBOOK_FILE).is_file()


def _notebook_read(path: str) -> Folder:
    try:
        with open_notebook(path, now) as notebook:
            return folder_of(notebook, standing_only=True)
    except (Refused, StoreTrouble) as trouble:
        raise Refusal(f"{path}: {trouble}") from None


def is_folder(path: str | Path) -> bool:
    """Tell whether there is such a folder, also of a name that no folder can have."""
    try:
        return Path(path).is_dir()
    except OSError:
        return False


def found(folder: Folder, kind: str, typed: str | None, option: str) -> Any:
    """Answer the record of a kind that was typed, or the only one there is."""
    records = folder.records[kind]
    plural = _PLURALS.get(kind, f"{kind}s")
    if not records:
        raise Refusal(f"{option}: the folder has no {kind} yet; write one in {FILES[kind]}.")
    if typed is None:
        if len(records) == 1:
            return next(iter(records.values()))
        raise Refusal(f"{option}: say which {kind}: {_listed(folder, records)}.")
    wanted = _plain(typed)
    whole = [one for one in records.values() if wanted in _names(folder, one)]
    begun = [
        one
        for one in records.values()
        if wanted and any(name.startswith(wanted) for name in _names(folder, one))
    ]
    fitting = whole or begun
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        fits = {one.id: one for one in fitting}
        raise Refusal(
            f"{option}: {shown(typed)} may be any of these {plural}: {_listed(folder, fits)}."
        )
    raise Refusal(
        f"{option}: there is no {kind} {shown(typed)}; the {plural} are: "
        f"{_listed(folder, records)}."
    )


def ids_of(folder: Folder, **typed: str | None) -> dict[str, Any]:
    """Answer the ids of the records that were typed, each kind under the option of its name.

    All that is missing or wrong is refused at once, a sentence each.
    """
    ids, refused = {}, []
    for kind, name in typed.items():
        try:
            ids[kind] = found(folder, kind, name, f"--{kind}").id
        except Refusal as refusal:
            refused.append(refusal.message)
    if refused:
        raise Refusal(*refused)
    return ids


def label(folder: Folder, record: Any) -> str:
    """Answer what a person calls a record: a sightline by its two ends."""
    if hasattr(record, "vantage") and hasattr(record, "perch"):
        ends = (folder.records["vantage"][record.vantage], folder.records["perch"][record.perch])
        return " → ".join(end.name for end in ends)
    return str(record.name)


def _listed(folder: Folder, records: Mapping[str, Any]) -> str:
    labels = [label(folder, one) for one in records.values()]
    twice = Counter(labels)
    return ", ".join(
        f"{name} ({folder.words.get(record_id, record_id)})" if twice[name] > 1 else name
        for name, record_id in zip(labels, records, strict=True)
    )


def _names(folder: Folder, record: Any) -> set[str]:
    names = {_plain(label(folder, record)), record.id, folder.words.get(record.id, record.id)}
    code = getattr(record, "code_name", None)
    return names | ({_plain(code)} if code else set())


def _plain(typed: str) -> str:
    words = " ".join(typed.casefold().replace("->", "→").split())
    return words.replace(" to ", " → ")
