"""Many phones against the notebook itself: I2 to I10, I12 after any story."""

from __future__ import annotations

import os

from hypothesis import settings

from .many_phones import ManyPhones
from .phone import Direct, Server


class ManyPhonesDirect(ManyPhones):
    """The phones speak to the notebook without HTTP."""

    def server(self) -> Server:
        return Direct(self.notebook)


FULL = os.environ.get("SCOUT_FULL") == "1"
TestManyPhones = ManyPhonesDirect.TestCase
TestManyPhones.settings = settings(
    max_examples=300 if FULL else 15, stateful_step_count=80 if FULL else 40
)
