"""Pages of enrollment."""

from django.urls import path
from django.urls.resolvers import URLPattern

from portal.enrollment import views

app_name = "enrollment"
urlpatterns: list[URLPattern] = [
    path("", views.StartView.as_view(), name="start"),
    path("<uuid:key>/", views.ResumeView.as_view(), name="resume"),
    path("<uuid:key>/check/", views.CheckView.as_view(), name="check"),
    path("<uuid:key>/eligible/", views.EligibleView.as_view(), name="eligible"),
    path("<uuid:key>/not-eligible/", views.NotEligibleView.as_view(), name="not_eligible"),
    path("<uuid:key>/withdrawn/", views.WithdrawnView.as_view(), name="withdrawn"),
    path("<uuid:key>/account/", views.ClaimView.as_view(), name="claim"),
    path("<uuid:key>/question/<slug:question>/", views.QuestionView.as_view(), name="question"),
]
