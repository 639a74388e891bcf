"""Operations of work scopes."""

from django.urls import path

from portal.works import api

urlpatterns = [
    path("scopes/<str:number>/", api.ScopeRead.as_view(), name="api_scope"),
    path("scopes/<str:number>/answer/", api.ScopeAnswer.as_view(), name="api_scope_answer"),
    path(
        "scopes/<str:number>/lines/<int:line_pk>/proofs/",
        api.LineProofAdd.as_view(),
        name="api_line_proof",
    ),
    path(
        "scopes/<str:number>/lines/<int:line_pk>/done/",
        api.LineDone.as_view(),
        name="api_line_done",
    ),
    path("scopes/<str:number>/claim/", api.ClaimSend.as_view(), name="api_claim"),
]
