"""Addresses of accounts."""

from django.urls import path

from witnessmark.web.accounts import users, views

app_name = "accounts"
urlpatterns = [
    path("enter/", views.enter, name="enter"),
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("account/", views.account, name="account"),
    path("users/", users.list_users, name="users"),
    path("users/add/", users.add_user, name="add-user"),
    path("users/<int:pk>/switch/", users.switch_user, name="switch-user"),
]
