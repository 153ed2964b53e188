"""Every step from an empty file to today's tables. A released one never changes.

Tables hold the present state. The ledger holds every change of it, written by triggers, so that no
program and no slip can change a row without an entry; the triggers of a table are made anew by the
step that changes its columns. What an entry says of a row is the row itself, column by column.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlite_utils import Database

_M001 = """
    CREATE TABLE items (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL CHECK (kind IN ('body', 'lens', 'adapter', 'head', 'support', 'battery',
            'charger', 'media', 'sound', 'accessory', 'case')),
        name TEXT NOT NULL CHECK (name <> ''),
        mass_kg REAL NOT NULL CHECK (mass_kg >= 0),
        facts TEXT NOT NULL CHECK (json_valid(facts)),
        measured TEXT NOT NULL CHECK (json_valid(measured)),
        note TEXT NOT NULL
    );
    CREATE TABLE units (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        item TEXT NOT NULL REFERENCES items (id) DEFERRABLE INITIALLY DEFERRED,
        owner TEXT NOT NULL CHECK (owner <> ''),
        serial TEXT NOT NULL,
        condition TEXT NOT NULL
            CHECK (condition IN ('good', 'worn', 'in-repair', 'missing', 'retired')),
        value REAL CHECK (value >= 0),
        home_case TEXT REFERENCES units (id) DEFERRABLE INITIALLY DEFERRED,
        available_from TEXT,
        available_until TEXT CHECK (available_until >= available_from),
        owner_only INTEGER NOT NULL CHECK (owner_only IN (0, 1)),
        health REAL NOT NULL CHECK (health > 0 AND health <= 1),
        note TEXT NOT NULL
    );
    CREATE INDEX units_by_item ON units (item);
    CREATE INDEX units_by_home_case ON units (home_case)
"""

_M003 = """
    ALTER TABLE units ADD COLUMN firmware TEXT NOT NULL DEFAULT '';
    ALTER TABLE units ADD COLUMN fault TEXT NOT NULL DEFAULT '';
    ALTER TABLE units ADD COLUMN service_due TEXT;
    ALTER TABLE units ADD COLUMN shelf TEXT NOT NULL DEFAULT '';
    ALTER TABLE units ADD COLUMN photos TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(photos));
    ALTER TABLE units ADD COLUMN away TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(away));
    CREATE TABLE loans (
        place INTEGER PRIMARY KEY,
        unit TEXT NOT NULL REFERENCES units (id),
        person TEXT NOT NULL CHECK (person <> ''),
        list TEXT NOT NULL DEFAULT '',
        out_at TEXT NOT NULL,
        due TEXT,
        condition_out TEXT NOT NULL,
        back_at TEXT CHECK (back_at >= out_at),
        condition_back TEXT,
        note TEXT NOT NULL DEFAULT '',
        CHECK ((back_at IS NULL) = (condition_back IS NULL))
    );
    CREATE UNIQUE INDEX loans_one_hand ON loans (unit) WHERE back_at IS NULL;
    CREATE INDEX loans_by_unit ON loans (unit);
    CREATE TABLE bookings (
        place INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE,
        title TEXT NOT NULL CHECK (title <> ''),
        begins TEXT NOT NULL,
        ends TEXT NOT NULL CHECK (ends >= begins),
        plan TEXT NOT NULL DEFAULT '',
        note TEXT NOT NULL DEFAULT ''
    );
    CREATE TABLE booked (
        place INTEGER PRIMARY KEY,
        booking TEXT NOT NULL REFERENCES bookings (id),
        unit TEXT NOT NULL REFERENCES units (id),
        begins TEXT NOT NULL,
        ends TEXT NOT NULL CHECK (ends >= begins),
        UNIQUE (booking, unit, begins)
    );
    CREATE INDEX booked_by_unit ON booked (unit, begins);
    CREATE TABLE repairs (
        place INTEGER PRIMARY KEY,
        unit TEXT NOT NULL REFERENCES units (id),
        fault TEXT NOT NULL CHECK (fault <> ''),
        begins TEXT NOT NULL,
        expected TEXT CHECK (expected >= begins),
        ended TEXT CHECK (ended >= begins),
        cost REAL CHECK (cost >= 0),
        note TEXT NOT NULL DEFAULT ''
    );
    CREATE UNIQUE INDEX repairs_one_open ON repairs (unit) WHERE ended IS NULL;
    CREATE TABLE runs (
        place INTEGER PRIMARY KEY,
        unit TEXT NOT NULL REFERENCES units (id),
        day TEXT NOT NULL,
        minutes REAL NOT NULL CHECK (minutes > 0),
        is_to_flat INTEGER NOT NULL CHECK (is_to_flat IN (0, 1)),
        body TEXT NOT NULL DEFAULT '',
        note TEXT NOT NULL DEFAULT ''
    );
    CREATE INDEX runs_by_unit ON runs (unit, day);
    CREATE TABLE ledger (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        change INTEGER NOT NULL,
        at TEXT NOT NULL,
        who TEXT NOT NULL,
        what TEXT NOT NULL,
        part TEXT NOT NULL,
        row INTEGER NOT NULL,
        id TEXT NOT NULL,
        before TEXT CHECK (before IS NULL OR json_valid(before)),
        after TEXT CHECK (after IS NULL OR json_valid(after)),
        CHECK (before IS NOT NULL OR after IS NOT NULL)
    );
    CREATE INDEX ledger_by_id ON ledger (id);
    CREATE INDEX ledger_by_change ON ledger (change);
    CREATE INDEX ledger_by_row ON ledger (part, row);
    CREATE TABLE doing (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        change INTEGER,
        at TEXT,
        who TEXT,
        what TEXT
    );
    INSERT INTO doing (one) VALUES (1);
    CREATE VIRTUAL TABLE words USING fts5 (text, tokenize = 'trigram')
