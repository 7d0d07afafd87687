"""Paths of floors, rooms, what stands in them, room groups and enclosures."""

from django.urls import path

from consult.views import house as views
from consult.views import objects, openings

urlpatterns = [
    path("projects/<uuid:project_id>/floors/add/", views.floor_add, name="floor_add"),
    path("floors/<uuid:floor_id>/", views.floor_change, name="floor_change"),
    path("floors/<uuid:floor_id>/remove/", views.floor_remove, name="floor_remove"),
    path("floors/<uuid:floor_id>/rooms/add/", views.room_add, name="room_add"),
    path("rooms/<uuid:room_id>/change/", views.room_change, name="room_change"),
    path("rooms/<uuid:room_id>/remove/", views.room_remove, name="room_remove"),
    path("rooms/<uuid:room_id>/move/", views.room_move, name="room_move"),
    path("rooms/<uuid:room_id>/objects/add/", objects.object_add, name="object_add"),
    path("objects/<uuid:object_id>/", objects.object_change, name="object_change"),
    path("objects/<uuid:object_id>/remove/", objects.object_remove, name="object_remove"),
    path("rooms/<uuid:room_id>/openings/add/", openings.opening_add, name="opening_add"),
    path("openings/<uuid:opening_id>/", openings.opening_change, name="opening_change"),
    path("openings/<uuid:opening_id>/remove/", openings.opening_remove, name="opening_remove"),
    path("projects/<uuid:project_id>/places/", views.places, name="places"),
    path("projects/<uuid:project_id>/groups/add/", views.group_add, name="group_add"),
    path("groups/<uuid:group_id>/", views.group_change, name="group_change"),
    path("groups/<uuid:group_id>/remove/", views.group_remove, name="group_remove"),
    path("projects/<uuid:project_id>/enclosures/add/", views.enclosure_add, name="enclosure_add"),
    path("enclosures/<uuid:enclosure_id>/", views.enclosure_change, name="enclosure_change"),
    path("enclosures/<uuid:enclosure_id>/remove/", views.enclosure_remove, name="enclosure_remove"),
]
