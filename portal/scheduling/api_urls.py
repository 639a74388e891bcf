"""Operations of scheduling."""

from django.urls import path
from django.urls.resolvers import URLPattern

from portal.scheduling import api

urlpatterns: list[URLPattern] = [
    path("casefiles/<str:number>/slots/", api.SlotList.as_view(), name="api_slot_list"),
    path(
        "casefiles/<str:number>/appointments/",
        api.AppointmentBook.as_view(),
        name="api_appointment_book",
    ),
    path("appointments/", api.AppointmentList.as_view(), name="api_appointment_list"),
    path(
        "appointments/<uuid:uid>/move/",
        api.AppointmentMove.as_view(),
        name="api_appointment_move",
    ),
    path(
        "appointments/<uuid:uid>/cancel/",
        api.AppointmentCancel.as_view(),
        name="api_appointment_cancel",
    ),
    path(
        "appointments/<uuid:uid>/start/",
        api.AppointmentStart.as_view(),
        name="api_appointment_start",
    ),
    path(
        "appointments/<uuid:uid>/finish/",
        api.AppointmentFinish.as_view(),
        name="api_appointment_finish",
    ),
    path(
        "appointments/<uuid:uid>/missed/",
        api.AppointmentMissed.as_view(),
        name="api_appointment_missed",
    ),
]
