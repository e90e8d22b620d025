"""Addresses of the pages before and after an audit: preparation, findings, closing, follow-up."""

urlpatterns: list[object] = []
