"""How log lines are written where they are kept."""

import logging
import traceback
from types import TracebackType
from typing import TypeAlias

ExcInfo: TypeAlias = (
    tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]
)


class PlaceFormatter(logging.Formatter):
    """Writes an exception as the places it passed and its class, without its message.

    The message of an exception may quote what a person typed; the id of the record, which the
    log line itself carries, is enough to find it again.
    """

    def formatException(self, ei: ExcInfo) -> str:  # noqa: N802  the base class names it
        """The chain of exceptions, each by place and class."""
        lines: list[str] = []
        error: BaseException | None = ei[1]
        while error is not None:
            lines += [
                f'  File "{frame.filename}", line {frame.lineno}, in {frame.name}'
                for frame in traceback.extract_tb(error.__traceback__)
            ]
            lines.append(f"{type(error).__module__}.{type(error).__qualname__}")
            error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
        return "\n".join(lines)
