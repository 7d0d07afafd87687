"""Keypads that were outside by their name say so now by their place."""

from django.db import migrations


def say_outside(apps, schema_editor):
    positions = apps.get_model("consult", "KeypadPosition").objects
    positions.filter(name__icontains="outside").update(is_outside=True)


class Migration(migrations.Migration):
    dependencies = [("consult", "0011_keypad_outside_its_room")]

    operations = [migrations.RunPython(say_outside, migrations.RunPython.noop)]
