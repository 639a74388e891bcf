"""Landing pages."""

from django.urls import path

from portal.places.views import desk, home, landing, lists, today

app_name = "places"
urlpatterns = [
    path("", landing.LandingView.as_view(), name="landing"),
    path("home/", home.HomeView.as_view(), name="home"),
    path("home/<str:number>/", home.HomeOfView.as_view(), name="home_of"),
    path("case/<str:number>/", home.CaseView.as_view(), name="case"),
    path("today/", today.TodayView.as_view(), name="today"),
    path("desk/", desk.DeskView.as_view(), name="desk"),
    path("desk/claims/<str:claim_number>/", desk.DeskClaimView.as_view(), name="desk_claim"),
    path("desk/<str:request_number>/", desk.DeskRequestView.as_view(), name="desk_request"),
    path("casefiles/", lists.CasefilesView.as_view(), name="casefiles"),
    path("funds/", lists.FundsView.as_view(), name="funds"),
    path("funds/<str:code>/", lists.FundView.as_view(), name="fund"),
    path("rulebook/", lists.RulebookView.as_view(), name="rulebook"),
    path("rulebook/<str:code>/<int:version>/", lists.RuleSetView.as_view(), name="rule_set"),
    path("scopes/", lists.ScopesView.as_view(), name="scopes"),
]
