from django.apps import AppConfig


class ConsultConfig(AppConfig):
    name = "consult"

    def ready(self) -> None:
        from consult.letters import register_letters

        register_letters()
