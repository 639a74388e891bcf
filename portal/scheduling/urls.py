"""Pages of scheduling."""

from django.urls import path
from django.urls.resolvers import URLPattern

from portal.scheduling import views

app_name = "scheduling"
urlpatterns: list[URLPattern] = [
    path("<str:number>/", views.BookedView.as_view(), name="booked"),
    path("<str:number>/pick/", views.PickView.as_view(), name="pick"),
    path("<str:number>/move/", views.MoveView.as_view(), name="move"),
    path("<str:number>/cancel/", views.CancelView.as_view(), name="cancel"),
]
