"""Import the records and the engine and answer the parity requests with the machine refused.

Run as a script in a Python of its own, by test_engine_is_pure. With a word as argument it commits
that trespass instead, to show that the refusal works. Prints how many requests were answered.
"""

from __future__ import annotations

import datetime
import importlib
import importlib.abc
import json
import pkgutil
import sys
import time
import zoneinfo
from pathlib import Path
from typing import Any, NoReturn

# Not _socket: `types` itself loads it from 3.13 on, to name a type. What it would open is refused.
REFUSED_MODULES = frozenset(
    {"PIL", "_sqlite3", "asyncio", "flask", "geopy", "numpy", "requests"}
    | {"socket", "sqlite3", "ssl"}
)
REFUSED_EVENTS = ("socket.", "subprocess.", "sqlite3.", "os.", "shutil.", "tempfile.", "urllib.")
# Listing folders is how the import system finds a module.
ALLOWED_EVENTS = frozenset({"os.listdir", "os.scandir"})
# What zoneinfo and pygeomag read of their own packages.
OPEN_DATA = ("/tzdata/", "/pygeomag/wmm/")


class Refused(BaseException):
    """Something was asked of the machine. Not an Exception, so that nobody swallows it."""


class RefusedImports(importlib.abc.MetaPathFinder):
    """Answer that a refused module is not there, as on a phone where it is not."""

    def find_spec(self, fullname: str, path: Any, target: Any = None) -> None:
        if fullname.split(".")[0] in REFUSED_MODULES:
            raise ModuleNotFoundError(f"refused: import of {fullname}", name=fullname)


def refuse_clock(*_: object, **__: object) -> NoReturn:
    raise Refused("refused: the clock")


class KnownByItsElders(type):
    """Lets plain dates and datetimes, which C code still makes, count as the timeless ones."""

    def __instancecheck__(cls, instance: object) -> bool:
        return isinstance(instance, cls.__mro__[1])


class TimelessDate(datetime.date, metaclass=KnownByItsElders):
    """A date that does not know today."""

    today = classmethod(refuse_clock)  # type: ignore[assignment]


class TimelessDatetime(datetime.datetime, metaclass=KnownByItsElders):
    """A datetime that does not know now."""

    now = classmethod(refuse_clock)  # type: ignore[assignment]
    utcnow = classmethod(refuse_clock)  # type: ignore[assignment]
    today = classmethod(refuse_clock)  # type: ignore[assignment]


def watch(event: str, arguments: tuple[Any, ...]) -> None:
    """Refuse, by the interpreter's own audit, what touches files, processes and the network."""
    if event == "open":
        path, mode = str(arguments[0]).replace("\\", "/"), arguments[1] or "r"
        code = path.endswith((".py", ".pyc", ".so", ".pyd"))
        data = any(part in path for part in OPEN_DATA) or path.endswith("/tzdata/zones")
        if not (code or data) or set(mode) & set("wax+"):
            raise Refused(f"refused: open {path!r} with mode {mode!r}")
    elif event.startswith(REFUSED_EVENTS) and event not in ALLOWED_EVENTS:
        raise Refused(f"refused: {event} {arguments!r}")


def refuse_the_machine() -> None:
    """From here on there is no clock, no network, and no file but code and two packages' data."""
    sys.meta_path.insert(0, RefusedImports())
    for name in ("time", "time_ns", "localtime", "gmtime", "ctime", "strftime", "sleep"):
        setattr(time, name, refuse_clock)
    datetime.date = TimelessDate  # type: ignore[misc]
    datetime.datetime = TimelessDatetime  # type: ignore[misc]
    sys.addaudithook(watch)


def trespass(how: str) -> None:
    """Ask one thing of the machine that it must refuse."""
    if how == "import":
        import sqlite3  # noqa: F401
    elif how == "clock":
        from datetime import datetime as asked

        asked.now(datetime.UTC)
    elif how == "file":
        Path(__file__).with_suffix(".txt").write_text("x")
    elif how == "socket":
        sys.meta_path.pop(0)
        import socket

        socket.create_server(("127.0.0.1", 0))


def main() -> None:
    """Refuse, import everything, answer everything."""
    sys.path.insert(0, str(Path(__file__).parents[1] / "parity"))
    from cases import all_cases

    cases = all_cases()
    zoneinfo.reset_tzpath(())
    import scout

    refuse_the_machine()
    if len(sys.argv) > 1:
        trespass(sys.argv[1])
        return
    for room in ("records", "engine"):
        package = importlib.import_module(f"{scout.__name__}.{room}")
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            importlib.import_module(found.name)
    there = REFUSED_MODULES & sys.modules.keys()
    if there:
        raise Refused(f"refused: modules imported all the same: {sorted(there)}")
    from scout.engine.calls import call_text

    for case in cases:
        answer = json.loads(call_text(case.call, json.dumps(case.request)))
        if ("error" in answer) != case.refused:
            raise Refused(f"refused: {case.title} was answered {answer}")
    print(f"answered {len(cases)}")


if __name__ == "__main__":
    main()
