"""Which address leads where; each app names its own pages."""

from django.conf import settings
from django.urls import include, path
from django.urls.resolvers import URLPattern, URLResolver
from drf_spectacular.views import SpectacularAPIView

API_APPS = (
    "enrollment",
    "scheduling",
    "intake",
    "modeling",
    "reports",
    "rebates",
    "works",
    "places",
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("portal.places.urls")),
    path("audit/", include("portal.enrollment.urls")),
    path("visit/", include("portal.scheduling.urls")),
    path("record/", include("portal.intake.urls")),
    path("run/", include("portal.modeling.urls")),
    path("office/", include("portal.modeling.office_urls")),
    path("report/", include("portal.reports.urls")),
    path("plan/", include("portal.rebates.urls")),
    path("scope/", include("portal.works.urls")),
    path("account/", include("portal.accounts.urls")),
    path("account/", include("portal.accounts.sign_in_urls")),
    path("language/", include("django.conf.urls.i18n")),
    path("", include("portal.core.urls")),
    *(path(f"api/{app}/", include(f"portal.{app}.api_urls")) for app in API_APPS),
    path("api/schema/", SpectacularAPIView.as_view(), name="api_schema"),
]

if settings.DEBUG:
    from django.contrib.staticfiles.urls import staticfiles_urlpatterns

    urlpatterns += staticfiles_urlpatterns()
