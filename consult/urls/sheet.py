"""Paths of the room sheet: circuits and fittings edited in place."""

from django.urls import path

from consult.views import quick
from consult.views import sheet as views

urlpatterns = [
    path("rooms/<uuid:room_id>/", views.room, name="room"),
    path("rooms/<uuid:room_id>/circuits/", views.circuits_region, name="circuits"),
    path("rooms/<uuid:room_id>/beside/", views.beside_region, name="beside"),
    path("rooms/<uuid:room_id>/quick/", quick.quick_read, name="quick_read"),
    path("rooms/<uuid:room_id>/quick/add/", quick.quick_add, name="quick_add"),
    path("rooms/<uuid:room_id>/circuits/new/", views.circuit_new, name="circuit_new"),
    path("rooms/<uuid:room_id>/products/", views.products_region, name="room_products"),
    path("rooms/<uuid:room_id>/circuits/add/", views.circuit_add, name="circuit_add"),
    path("circuits/<uuid:circuit_id>/", views.circuit, name="circuit"),
    path("circuits/<uuid:circuit_id>/more/", views.circuit_more, name="circuit_more"),
    path("circuits/<uuid:circuit_id>/form/", views.circuit_form, name="circuit_form"),
    path("circuits/<uuid:circuit_id>/change/", views.circuit_change, name="circuit_change"),
    path("circuits/<uuid:circuit_id>/remove/", views.circuit_remove, name="circuit_remove"),
    path("circuits/<uuid:circuit_id>/move/", views.circuit_move, name="circuit_move"),
    path("circuits/<uuid:circuit_id>/fittings/form/", views.fitting_new, name="fitting_new"),
    path("circuits/<uuid:circuit_id>/fittings/add/", views.fitting_add, name="fitting_add"),
    path("fittings/<uuid:fitting_id>/form/", views.fitting_form, name="fitting_form"),
    path("fittings/<uuid:fitting_id>/change/", views.fitting_change, name="fitting_change"),
    path("fittings/<uuid:fitting_id>/remove/", views.fitting_remove, name="fitting_remove"),
    path("fittings/<uuid:fitting_id>/move/", views.fitting_move, name="fitting_move"),
]
