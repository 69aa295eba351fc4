"""Every address of the site: the rooms' pages and the administration."""

from django.contrib import admin
from django.contrib.auth.decorators import login_not_required
from django.urls import include, path
from django.views.generic import RedirectView

# One door: the administration has no log-in of its own, which would pass by the second factor and the rate limits.
to_the_one_door = login_not_required(RedirectView.as_view(pattern_name="sign-in", query_string=True))

urlpatterns = [
    path("admin/login/", to_the_one_door, name="admin-sign-in"),
    path("admin/", admin.site.urls),
    path("", include("quoting.urls")),
]
