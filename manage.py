#!/usr/bin/env python3
"""The door to everything: python3 manage.py demo | test | serve | ...

This file must be readable by any Python, so that an old one is told what it needs.
"""

import os
import sys

OLDEST = (3, 11)


def main():
    if sys.version_info < OLDEST:
        sys.exit(
            "Rimjoist needs Python %d.%d or newer and this is Python %d.%d: install a newer one "
            "(Debian/Ubuntu: apt install python3; Fedora: dnf install python3; macOS: brew install "
            "python) and start manage.py with it." % (OLDEST + sys.version_info[:2])
        )
    os.chdir(os.path.dirname(os.path.abspath(__file__)))
    from portal import bootstrap

    bootstrap.run(sys.argv)


if __name__ == "__main__":
    main()
