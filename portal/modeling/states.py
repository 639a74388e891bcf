"""States of a model run and the moves between them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from portal.core.states import Moves


class RunState(models.TextChoices):
    """Where a model run stands."""

    QUEUED = "queued", _("waiting for a worker")
    RUNNING = "running", _("being worked out")
    DONE = "done", _("done")
    FAILED = "failed", _("could not be worked out")


RUN_MOVES = Moves(
    {
        RunState.QUEUED: (RunState.RUNNING, RunState.FAILED),
        RunState.RUNNING: (RunState.DONE, RunState.FAILED, RunState.QUEUED),
        RunState.DONE: (),
        RunState.FAILED: (RunState.QUEUED,),
    }
)


class RunPurpose(models.TextChoices):
    """What a run is for."""

    AUDIT = "audit", _("the report")
    PLAN = "plan", _("the chosen plan")


class WeatherFileState(models.TextChoices):
    """Where a weather file stands."""

    CHECKING = "checking", _("being checked")
    USABLE = "usable", _("usable")
    REFUSED = "refused", _("cannot be used")
    USED = "used", _("used for the territory")


WEATHER_FILE_MOVES = Moves(
    {
        WeatherFileState.CHECKING: (WeatherFileState.USABLE, WeatherFileState.REFUSED),
        WeatherFileState.USABLE: (WeatherFileState.USED,),
        WeatherFileState.REFUSED: (),
        WeatherFileState.USED: (),
    }
)