"""

_NEVER = """
    CREATE TRIGGER ledger_is_never_{verb} BEFORE {command} ON ledger
    BEGIN SELECT RAISE(ABORT, 'the ledger is never edited'); END
"""
# REPLACE takes a row out without asking the trigger on deleting.
_NOT_INSTEAD = """
    CREATE TRIGGER ledger_is_never_replaced BEFORE INSERT ON ledger
    WHEN EXISTS (SELECT 1 FROM ledger WHERE number = NEW.number)
    BEGIN SELECT RAISE(ABORT, 'the ledger is never edited'); END
"""
_TWICE = """
    CREATE TRIGGER booked_never_twice_{verb} BEFORE {command} ON booked
    WHEN EXISTS (
        SELECT 1 FROM booked WHERE unit = NEW.unit AND booking <> NEW.booking
            AND begins <= NEW.ends AND ends >= NEW.begins
    )
    BEGIN SELECT RAISE(ABORT, 'the unit is booked already'); END
"""
_ENTRY = """
    CREATE TRIGGER {table}_{verb}_entry AFTER {command} ON {table}
    BEGIN
        INSERT INTO ledger (change, at, who, what, part, row, id, before, after)
        SELECT coalesce(change, (SELECT coalesce(max(number), 0) + 1 FROM ledger)),
            coalesce(at, strftime('%Y-%m-%dT%H:%M:%SZ', 'now')), coalesce(who, 'somebody else'),
            coalesce(what, '{verb}'), '{table}', {side}.place, {side}.{name}, {before}, {after}
        FROM doing;
    END
