"""Auditors with a working week, and visits."""

from datetime import date, time

from portal.accounts.states import Role
from portal.enrollment.models import County
from portal.scheduling import services
from portal.scheduling.models import AuditorProfile
from tests.factories import enrollment
from tests.factories.people import OFFICE, with_role

WEEK = [(weekday, time(8), time(16, 30)) for weekday in range(5)]


def auditor(
    email: str = "auditor@qlg.example",
    *,
    counties: list[County] | None = None,
    hours: list[tuple[int, time, time]] | None = None,
    expires_on: date = date(2027, 12, 31),
) -> AuditorProfile:
    """An auditor who works Monday to Friday, 8 to half past 4, in Ashmere."""
    profile = services.auditor_enter(
        user=with_role(Role.AUDITOR, email, "Ansel Rook"),
        credential_number="A-1",
        credential_expires_on=expires_on,
        counties=counties or [enrollment.county()],
        phone="555-0177",
        actor=OFFICE,
    )
    services.working_hours_set(
        auditor=profile, hours=WEEK if hours is None else hours, actor=OFFICE
    )
    return profile
