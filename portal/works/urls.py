"""Work scopes, their lines and claims."""

from django.urls import path

from portal.works import views

app_name = "works"
urlpatterns = [
    path("proofs/<uuid:key>/", views.ProofFileView.as_view(), name="proof"),
    path("<str:number>/", views.ScopeView.as_view(), name="scope"),
    path("<str:number>/answer/", views.ScopeAnswerView.as_view(), name="answer"),
    path("<str:number>/lines/<int:line_pk>/", views.LineView.as_view(), name="line"),
    path("<str:number>/lines/<int:line_pk>/reopen/", views.LineReopenView.as_view(), name="reopen"),
    path("<str:number>/claim/", views.ClaimView.as_view(), name="claim"),
]
