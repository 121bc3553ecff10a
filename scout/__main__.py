"""Lets `python -m scout` do what the `scout` command does."""

from scout.cli import main

if __name__ == "__main__":
    main()
