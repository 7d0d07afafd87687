"""The index of the search: FTS5 with trigrams on SQLite, pg_trgm on PostgreSQL.

Where neither is to be had the search reads every row instead: slower, same answers.
"""

from django.db import DatabaseError, migrations, transaction

FORWARD = {
    "sqlite": [
        "CREATE VIRTUAL TABLE catalogue_search_index USING fts5("
        "text, content='catalogue_searchtext', content_rowid='id', tokenize='trigram')",
        "CREATE TRIGGER catalogue_search_added AFTER INSERT ON catalogue_searchtext BEGIN "
        "INSERT INTO catalogue_search_index(rowid, text) VALUES (new.id, new.text); END",
        "CREATE TRIGGER catalogue_search_removed AFTER DELETE ON catalogue_searchtext BEGIN "
        "INSERT INTO catalogue_search_index(catalogue_search_index, rowid, text) "
        "VALUES ('delete', old.id, old.text); END",
        "CREATE TRIGGER catalogue_search_changed AFTER UPDATE ON catalogue_searchtext BEGIN "
        "INSERT INTO catalogue_search_index(catalogue_search_index, rowid, text) "
        "VALUES ('delete', old.id, old.text); "
        "INSERT INTO catalogue_search_index(rowid, text) VALUES (new.id, new.text); END",
        "INSERT INTO catalogue_search_index(catalogue_search_index) VALUES ('rebuild')",
    ],
    "postgresql": [
        "CREATE EXTENSION IF NOT EXISTS pg_trgm",
        "CREATE INDEX catalogue_search_index ON catalogue_searchtext USING gin (text gin_trgm_ops)",
    ],
}
BACK = {
    "sqlite": [
        "DROP TRIGGER IF EXISTS catalogue_search_added",
        "DROP TRIGGER IF EXISTS catalogue_search_removed",
        "DROP TRIGGER IF EXISTS catalogue_search_changed",
        "DROP TABLE IF EXISTS catalogue_search_index",
    ],
    "postgresql": ["DROP INDEX IF EXISTS catalogue_search_index"],
}


def run(statements, editor):
    try:
        with transaction.atomic(using=editor.connection.alias), editor.connection.cursor() as cursor:
            for statement in statements.get(editor.connection.vendor, []):
                cursor.execute(statement)
    except DatabaseError as error:
        print(f"\n  The catalogue's search works without its index, more slowly: {error}")


def make(apps, editor):
    run(FORWARD, editor)


def drop(apps, editor):
    run(BACK, editor)


class Migration(migrations.Migration):

    dependencies = [("catalogue", "0002_search")]

    operations = [migrations.RunPython(make, drop)]
