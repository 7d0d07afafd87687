"""Paths of what makes the table quick: copies, patterns, swaps, and what the visit shows."""

from django.urls import path

from consult.views import copying, presence, visit

urlpatterns = [
    path("projects/<uuid:project_id>/presence/", presence.presence, name="presence"),
    path("visit/", visit.visit, name="visit"),
    path("rooms/<uuid:room_id>/copying/", copying.room_copying, name="room_copying"),
    path("rooms/<uuid:room_id>/copy/", copying.room_copy, name="room_copy"),
    path("rooms/<uuid:room_id>/patterns/save/", copying.pattern_save, name="pattern_save"),
    path(
        "rooms/<uuid:room_id>/patterns/<uuid:pattern_id>/", copying.pattern_preview, name="pattern"
    ),
    path(
        "rooms/<uuid:room_id>/patterns/<uuid:pattern_id>/apply/",
        copying.pattern_apply,
        name="pattern_apply",
    ),
    path("circuits/<uuid:circuit_id>/copy/", copying.circuit_copy, name="circuit_copy"),
    path(
        "fittings/<uuid:fitting_id>/circuit/", copying.fitting_to_circuit, name="fitting_to_circuit"
    ),
    path("fittings/<uuid:fitting_id>/swap/", copying.swap, name="swap"),
    path("fittings/<uuid:fitting_id>/swap/products/", copying.swap_products, name="swap_products"),
    path("fittings/<uuid:fitting_id>/swap/do/", copying.swap_do, name="swap_do"),
]
