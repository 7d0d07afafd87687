"""Paths of clients and projects."""

from django.urls import path

from consult.views import people as views

urlpatterns = [
    path("clients/", views.clients, name="clients"),
    path("clients/add/", views.client_add, name="client_add"),
    path("clients/<uuid:client_id>/", views.client, name="client"),
    path("clients/<uuid:client_id>/change/", views.client_change, name="client_change"),
    path("clients/<uuid:client_id>/remove/", views.client_remove, name="client_remove"),
    path("clients/<uuid:client_id>/people/add/", views.person_add, name="client_person_add"),
    path(
        "clients/people/<uuid:person_id>/remove/", views.person_remove, name="client_person_remove"
    ),
    path("clients/<uuid:client_id>/projects/add/", views.project_add, name="project_add"),
    path("projects/", views.projects, name="projects"),
    path("projects/add/", views.project_begin, name="project_begin"),
    path("projects/<uuid:project_id>/", views.project, name="project"),
    path("projects/<uuid:project_id>/change/", views.project_change, name="project_change"),
    path("projects/<uuid:project_id>/undo/", views.undo, name="undo"),
    path("projects/<uuid:project_id>/redo/", views.redo, name="redo"),
    path("projects/<uuid:project_id>/history/", views.history, name="history"),
]
