"""Triggers that refuse every change of what was issued or accepted, on both databases."""

from typing import Any

from django.db import migrations

from quoting import guards


def install(apps: Any, schema_editor: Any) -> None:
    guards.install(schema_editor.connection)


def remove(apps: Any, schema_editor: Any) -> None:
    guards.remove(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("quoting", "0002_selling_and_questions")]
    operations = [migrations.RunPython(install, remove)]
