BEGIN TRANSACTION;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
);
INSERT INTO "_sqlite_migrations" VALUES(1,'kitplan','m001_items_and_units','2026-11-26 05:20:30.512311+00:00');
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
INSERT INTO "items" VALUES(1,'cell','battery','long cell',3.00000000000000044408e-01,'{"energy_wh": 16.0}','["mass_kg"]','');
INSERT INTO "items" VALUES(2,'crate','case','plastic crate',3.0,'{"volume_l": 60.0, "most_load_kg": 20.0}','[]','lid is ''loose''');
INSERT INTO "items" VALUES(5,'wide','lens','8 mm =wide',0.2,'{"mount": "MFT", "focal_min_mm": 8.0,
        "focal_max_mm": 8.0, "stop_wide": 2.8, "closest_focus_m": 0.2, "image_circle_mm": 21.6}','[]','');
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
INSERT INTO "units" VALUES(1,'cell-1','cell','Ana','007','good',20.0,'crate-1','2026-05-01',NULL,0,0.8,'');
INSERT INTO "units" VALUES(2,'crate-1','crate','Ana Ö','','worn',NULL,NULL,NULL,NULL,0,1.0,'');
INSERT INTO "units" VALUES(7,'wide-1','wide','Ben','0042','in-repair',3.33333333333333314395e+02,NULL,NULL,'2027-01-31',1,1.0,'two
lines');
CREATE UNIQUE INDEX "idx__sqlite_migrations_migration_set_name"
    ON "_sqlite_migrations" ("migration_set", "name");
CREATE INDEX units_by_item ON units (item);
CREATE INDEX units_by_home_case ON units (home_case)
;
COMMIT;
