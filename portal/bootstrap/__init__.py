"""From a bare checkout to a running command; standard library only.

``run`` finds or makes an environment that holds the pinned requirements, goes on inside it,
checks what the command needs of the machine, and hands over to Django or pytest.
"""

import os
import sys
from pathlib import Path

from portal.bootstrap.environment import prepare
from portal.bootstrap.errors import SetupError
from portal.bootstrap.machine import check_pango, check_var
from portal.bootstrap.processes import cores, spread

ROOT = Path(__file__).resolve().parents[2]

USAGE = """\
python3 manage.py COMMAND

  demo      set up, load the demo, run one audit through the chain, serve it (--once: do not serve)
  setup     set up, tests included, and stop there
  test      set up, then all tests on several cores (arguments go to pytest; -n 0: on one)
  serve     web and worker together, on the database of the environment
  verify    every check against a published source
  model     one field record to results, as JSON
  ruling    one rule set on one set of facts, as JSON
  help      all other commands
"""

# Commands that lay out PDFs, or start a worker that does.
NEED_PANGO = {"demo", "serve", "setup", "test"}
# Commands that only read, and must work where nothing may be written.
WRITE_NOTHING = {"help", "--help", "-h", "--version", "version", "model", "ruling"}


def run(argv: list[str]) -> None:
    """Carry out a command line; does not return when it goes on in another process."""
    if len(argv) < 2:
        print(USAGE, end="")
        return
    command = argv[1]
    try:
        if sys.platform == "win32":
            raise SetupError(
                "Rimjoist runs on Linux and macOS: on Windows start it inside the Windows "
                "Subsystem for Linux."
            )
        if command not in WRITE_NOTHING:
            check_var(ROOT)
        prepare(ROOT, argv, needs_tests=command in ("test", "setup"))
        if command in NEED_PANGO:
            check_pango()
    except SetupError as error:
        sys.exit(f"manage.py: {error}")
    except KeyboardInterrupt:
        sys.exit(130)
    _hand_over(argv)


def _hand_over(argv: list[str]) -> None:
    command = argv[1]
    if command == "setup":
        print(f"Ready in {sys.prefix}.")
        return
    if command == "test":
        processes = spread(argv[2:], root=ROOT, available=cores())
        os.execv(sys.executable, [sys.executable, "-m", "pytest", *processes, *argv[2:]])
    settings = "demo" if command == "demo" else "dev"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", f"portal.settings.{settings}")
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)
