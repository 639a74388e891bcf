"""States of an appointment and the moves between them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from portal.core.states import Moves


class AppointmentState(models.TextChoices):
    """Where a visit stands."""

    BOOKED = "booked", _("booked")
    UNDER_WAY = "under_way", _("under way")
    VISITED = "visited", _("visited")
    CANCELLED = "cancelled", _("cancelled")
    MISSED = "missed", _("nobody home")


APPOINTMENT_MOVES = Moves(
    {
        AppointmentState.BOOKED: (
            AppointmentState.UNDER_WAY,
            AppointmentState.CANCELLED,
            AppointmentState.MISSED,
        ),
        AppointmentState.UNDER_WAY: (AppointmentState.VISITED, AppointmentState.CANCELLED),
        AppointmentState.VISITED: (),
        AppointmentState.CANCELLED: (),
        AppointmentState.MISSED: (),
    }
)

LIVE = (AppointmentState.BOOKED, AppointmentState.UNDER_WAY)
