"""Pages of accounts beside those of signing in by code."""

from django.urls import path
from django.urls.resolvers import URLPattern

from portal.accounts import views

app_name = "accounts"
urlpatterns: list[URLPattern] = [
    path("demo-sign-in/", views.DemoSignInView.as_view(), name="demo_sign_in"),
]
