"""Operations of plans and subsidy requests."""

from django.urls import path

from portal.rebates import api

urlpatterns = [
    path("plans/<str:number>/", api.PlanOperation.as_view(), name="api_plan"),
    path("plans/<str:number>/quote/", api.QuoteOperation.as_view(), name="api_quote"),
    path("plans/<str:number>/request/", api.SendOperation.as_view(), name="api_send"),
    path("requests/<str:request_number>/", api.RequestOperation.as_view(), name="api_request"),
    path(
        "requests/<str:request_number>/decision/",
        api.DecideOperation.as_view(),
        name="api_decide",
    ),
]
