"""Every address of the site. There is no administration beside the rooms: a second way in would pass by their rules."""

from django.urls import include, path

urlpatterns = [
    path("", include("quoting.urls")),
]
