from django.apps import AppConfig


class QuotingConfig(AppConfig):
    name = "quoting"
