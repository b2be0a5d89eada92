"""All addresses. What may be seen without a login stands in studio/security/public.py."""

from __future__ import annotations

from django.urls import include, path

from studio.views.account import Password, studio_new
from studio.views.choose_studio import choose_studio
from studio.views.health import health
from studio.views.home import home
from studio.views.join import join
from studio.views.login import Login, Logout
from studio.views.offline import here, manifest, offline, worker

handler400 = "studio.views.errors.bad_request"
handler403 = "studio.views.errors.forbidden"
handler404 = "studio.views.errors.not_found"
handler500 = "studio.views.errors.server_error"

urlpatterns = [
    path("", home, name="home"),
    path("login/", Login.as_view(), name="login"),
    path("logout/", Logout.as_view(), name="logout"),
    path("studios/", choose_studio, name="choose_studio"),
    path("studios/new/", studio_new, name="studio_new"),
    path("password/", Password.as_view(), name="password"),
    path("join/<str:token>/", join, name="join"),
    path("health/", health, name="health"),
    path("sw.js", worker, name="worker"),
    path("manifest.webmanifest", manifest, name="manifest"),
    path("offline/", offline, name="offline"),
    path("here/", here, name="here"),
    path("s/<str:studio>/", include("studio.urls_pages")),
]
