"""Guards in the database itself: what was issued, accepted and paid is only ever inserted.

Triggers refuse every UPDATE and DELETE of these tables, whoever asks. They are made by a migration
and made again after each one, since SQLite loses the triggers of a table that it has to rebuild.
"""

from typing import Any

TABLES = (
    "quoting_revision",
    "quoting_revisionevent",
    "quoting_revisionfile",
    "quoting_acceptance",
    "quoting_quoteapproval",
    "quoting_payment",
    "quoting_receipt",
    "quoting_feepayment",
    "quoting_feereceipt",
    "quoting_packrelease",
)
SENTENCE = "issued content is never changed"

_FUNCTION = f"""
CREATE OR REPLACE FUNCTION quoting_refuse_change() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION '{SENTENCE}: %', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
END
$$ LANGUAGE plpgsql
"""


def _name(table: str, act: str) -> str:
    return f"{table}_refuses_{act.lower()}"


def install(connection: Any) -> None:
    """Make the guards that are missing. Safe to repeat."""
    present = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_FUNCTION)
        for table in (each for each in TABLES if each in present):
            for act in ("UPDATE", "DELETE"):
                for statement in _statements(connection.vendor, table, act):
                    cursor.execute(statement)


def remove(connection: Any) -> None:
    """Take the guards away: for going back before them, and for emptying a database of tests."""
    present = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for table in (each for each in TABLES if each in present):
            for act in ("UPDATE", "DELETE"):
                on = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {_name(table, act)}{on}")


def missing(connection: Any) -> list[str]:
    """Names of guards that are not there."""
    catalogue = {
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'",
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    }
    if connection.vendor not in catalogue:
        return []
    with connection.cursor() as cursor:
        cursor.execute(catalogue[connection.vendor])
        found = {row[0] for row in cursor.fetchall()}
    wanted = [_name(table, act) for table in TABLES for act in ("UPDATE", "DELETE")]
    return [name for name in wanted if name not in found]


def _statements(vendor: str, table: str, act: str) -> list[str]:
    name = _name(table, act)
    if vendor == "postgresql":
        return [
            f"DROP TRIGGER IF EXISTS {name} ON {table}",
            f"CREATE TRIGGER {name} BEFORE {act} ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION quoting_refuse_change()",
        ]
    if vendor == "sqlite":
        return [
            f"CREATE TRIGGER IF NOT EXISTS {name} BEFORE {act} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{SENTENCE}: {table}'); END"
        ]
    return []
