"""Addresses of the pages that are worked at while an audit runs."""

urlpatterns: list[object] = []
