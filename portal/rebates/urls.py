"""Your plan and the subsidy request."""

from django.urls import path

from portal.rebates import views

app_name = "rebates"
urlpatterns = [
    path("requests/<str:request_number>/", views.RequestView.as_view(), name="request"),
    path(
        "requests/<str:request_number>/withdraw/",
        views.RequestWithdrawView.as_view(),
        name="withdraw",
    ),
    path("<str:number>/", views.PlanView.as_view(), name="plan"),
    path("<str:number>/sums/", views.PlanSumsView.as_view(), name="sums"),
    path("<str:number>/quote/", views.QuoteView.as_view(), name="quote"),
    path("<str:number>/send/", views.SendView.as_view(), name="send"),
]
