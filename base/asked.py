"""Rows by key, asked for by a query that is put together once; and rows put in the same way.

Django makes the SQL of a query anew each time. For a wide row with all it points at that takes longer
than the database needs to answer, and every press at the table asks for some. Here the SQL is kept, by
kind of database, and Django makes instances of its answer as ever.
"""

import copy
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.models.sql import UpdateQuery
from django.db.transaction import TransactionManagementError

_STAND_IN = uuid.UUID("00000000-0000-4000-8000-00000000a5ed")


@dataclass(frozen=True, slots=True)
class _Ready:
    rows: models.QuerySet[Any]
    compiler: Any
    sql: str
    params: tuple[Any, ...]
    converters: Any


class Asked[M: models.Model]:
    """The rows of a queryset that depends on one key, a UUID, and on nothing else.

    `rows` makes the queryset of a key. It is called once for each kind of database. To ask for rows
    under lock outside a transaction raises TransactionManagementError, as Django does.
    """

    def __init__(self, rows: Callable[[uuid.UUID], models.QuerySet[M]]) -> None:
        self._rows = rows
        self._ready: dict[str, _Ready] = {}

    def all(self, key: uuid.UUID) -> list[M]:
        connection = connections[DEFAULT_DB_ALIAS]
        ready = self._ready.get(connection.vendor)
        if ready is None:
            made = _put_together(self._rows(_STAND_IN), connection)
            ready = self._ready[connection.vendor] = made
        if ready.rows.query.select_for_update and not connection.in_atomic_block:
            raise TransactionManagementError("rows are locked inside a transaction only")
        meant, stand_in = _in_sql(key, connection), _in_sql(_STAND_IN, connection)
        params = tuple(meant if each == stand_in else each for each in ready.params)
        compiler = copy.copy(ready.compiler)
        compiler.connection = connection  # of this thread
        compiler.as_sql = lambda *_given, **_named: (ready.sql, params)
        compiler.get_converters = lambda _columns: ready.converters
        rows = ready.rows.all()
        rows.query.get_compiler = lambda *_given, **_named: compiler
        return list(rows)

    def first(self, key: uuid.UUID) -> M | None:
        return next(iter(self.all(key)), None)


def _put_together(rows: models.QuerySet[Any], connection: Any) -> _Ready:
    compiler = rows.query.get_compiler(connection=connection)
    sql, params = compiler.as_sql()
    if _in_sql(_STAND_IN, connection) not in params:
        raise ValueError("the rows do not depend on the key")
    converters = compiler.get_converters([column for column, *_more in compiler.select])
    return _Ready(
        rows=rows, compiler=compiler, sql=sql, params=tuple(params), converters=converters
    )


def _in_sql(key: uuid.UUID, connection: Any) -> Any:
    return models.UUIDField().get_db_prep_value(key, connection)


@cache
def by_key(model: Any, *related: str) -> Asked[Any]:
    """A row of a model by its key, with what it points at."""
    rows = model.objects.select_related(*related) if related else model.objects.all()
    return Asked(lambda key: rows.filter(pk=key).order_by())


@cache
def locked_by_key(model: Any) -> Asked[Any]:
    """A row of a model by its key, locked until the transaction ends."""
    return Asked(lambda key: model._base_manager.select_for_update().filter(pk=key).order_by())


def put(row: models.Model, *, unless: str = "") -> bool:
    """Insert a new row, with its key where that is made here, by SQL that is kept.

    `unless` names a unique column: where its value is there already, nothing is put and False is
    given. Signals of saving are not sent.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    sql, fields = _inserting(type(row), unless, connection.vendor)
    values = [field.get_db_prep_save(field.pre_save(row, True), connection) for field in fields]
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        is_put = bool(cursor.rowcount)
    row._state.adding, row._state.db = False, connection.alias
    return is_put


def changed[M: models.Model](rows: models.QuerySet[M], **values: Any) -> M | None:
    """Change the one row of a queryset, and give it as it then is, in one statement that locks it.

    None where there is no such row. Values may be expressions, such as a column and one more.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    query = rows.query.chain(UpdateQuery)
    query.add_update_values(values)
    sql, params = query.get_compiler(connection=connection).as_sql()
    return next(iter(rows.model._base_manager.raw(f"{sql} RETURNING *", params)), None)


@cache
def _inserting(model: Any, unless: str, _vendor: str) -> tuple[str, tuple[Any, ...]]:
    quote = connections[DEFAULT_DB_ALIAS].ops.quote_name
    fields = tuple(f for f in model._meta.concrete_fields if not isinstance(f, models.AutoField))
    columns = ", ".join(quote(field.column) for field in fields)
    marks = ", ".join(["%s"] * len(fields))
    sql = f"INSERT INTO {quote(model._meta.db_table)} ({columns}) VALUES ({marks})"  # noqa: S608
    return (sql + f" ON CONFLICT ({quote(unless)}) DO NOTHING" if unless else sql), fields
