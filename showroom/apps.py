from django.apps import AppConfig


class ShowroomConfig(AppConfig):
    name = "showroom"
