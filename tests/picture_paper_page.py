"""Draw the paper page of the sample site for the README: a script, not a test.

    .venv/bin/python tests/picture_paper_page.py

Needs Chromium and pdftoppm. Writes .pictures/paper_page.png.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

DAY = "2026-05-12"
HERE = Path(__file__).resolve().parent.parent
PICTURE = HERE / ".pictures" / "paper_page"


def main() -> int:
    """Make the page with the command that people use, print it, and make a picture of that."""
    chromium = shutil.which("chromium")
    if chromium is None or shutil.which("pdftoppm") is None:
        print("This needs Chromium and pdftoppm; install both first.", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder)
        scout = [sys.executable, "-m", "scout", "demo", "--on", DAY, "--out", folder]
        subprocess.run(scout, check=True, stdout=subprocess.DEVNULL)
        page = next(made.glob("*.html"))
        printed = made / "page.pdf"
        options = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
        subprocess.run(
            [chromium, *options, f"--print-to-pdf={printed}", page.as_uri()],
            check=True,
            capture_output=True,
        )
        subprocess.run(
            ["pdftoppm", "-r", "110", "-gray", "-singlefile", "-png", str(printed), str(PICTURE)],
            check=True,
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
