"""Paths of the light of rooms."""

from django.urls import path

from consult.views import light, light_house, targets

urlpatterns = [
    path("rooms/<uuid:room_id>/in-light/", light.room, name="room_light"),
    path("rooms/<uuid:room_id>/in-light/keep/", light.keep, name="light_keep"),
    path("rooms/<uuid:room_id>/in-light/exact/", light.exact, name="light_exact"),
    path("rooms/<uuid:room_id>/in-light/basis/", light.basis, name="light_basis"),
    path("rooms/<uuid:room_id>/in-light/picture.png", light.picture, name="light_picture"),
    path("rooms/<uuid:room_id>/in-light/map.png", light.light_map, name="light_map"),
    path("projects/<uuid:project_id>/light/", light.sheet, name="light_sheet"),
    path("projects/<uuid:project_id>/light/rooms/", light_house.house, name="light_house"),
    path(
        "projects/<uuid:project_id>/light/pictures/",
        light_house.pictures_ready,
        name="pictures_ready",
    ),
    path(
        "projects/<uuid:project_id>/light/rooms/now/",
        light_house.house_rows,
        name="light_house_rows",
    ),
    path(
        "projects/<uuid:project_id>/light/rooms/work/",
        light_house.house_work,
        name="light_house_work",
    ),
    path(
        "projects/<uuid:project_id>/light/rooms/stop/",
        light_house.house_stop,
        name="light_house_stop",
    ),
    path("business/light/", targets.targets, name="targets"),
    path("business/light/<slug:use>/", targets.target, name="target"),
    path("business/light/<slug:use>/reset/", targets.target_reset, name="target_reset"),
]
