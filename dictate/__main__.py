"""`python -m dictate` is the command `dictate`."""

from __future__ import annotations

from dictate.cli.main import main

if __name__ == "__main__":
    main()
