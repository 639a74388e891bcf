"""The roles people hold."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    """What a person may be in the program; held by grant, from a day to a day."""

    HOMEOWNER = "homeowner", _("homeowner")
    LANDLORD = "landlord", _("landlord")
    AUDITOR = "auditor", _("auditor")
    PROGRAM_ADMIN = "program_admin", _("program administrator")
    CONTRACTOR = "contractor", _("contractor")
