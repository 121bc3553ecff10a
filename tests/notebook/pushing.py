"""Push changes one batch after another until killed; say on stdout what was acknowledged.

Run as a program: folder, seed, batches, changes a batch. Not a test.
"""

from __future__ import annotations

import datetime as dt
import random
import sys

from scout.notebook.notebook import open_notebook
from tests.notebook.phone import Phone


def main(folder: str, seed: int, batches: int, size: int) -> None:
    phone = Phone(random.Random(seed), 1_778_557_500_000)
    records = [phone.new_id() for _ in range(5)]
    with open_notebook(folder, lambda: dt.datetime.now(dt.UTC), create=True) as notebook:
        for _ in range(batches):
            batch = [
                phone.edit("perch", phone.rng.choice(records), {"height_m": n}) for n in range(size)
            ]
            answers = notebook.push(batch).answers
            for change, answer in zip(batch, answers, strict=True):
                sys.stdout.write(f"{change['id']} {answer.seq}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:5]))
