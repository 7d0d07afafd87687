"""Paths of the ground: the business, its people, stored files, and the look of this device."""

from django.urls import path

from base import views

app_name = "base"
urlpatterns = [
    path("business/", views.business, name="business"),
    path("business/mark/", views.mark_change, name="mark_change"),
    path("business/people/", views.people, name="people"),
    path("business/people/add/", views.person_add, name="person_add"),
    path("business/people/<uuid:person_id>/", views.person, name="person"),
    path("business/people/<uuid:person_id>/link/", views.person_link, name="person_link"),
    path("business/people/<uuid:person_id>/leave/", views.person_leave, name="person_leave"),
    path("business/people/<uuid:person_id>/return/", views.person_return, name="person_return"),
    path("file/<uuid:file_id>/", views.stored_file, name="file"),
    path("mark/<str:sha256>/", views.mark, name="mark"),
    path("look/", views.look, name="look"),
]
