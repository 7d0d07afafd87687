"""The front door: which path leads to which app."""

from django.urls import include, path

from showroom import views

handler400 = "showroom.views.bad_request"
handler403 = "showroom.views.forbidden"
handler404 = "showroom.views.not_found"
handler500 = "showroom.views.server_error"

# What allauth offers besides and this house has not: everybody has one address, which a manager keeps.
NOT_HERE = ("email/", "confirm-email/", "confirm-email/<str:key>/", "login/code/confirm/")

urlpatterns = [
    path("", views.home, name="home"),
    path("search/", views.find, name="search"),
    path("health/live", views.health_live, name="health_live"),
    path("health/ready", views.health_ready, name="health_ready"),
    path("", include("catalogue.urls")),
    path("", include("consult.urls")),
    path("", include("quoting.urls")),
    *(path(f"account/{each}", views.not_here) for each in NOT_HERE),
    path("account/", include("allauth.account.urls")),
    path("", include("base.urls")),
    path("style/", views.style, name="style"),
]
