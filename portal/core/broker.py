"""The file-backed broker of the embedded default: one folder, one file per message.

Kombu's own file transport writes a message in place and moves it to the system's temporary
folder to read it. A worker polling fifty times a second meets half-written files, and a move
between file systems is a copy that two workers can both make. Here a file appears whole and is
taken by a rename inside the folder, which only one can win.
"""

import os
import time
import uuid
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.transport import filesystem
from kombu.utils.json import dumps, loads


class FolderChannel(filesystem.Channel):
    """Messages and queue tables as files that are only ever seen whole."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for folder in (self.data_folder_in, self.data_folder_out, self.control_folder):
            Path(folder).mkdir(parents=True, exist_ok=True)

    def _put(  # type: ignore[override]  # kombu's own classes name the second one differently
        self, queue: str, payload: Any, **_: Any
    ) -> None:
        # Wall-clock nanoseconds sort by age, also across a restart of the machine.
        name = f"{time.time_ns():020d}_{uuid.uuid4().hex}.{queue}.msg"
        _write_whole(Path(self.data_folder_out) / name, payload)

    def _get(self, queue: str, timeout: float | None = None) -> Any:
        folder = Path(self.data_folder_in)
        ending = f".{queue}.msg"
        for name in sorted(os.listdir(folder)):
            if name.startswith(".") or not name.endswith(ending):
                continue
            taken = folder / f".taken.{name}"
            try:
                os.rename(folder / name, taken)
            except FileNotFoundError:
                continue
            message = loads(taken.read_text(encoding="utf-8"))
            taken.unlink()
            return message
        raise Empty

    def _queue_bind(self, exchange: str, routing_key: str, pattern: str, queue: str) -> None:
        binding = filesystem.exchange_queue_t(routing_key or "", pattern or "", queue or "")
        table = self.get_table(exchange)
        if binding not in table:
            _write_whole(self._exchange_file(exchange), [binding, *table])


class FolderTransport(filesystem.Transport):
    """The transport named in settings for ``filesystem://``."""

    Channel = FolderChannel


def _write_whole(path: Path, content: Any) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".draft.{uuid.uuid4().hex}")
    draft.write_text(dumps(content), encoding="utf-8")
    os.replace(draft, path)
