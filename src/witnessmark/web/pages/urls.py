"""Addresses of the shared frame."""

from django.urls import path

from witnessmark.web.pages import phone, views

app_name = "pages"
urlpatterns = [
    path("", views.home, name="home"),
    path("about/alive/", views.alive, name="alive"),
    path("about/phone/", phone.phone, name="phone"),
    path("about/phone/root.crt", phone.root, name="root"),
    path("about/looks/", views.looks, name="looks"),
]
