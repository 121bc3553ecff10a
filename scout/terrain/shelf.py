"""The folder in which a notebook's elevation models stand: which there are, and out with one.

Each model is a tiled GeoTIFF in metres with a small file beside it that says what it is. Models are
no records: they are large, stay on the laptop, and can be got again. Not for: taking one in
(`taking_in`) or reading heights (`patch`).
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any, Final

import attrs

from scout.records.trouble import Refused, shown
from scout.terrain.model import KINDS, Model

FOLDER: Final = "land"
_FORMAT: Final = 1
_NOT_WRITTEN = ("path",)


@attrs.frozen
class Shelf:
    """The models of one notebook or one folder of records."""

    root: Path

    @property
    def folder(self) -> Path:
        """Where they stand."""
        return self.root / FOLDER

    def models(self) -> list[Model]:
        """Answer the models here, finest first; one whose files are spoilt is left out."""
        try:
            notes = sorted(self.folder.glob("*.json"))
        except OSError:
            return []
        found = [model for note in notes if (model := _read(note)) is not None]
        return sorted(found, key=lambda one: (one.cell_m, one.name, one.id))

    def named(self, typed: str) -> Model:
        """Answer the model of a name or id; raises Refused where there is none or several."""
        models = self.models()
        wanted = typed.casefold()
        fitting = [one for one in models if wanted in (one.id, one.name.casefold())]
        fitting = fitting or [one for one in models if one.name.casefold().startswith(wanted)]
        if len(fitting) == 1:
            return fitting[0]
        if not models:
            raise Refused.one("there is no elevation model here yet; take one in first")
        names = ", ".join(one.words for one in fitting or models)
        raise Refused.one(
            f"{shown(typed)} may be any of these: {names}; name its id"
            if fitting
            else f"there is no elevation model {shown(typed)}; here are: {names}"
        )

    def keep(self, model: Model) -> None:
        """Write down what a model is, whose GeoTIFF stands here already."""
        said = attrs.asdict(
            model, filter=lambda one, value: one.name not in _NOT_WRITTEN and value != ""
        )
        text = json.dumps({"format": _FORMAT, **said}, ensure_ascii=False, indent=1)
        note = self.folder / f"{model.id}.json"
        fresh = note.with_suffix(".new")
        fresh.write_text(text + "\n", encoding="utf-8")
        fresh.replace(note)

    def remove(self, model: Model) -> None:
        """Take a model off the shelf. What was made from it stays, and says what it was made of."""
        (self.folder / f"{model.id}.json").unlink(missing_ok=True)
        model.path.unlink(missing_ok=True)

    def bring_from(self, other: Shelf) -> list[Model]:
        """Copy the models that stand on another shelf and not here; answer those."""
        here = {one.id for one in self.models()}
        brought = []
        for model in other.models():
            if model.id in here:
                continue
            self.folder.mkdir(parents=True, exist_ok=True)
            target = self.folder / model.path.name
            shutil.copyfile(model.path, target)
            kept = attrs.evolve(model, path=target)
            self.keep(kept)
            brought.append(kept)
        return brought


def _read(note: Path) -> Model | None:
    picture = note.with_suffix(".tif")
    try:
        said: Any = json.loads(note.read_text(encoding="utf-8"))
        if said.pop("format") != _FORMAT or said["id"] != note.stem or said["kind"] not in KINDS:
            return None
        if not picture.is_file():
            return None
        model = Model(path=picture, **said)
        return attrs.evolve(model, size_bytes=picture.stat().st_size)
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return None
