"""The pages of signing in by a code; the library has more, which the portal does not use.

A person has no password and one address, so there is nothing to set, change or reset.
"""

from allauth.account import views
from django.urls import path
from django.urls.resolvers import URLPattern

from portal.accounts.views import ToSignInView

urlpatterns: list[URLPattern] = [
    path("login/", views.login, name="account_login"),
    path("login/code/", views.request_login_code, name="account_request_login_code"),
    path("login/code/confirm/", views.confirm_login_code, name="account_confirm_login_code"),
    path("signup/", views.signup, name="account_signup"),
    path("confirm-email/", views.email_verification_sent, name="account_email_verification_sent"),
    path("inactive/", views.account_inactive, name="account_inactive"),
    path("logout/", views.logout, name="account_logout"),
    # The library's name for it, by which it finds the way.
    path("", ToSignInView.as_view(), name="account_email"),
]
