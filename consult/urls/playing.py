"""Paths of scenes and controls."""

from django.urls import path

from consult.views import controls, radio, scenes

urlpatterns = [
    path("projects/<uuid:project_id>/scenes/", scenes.scenes, name="scenes"),
    path("projects/<uuid:project_id>/scenes/add/", scenes.scene_add, name="scene_add"),
    path("scenes/<uuid:scene_id>/", scenes.scene_change, name="scene_change"),
    path("scenes/<uuid:scene_id>/remove/", scenes.scene_remove, name="scene_remove"),
    path("scenes/<uuid:scene_id>/move/", scenes.scene_move, name="scene_move"),
    path("scenes/<uuid:scene_id>/levels/<uuid:circuit_id>/", scenes.level_set, name="level_set"),
    path("projects/<uuid:project_id>/scenes/<str:group>/", scenes.grid_region, name="grid"),
    path("scenes/<uuid:scene_id>/tools/", scenes.scene_tools, name="scene_tools"),
    path("scenes/<uuid:scene_id>/fill/", scenes.scene_fill, name="scene_fill"),
    path("scenes/<uuid:scene_id>/copy/", scenes.scene_copy, name="scene_copy"),
    path("scenes/<uuid:scene_id>/button/", scenes.scene_on_button, name="scene_on_button"),
    path(
        "circuits/<uuid:circuit_id>/scenes/<str:group>/", scenes.circuit_tools, name="circuit_tools"
    ),
    path("circuits/<uuid:circuit_id>/scenes/<str:group>/fill/", scenes.row_fill, name="row_fill"),
    path("projects/<uuid:project_id>/controls/", controls.controls, name="controls"),
    path("projects/<uuid:project_id>/controls/add/", controls.position_add, name="position_add"),
    path("positions/<uuid:position_id>/", controls.position_change, name="position_change"),
    path("positions/<uuid:position_id>/remove/", controls.position_remove, name="position_remove"),
    path(
        "positions/<uuid:position_id>/radio/<uuid:enclosure_id>/",
        radio.radio_set,
        name="radio_set",
    ),
    path("radio/<uuid:path_id>/remove/", radio.radio_remove, name="radio_remove"),
    path("positions/<uuid:position_id>/fill/", controls.buttons_fill, name="buttons_fill"),
    path("positions/<uuid:position_id>/buttons/", controls.button_set, name="button_set"),
    path(
        "positions/<uuid:position_id>/buttons/remove/", controls.button_remove, name="button_remove"
    ),
]
