#!/usr/bin/env python3
"""The one door to the tool: `python3 manage.py demo`, `python3 manage.py test`, and every other command."""
# ruff: noqa: UP031, UP036
import sys

# Old syntax only down to this check: an old Python must be able to read the sentence.
if sys.version_info < (3, 11):
    sys.exit(
        "This needs Python 3.11 or newer, and this is Python %d.%d. "
        "Install a newer Python and start it with that one, for example: python3.11 manage.py demo"
        % tuple(sys.version_info[:2])
    )

from studio.bootstrap.start import main

if __name__ == "__main__":
    sys.exit(main(sys.argv))
