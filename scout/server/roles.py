"""What each address asks of who calls it: every endpoint of the server, by name, with its right.

An endpoint that is not in this table is answered to nobody who comes over a network. Not for:
finding out who asks (`who`), or which records of the notebook they see (`sight`).
"""

from __future__ import annotations

from typing import Final, Literal

Right = Literal["open", "member", "whole", "write", "owner"]

ROLES: Final = ("owner", "editor", "viewer")

OPEN: Final = "open"
"""Anybody who reaches the server: the program itself, and the way in."""
MEMBER: Final = "member"
"""Anybody paired; answers hold what their scope lets them see."""
WHOLE: Final = "whole"
"""Anybody paired whose scope is all sites: pages that show the notebook as a whole."""
WRITE: Final = "write"
"""Owners and editors; the right "owner" is for owners alone."""

RIGHTS: Final[dict[str, Right]] = {
    # The program: no record is in it.
    "web.first_page": "open",
    "web.file": "open",
    "packs.listed": "open",
    "packs.pack": "open",
    "packs.runtime": "open",
    "pages.static": "open",
    "engine.schema": "open",
    "padlock.padlock": "open",
    # The way in, and the people and devices that are in.
    "way_in.state": "open",
    "way_in.start": "open",
    "way_in.poll": "open",
    "way_in.claim": "open",
    "way_in.leave": "member",
    "way_in.look": "owner",
    "way_in.grant": "owner",
    "way_in.deny": "owner",
    "members.devices": "member",
    "members.revoke": "member",
    "members.rename": "member",
    "members.wrote": "owner",
    "members.undo": "owner",
    "members.persons": "owner",
    "members.add": "owner",
    "members.change": "owner",
    "members.remove": "owner",
    "members.events": "owner",
    "backing.status": "owner",
    "backing.make": "owner",
    "backing.drill": "owner",
    # The journal.
    "sync.ping": "member",
    "sync.push": "member",  # a viewer's phone hears by it what is here already, and adds nothing
    "sync.pull": "member",
    "sync.offer": "member",
    "sync.history": "member",
    "sync.conflicts": "whole",
    "sync.quarantine": "whole",
    # Photos.
    "blobs.progress": "member",
    "blobs.append": "write",
    "blobs.original": "member",
    "photos.thumbnail": "member",
    "photos.facts": "member",
    # Answers: computed from what the phone itself sends.
    "engine.compute": "member",
    "maps.sheets": "member",
    "maps.tile": "member",
    # Plain pages show the notebook as a whole.
    "pages.sites": "whole",
    "pages.site": "whole",
    "pages.card": "whole",
    "pages.choice": "whole",
    "pages.light": "whole",
    "pages.paper": "whole",
    "kit_pages.kit": "whole",
    "kit_pages.stand": "whole",
    # The land: models and long work are the owner's, what they show is everybody's.
    "land.overview": "whole",
    "land.job": "whole",
    "land.sight": "whole",
    "land.begin": "owner",
    "land.stop_job": "owner",
    "land.keep_gap": "owner",
    "land.sit": "owner",
    "land.begin_upload": "owner",
    "land.append": "owner",
    "land.add_model": "owner",
    "land.remove_model": "owner",
    "land.forget": "owner",
    "land_page.land": "owner",
    "land_page.printed": "whole",
    # What leaves for other eyes.
    "exits.leave": "owner",
    "exits.file": "owner",
    "exits.ranger": "owner",
}


def is_allowed(right: Right, role: str, *, all_sites: bool) -> bool:
    """Tell whether a role with this scope has a right; `open` asks for neither."""
    if right == OPEN:
        return True
    if role not in ROLES:
        return False
    if right == MEMBER:
        return True
    if right == WHOLE:
        return all_sites
    if right == WRITE:
        return role in ("owner", "editor")
    return role == "owner" and all_sites
