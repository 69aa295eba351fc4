"""Every address of the site: the rooms' pages and the administration."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

urlpatterns = [
    # One door: the administration has no log-in of its own, which would pass by the second factor and the rate limits.
    path("admin/login/", RedirectView.as_view(pattern_name="sign-in", query_string=True), name="admin-sign-in"),
    path("admin/", admin.site.urls),
    path("", include("quoting.urls")),
]
