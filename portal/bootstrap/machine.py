"""What set-up asks of the machine itself."""

import ctypes
import getpass
import os
import sys
import tempfile
from pathlib import Path

from portal.bootstrap.errors import SetupError

# The libraries WeasyPrint opens when it is imported, by the names it tries.
PANGO_LIBRARIES = {
    "GObject": ("libgobject-2.0.so.0", "libgobject-2.0.0.dylib", "libgobject-2.0.dylib"),
    "Pango": ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0.0.dylib"),
    "PangoFT2": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "libpangoft2-1.0.0.dylib"),
    "HarfBuzz": ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz.dylib"),
    "Fontconfig": ("libfontconfig.so.1", "libfontconfig.1.dylib", "libfontconfig.dylib"),
}
HOMEBREW_FOLDERS = ("/opt/homebrew/lib", "/usr/local/lib")

PANGO_REMEDY = (
    "Debian/Ubuntu: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz0b "
    "libharfbuzz-subset0 fontconfig; Fedora: dnf install pango; macOS: brew install pango."
)


def check_pango() -> None:
    """Raise ``SetupError`` when a library that PDFs are laid out with cannot be opened."""
    missing = [name for name, files in PANGO_LIBRARIES.items() if not _opens(files)]
    if missing:
        raise SetupError(f"PDFs need Pango, and {', '.join(missing)} is not here. {PANGO_REMEDY}")


def _opens(files: tuple[str, ...]) -> bool:
    folders = ("", *HOMEBREW_FOLDERS) if sys.platform == "darwin" else ("",)
    for folder in folders:
        for file in files:
            try:
                ctypes.CDLL(os.path.join(folder, file))
            except OSError:
                continue
            return True
    return False


def check_var(root: Path) -> None:
    """Raise ``SetupError`` when the folder a run writes to cannot be written."""
    folder = Path(os.environ.get("RIMJOIST_VAR") or root / "var")
    try:
        # The folders static files are looked for in; Django warns of missing ones.
        for part in ("fonts", "static"):
            (folder / part).mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise SetupError(
            f"cannot write to {folder} ({error.strerror}): make it writable for "
            f"{_user()}, or name another folder in the environment variable RIMJOIST_VAR."
        ) from error


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return f"user {os.getuid()}"
