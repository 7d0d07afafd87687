"""Deeds: how anything is changed.

A deed is one function of an app's services: keyword-only and typed. The decorator opens the
transaction, records the key that came with the request, locks the row that is to change, checks
that it is still as the person saw it, and keeps the answer for a repeat. Deeds nest: an inner one
joins the transaction of the outer, and only the outer one's key counts.
"""

import functools
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from typing import Any, TypeVar

from django.apps import apps
from django.db import models, transaction
from django.utils.translation import gettext as _

from base.asked import locked_by_key, put
from base.keys import Versioned
from base.models import Deed, Person

R = TypeVar("R")
_running: ContextVar[str | None] = ContextVar("running_deed", default=None)


class Refusal(Exception):
    """A deed was refused. The text is a sentence for the person who tried."""


class Stale(Refusal):
    """Somebody changed the row after it was shown. Carries the row as it now is."""

    def __init__(self, row: Versioned) -> None:
        super().__init__(
            _("Somebody changed this after you opened it. Both values are shown: pick one.")
        )
        self.row = row


class Gone(Refusal):
    """The row is no longer there."""

    def __init__(self) -> None:
        super().__init__(_("This was removed meanwhile. Nothing was changed."))


def deed(
    *,
    locks: str | None = None,
    makes: str | None = None,
    removes: bool = False,
    holds: Callable[[Any], Any] | None = None,
) -> Callable[[Callable[..., R]], Callable[..., R]]:
    """Make a function a deed.

    Parameters
    ----------
    locks:
        Name of the argument whose row is locked and read afresh. The caller may then pass
        ``seen``, the version the person saw; another version raises `Stale`.
    makes:
        Label of the model of which the function makes and answers with a row. It is given that
        row's key as ``new``, so that the answer is known before.
    removes:
        Whether the locked row goes, so that nothing is answered with.
    holds:
        How the row is locked that comes before the one to change, where that does more than lock
        it. It gives that row as it then is, None where it is gone.

    The wrapped function also takes ``key``, a UUID of the request: a repeat returns the first
    answer and does nothing. Answers that can be kept: None, a model row, or a JSON value.
    """

    def decorate(function: Callable[..., R]) -> Callable[..., R]:
        name = f"{function.__module__}.{function.__qualname__}"

        @functools.wraps(function)
        def wrapper(*, key: uuid.UUID | None = None, seen: int | None = None, **given: Any) -> R:
            inner = _running.get() is not None
            with transaction.atomic():
                likely = _kept(given[locks]) if locks and not removes else None
                if makes:
                    given["new"] = uuid.uuid4()
                    likely = {"model": makes, "pk": str(given["new"])}
                if key is not None and not inner:
                    record, is_repeat = _record(
                        key=key, name=name, by=given.get("by"), answer=likely
                    )
                    if is_repeat:
                        return _answer(record)  # type: ignore[no-any-return]
                if locks:
                    given[locks] = lock(given[locks], seen=seen, holds=holds)
                token = _running.set(name)
                try:
                    answer = function(**given)
                finally:
                    _running.reset(token)
                # Most deeds answer with the row they locked or made, which is kept already.
                if key is not None and not inner and _kept(answer) != likely:
                    Deed.objects.filter(key=key).update(answer=_kept(answer))
                return answer

        return wrapper

    return decorate


def lock(
    row: Versioned, *, seen: int | None = None, holds: Callable[[Any], Any] | None = None
) -> Any:
    """The row read afresh and locked until the transaction ends, after the row it hangs from."""
    held: Any = None
    if first := row.lock_first():
        held = (holds or _locked)(first)
    fresh = _locked(row)
    if fresh is None:
        raise Gone
    _keep_known(fresh, row)
    if held is not None:
        _point_at(fresh, held)
    if seen is not None and fresh.version != seen:
        raise Stale(fresh)
    return fresh


def _locked(row: models.Model) -> Any:
    return locked_by_key(type(row)).first(row.pk)


def _keep_known(fresh: Any, given: Any) -> None:
    """Let the fresh row know what the given one points at, where it still points there."""
    for field in fresh._meta.concrete_fields:
        known = field.is_relation and field.is_cached(given)
        if known and getattr(fresh, field.attname) == getattr(given, field.attname):
            field.set_cached_value(fresh, field.get_cached_value(given))


def _point_at(row: Any, held: models.Model) -> None:
    """Let the row know the instance that was locked before it, so that it is not read again."""
    for field in row._meta.concrete_fields:
        if field.related_model is type(held) and getattr(row, field.attname) == held.pk:
            field.set_cached_value(row, held)


def _record(*, key: uuid.UUID, name: str, by: Person | None, answer: object) -> tuple[Deed, bool]:
    """The record of this key, and whether it was there already. Waits for one still under way."""
    made = Deed(key=key, name=name, person=by, answer=answer)
    if put(made, unless="key"):
        return made, False
    record = Deed.objects.select_for_update().get(key=key)
    if record.name != name or record.person_id != (by.pk if by else None):
        raise Refusal(_("This request was used for something else. Load the page again."))
    return record, True


def _kept(answer: object) -> object:
    if isinstance(answer, models.Model):
        return {"model": answer._meta.label_lower, "pk": str(answer.pk)}
    return answer


def _answer(record: Deed) -> Any:
    kept = record.answer
    if isinstance(kept, dict) and set(kept) == {"model", "pk"}:
        return apps.get_model(kept["model"])._base_manager.filter(pk=kept["pk"]).first()
    return kept
