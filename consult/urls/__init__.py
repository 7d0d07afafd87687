"""Paths of the consultation, by subject."""

from consult.urls import house, people

app_name = "consult"
urlpatterns = [*people.urlpatterns, *house.urlpatterns]
