"""All addresses, part by part."""

from django.urls import include, path

urlpatterns = [
    path("", include("witnessmark.web.pages.urls")),
    path("", include("witnessmark.web.accounts.urls")),
    path("", include("witnessmark.web.jobs.urls")),
    path("audit/", include("witnessmark.web.desk.urls")),
    path("floor/", include("witnessmark.web.floor.urls")),
]

_REFUSALS = "witnessmark.web.pages.refusals"
handler400 = f"{_REFUSALS}.bad_request"
handler403 = f"{_REFUSALS}.permission_denied"
handler404 = f"{_REFUSALS}.not_found"
handler500 = f"{_REFUSALS}.server_error"
