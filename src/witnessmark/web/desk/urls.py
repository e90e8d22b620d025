"""Addresses of the desk: `working` while the audit runs, `around` before and after."""

from django.urls import include, path

app_name = "desk"
urlpatterns = [
    path("", include("witnessmark.web.desk.working_urls")),
    path("", include("witnessmark.web.desk.around_urls")),
]