"""
# Rows of items and units are found by one number: even for items, odd for units. Of an item all
# facts that are text can be found: mounts, plate systems, modes; not the names of facts in lists.
_FACT_WORDS = (
    "coalesce((SELECT group_concat(atom, ' ') FROM json_tree({row}.facts) WHERE type = 'text' "
    "AND path NOT IN ('$.looked_up', '$.to_ask')), '')"
)
_ITEM_WORDS = (
    "{row}.id || ' ' || {row}.name || ' ' || {row}.kind || ' ' || {row}.note || ' ' || "
    + _FACT_WORDS
)
_NEW_ITEM_WORDS = _ITEM_WORDS.format(row="NEW")
_UNIT_WORDS = (
    "units.id || ' ' || owner || ' ' || serial || ' ' || coalesce(home_case, '') || ' ' || "
    "condition || ' ' || shelf || ' ' || firmware || ' ' || fault || ' ' || units.note || ' ' || "
    + _ITEM_WORDS.format(row="items")
)
_WORDS = (
    f"""
    CREATE TRIGGER items_words_new AFTER INSERT ON items
    BEGIN INSERT INTO words (rowid, text) VALUES (2 * NEW.place, {_NEW_ITEM_WORDS}); END
    """,
    f"""
    CREATE TRIGGER items_words_changed AFTER UPDATE OF id, name, kind, note, facts ON items
    BEGIN
        UPDATE words SET text = {_NEW_ITEM_WORDS} WHERE rowid = 2 * NEW.place;
        UPDATE words SET text = (SELECT {_UNIT_WORDS} FROM units JOIN items ON items.id = units.item
            WHERE 2 * units.place + 1 = words.rowid)
        WHERE rowid IN (SELECT 2 * place + 1 FROM units WHERE item = NEW.id);
    END
    """,
    f"""
    CREATE TRIGGER units_words_new AFTER INSERT ON units
    BEGIN
        INSERT INTO words (rowid, text) SELECT 2 * units.place + 1, {_UNIT_WORDS}
        FROM units JOIN items ON items.id = units.item WHERE units.place = NEW.place;
    END
    """,
    f"""
    CREATE TRIGGER units_words_changed AFTER UPDATE ON units
    BEGIN
        DELETE FROM words WHERE rowid = 2 * NEW.place + 1;
        INSERT INTO words (rowid, text) SELECT 2 * units.place + 1, {_UNIT_WORDS}
        FROM units JOIN items ON items.id = units.item WHERE units.place = NEW.place;
    END
    """,
    """
    CREATE TRIGGER items_words_gone AFTER DELETE ON items
    BEGIN DELETE FROM words WHERE rowid = 2 * OLD.place; END
    """,
    """
    CREATE TRIGGER units_words_gone AFTER DELETE ON units
    BEGIN DELETE FROM words WHERE rowid = 2 * OLD.place + 1; END
    """,
)
_VERBS = {"added": "INSERT", "changed": "UPDATE", "taken": "DELETE"}
PARTS = {
    "items": "id",
    "units": "id",
    "loans": "unit",
    "bookings": "id",
    "booked": "unit",
    "repairs": "unit",
    "runs": "unit",
}
"""Tables that the ledger follows, each with the column that says what a row is about."""


def m001_items_and_units(db: Database) -> None:
    """The first tables. Foreign keys wait for the end of the transaction, so that the rules of
    `checks`, whose words are better, come first."""
    for statement in _M001.split(";"):
        db.execute(statement)


def m002_hire(db: Database) -> None:
    """What a unit costs to hire."""
    db.execute("ALTER TABLE units ADD COLUMN hire REAL CHECK (hire >= 0)")


def m003_ledger(db: Database) -> None:
    """Loans, bookings, repairs and runs, words to search, and the ledger of every change.

    What is in the inventory already becomes the first entries.
    """
    for statement in _M003.split(";"):
        db.execute(statement)
    for verb, command in (("changed", "UPDATE"), ("erased", "DELETE")):
        db.execute(_NEVER.format(verb=verb, command=command))
    db.execute(_NOT_INSTEAD)
    for verb, command in (("new", "INSERT"), ("changed", "UPDATE")):
        db.execute(_TWICE.format(verb=verb, command=command))
    for table in ("items", "units"):
        row = _as_json(db, table, table)
        db.execute(
            "INSERT INTO ledger (change, at, who, what, part, row, id, after) "
            f"SELECT 1, strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), 'kitplan', 'taken over', '{table}', "
            f"place, id, {row} FROM {table} ORDER BY place"
        )
    follow(db)
    for trigger in _WORDS:
        db.execute(trigger)
    db.execute(
        "INSERT INTO words (rowid, text) "
        f"SELECT 2 * place, {_ITEM_WORDS.format(row='items')} FROM items"
    )
    db.execute(
        f"INSERT INTO words (rowid, text) SELECT 2 * units.place + 1, {_UNIT_WORDS} "
        "FROM units JOIN items ON items.id = units.item"
    )


def follow(db: Database) -> None:
    """Make the triggers that write an entry for each change of a row, anew where they are there."""
    unfollow(db)
    for table, name in PARTS.items():
        old, new = _as_json(db, table, "OLD"), _as_json(db, table, "NEW")
        for (verb, command), side, before, after in zip(
            _VERBS.items(),
            ("NEW", "NEW", "OLD"),
            ("NULL", old, old),
            (new, new, "NULL"),
            strict=True,
        ):
            sides = {"side": side, "before": before, "after": after}
            db.execute(_ENTRY.format(table=table, verb=verb, command=command, name=name, **sides))


def unfollow(db: Database) -> None:
    """Take these triggers away; only to write a state that the ledger knows already."""
    for table in PARTS:
        for verb in _VERBS:
            db.execute(f"DROP TRIGGER IF EXISTS {table}_{verb}_entry")


def _as_json(db: Database, table: str, side: str) -> str:
    """Return the SQL for a row as a JSON object with every column of the table."""
    columns = [(row[1], row[2]) for row in db.execute(f"PRAGMA table_info({table})").fetchall()]
    pairs = (f"'{name}', {_exactly(f'{side}.{name}', kind)}" for name, kind in columns)
    return f"json_object({', '.join(pairs)})"


def _exactly(column: str, kind: str) -> str:
    """Return the SQL for a value in JSON. SQLite itself writes numbers with 15 digits there, which
    makes another number of most; with 17 each is read back as it was."""
    if kind != "REAL":
        return column
    return f"json(iif({column} IS NULL, 'null', printf('%!.17g', {column})))"


STEPS = (m001_items_and_units, m002_hire, m003_ledger)
"""Every migration in order; new ones are added at the end."""
