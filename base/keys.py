"""Rows with keys of our own, and rows that know how often they were changed."""

import uuid

from django.db import models


class OwnKey(models.Model):
    """A row whose key is made here, before the database sees it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


class Versioned(OwnKey):
    """A row that counts its changes, so that a later writer sees that an earlier one was there."""

    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True

    def lock_first(self) -> models.Model | None:
        """The row that is locked before this one, so that all writers queue in one order."""
        return None
