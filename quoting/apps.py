from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate


def guard(*, using: str, **_signal: Any) -> None:
    """Make the guards again: a migration that rebuilds a table of SQLite takes its triggers away."""
    from quoting import guards

    guards.install(connections[using])


class QuotingConfig(AppConfig):
    name = "quoting"

    def ready(self) -> None:
        from consult import held
        from quoting import letters, wired

        post_migrate.connect(guard, sender=self)
        held.register(held.Source(issues=wired.issues, units=wired.units_of_issue))
        letters.register_all()
