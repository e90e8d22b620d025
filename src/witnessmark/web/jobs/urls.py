"""Addresses of background jobs."""

from django.urls import path

from witnessmark.web.jobs import views

app_name = "jobs"
urlpatterns = [
    path("jobs/<uuid:pk>/", views.show, name="job"),
    path("jobs/<uuid:pk>/progress/", views.progress, name="progress"),
    path("jobs/<uuid:pk>/stop/", views.stop_job, name="stop"),
]
