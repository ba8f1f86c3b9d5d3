BEGIN TRANSACTION;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
);
INSERT INTO "_sqlite_migrations" VALUES(1,'sentinel','m001_first','2026-11-29 01:17:11.418201+00:00');
INSERT INTO "_sqlite_migrations" VALUES(2,'sentinel','m002_page','2026-11-29 01:17:11.419186+00:00');
CREATE TABLE alerts (
    id integer primary key, rule text not null, subject text not null, raised_at integer not null,
    since integer not null, urgency text not null, text text not null, value real, facts text not null,
    look_first text not null, over_at integer, over_why text not null, answered_at integer,
    answered_by text not null, finding text not null, note text not null, covered_by text not null,
    again integer not null, came_at integer
, lies_with text not null default '', lies_from integer) strict;
INSERT INTO "alerts" VALUES(1,'quarter-conductivity','quarter:217/LF',1777874400,1777874300,'now','Cow 217, left front: conductivity 1 % under its usual (5 against 5.1 mS/cm; 3.9 points of evidence)',3.9,'{"bound": 4.0, "cow": "217"}','["Look at the first milk of this quarter"]',NULL,'',NULL,'','','','[]',0,NULL,'',NULL);
INSERT INTO "alerts" VALUES(2,'late-cow','cow:31',1777878000,1777878000,'round','Cow 31 not milked for 15 h (bound 14 h)',15.0,'{"bound": 14.0}','["Is she in the yard?"]',NULL,'',NULL,'','','','[]',0,NULL,'',NULL);
CREATE TABLE answers (
    id integer primary key, alert integer not null, at integer not null, person text not null,
    finding text not null, note text not null, known_at integer
, until integer, hand_to text not null default '') strict;
CREATE TABLE box_log (
    box text not null, at integer not null, event text not null, text text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, box, event)
) strict, without rowid;
CREATE TABLE changes (
    id integer primary key, file_id integer not null references files (id), at integer not null,
    tab text not null, key text not null, old text not null, new text not null, correction integer not null
) strict;
CREATE TABLE chores (
    id integer primary key, chore text not null, place text not null, at integer not null, person text not null,
    note text not null, known_at integer
) strict;
CREATE TABLE cow_tests (
    cow text not null, at integer not null, cells_k_ml real, milk_kg real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, cow)
) strict, without rowid;
CREATE TABLE cows (
    cow text not null, "from" integer not null, "group" text, lactation integer, calved_on integer,
    milkings_allowed real, status text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key ("from", cow)
) strict, without rowid;
CREATE TABLE deliveries (
    notice integer not null references notices (id), channel text not null, outcome text not null,
    attempts integer not null, next_at integer, at integer, detail text not null, known_at integer,
    primary key (notice, channel)
) strict, without rowid;
CREATE TABLE feeds (
    feed text primary key, tables text not null, known_until integer, last_at integer
) strict;
CREATE TABLE files (
    id integer primary key, feed text not null, file text not null, at integer not null, sha256 text not null,
    rows_read integer not null, rows_set_aside integer not null, reason text not null, complete_until integer,
    newest integer, continues integer not null default 0, mended integer not null default 0
) strict;
CREATE TABLE log (
    seq integer primary key, at integer not null, kind text not null, alert integer, rule text not null,
    subject text not null, person text not null, body text not null, previous text not null, hash text not null
) strict;
INSERT INTO "log" VALUES(1,1777874400,'raised',1,'quarter-conductivity','quarter:217/LF','','{"since": 1777874300, "text": "Cow 217, left front: conductivity 1 % under its usual (5 against 5.1 mS/cm; 3.9 points of evidence)", "urgency": "round", "value": 4.4}','0000000000000000000000000000000000000000000000000000000000000000','9cca3c2c69b933415709b65e72dc942a5ea8e7c43eef0a6387b7444e4785e76b');
INSERT INTO "log" VALUES(2,1777878000,'raised',2,'late-cow','cow:31','','{"since": 1777878000, "text": "Cow 31 not milked for 15 h (bound 14 h)", "urgency": "round", "value": 14.0}','9cca3c2c69b933415709b65e72dc942a5ea8e7c43eef0a6387b7444e4785e76b','8e14daa98ca4855f46ded7eb16f2e5e78e68efd33263ddcdd425cae76fc28281');
INSERT INTO "log" VALUES(3,1777879800,'more-pressing',1,'quarter-conductivity','quarter:217/LF','','{"since": 1777874300, "text": "Cow 217, left front: conductivity 1 % under its usual (5 against 5.1 mS/cm; 3.9 points of evidence)", "urgency": "now", "value": 6.8}','8e14daa98ca4855f46ded7eb16f2e5e78e68efd33263ddcdd425cae76fc28281','9597c9813951c221c5a1d2e995b8d9eea2a99138815febf53770ba4e6daab7a8');
INSERT INTO "log" VALUES(4,1777880700,'answer',2,'late-cow','cow:31','Marit','{"answered_at": 1777880700, "finding": "", "note": ""}','9597c9813951c221c5a1d2e995b8d9eea2a99138815febf53770ba4e6daab7a8','ac8c727bd0bbb0a4d99f9d82002558de8b298e7697dc3efef2e18027e1b6ef06');
CREATE TABLE meta (key text primary key, value text not null) strict;
CREATE TABLE notices (
    id integer primary key, at integer not null, person text not null, kind text not null, title text not null,
    body text not null, urgency text not null, alerts text not null
) strict;
CREATE TABLE page_links (
    id integer primary key, person text not null, read_only integer not null, made_at integer not null,
    until integer not null, withdrawn_at integer, used_at integer
) strict;
CREATE TABLE seen (
    name text primary key, size integer not null, mtime_ns integer not null, inode integer not null,
    read_to integer not null, sha256 text not null
) strict;
CREATE TABLE sent (
    id text primary key, person text not null, at integer not null, received_at integer not null,
    what text not null, said text not null
) strict;
CREATE TABLE set_aside (
    id integer primary key, file_id integer not null references files (id), line integer not null,
    row text not null, reason text not null
) strict;
CREATE TABLE settings (at integer primary key, text text not null) strict;
CREATE TABLE shut_out (person text primary key, at integer not null) strict;
CREATE TABLE tank (
    tank text not null, at integer not null, temperature_C real, litres real, cells_k_ml real, bacteria_k_ml real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, tank)
) strict, without rowid;
CREATE TABLE ticks (at integer primary key, kind text not null) strict;
CREATE TABLE visits (
    cow text not null, start integer not null, box text, duration_s real, outcome text, milk_kg real,
    attach_s real, attempts integer,
    lf_conductivity_mS_cm real, lf_milk_kg real, lf_kicked_off integer, lf_x_mm real, lf_y_mm real, lf_z_mm real,
    rf_conductivity_mS_cm real, rf_milk_kg real, rf_kicked_off integer, rf_x_mm real, rf_y_mm real, rf_z_mm real,
    lr_conductivity_mS_cm real, lr_milk_kg real, lr_kicked_off integer, lr_x_mm real, lr_y_mm real, lr_z_mm real,
    rr_conductivity_mS_cm real, rr_milk_kg real, rr_kicked_off integer, rr_x_mm real, rr_y_mm real, rr_z_mm real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (start, cow)
) strict, without rowid;
CREATE UNIQUE INDEX "idx__sqlite_migrations_migration_set_name"
    ON "_sqlite_migrations" ("migration_set", "name");
CREATE INDEX files_by_name on files (file, at);
CREATE INDEX visits_by_cow on visits (cow, start);
CREATE INDEX changes_by_file on changes (file_id);
CREATE INDEX answers_new on answers (known_at) where known_at is null;
CREATE INDEX chores_new on chores (known_at) where known_at is null;
CREATE INDEX alerts_by_pair on alerts (rule, subject, id);
CREATE INDEX alerts_standing on alerts (over_at) where over_at is null;
CREATE INDEX log_by_time on log (at);
CREATE INDEX log_by_alert on log (alert);
CREATE TRIGGER log_is_never_changed before update on log begin select raise(abort, 'the log is append-only'); end;
CREATE TRIGGER log_is_never_cut before delete on log begin select raise(abort, 'the log is append-only'); end;
CREATE INDEX notices_by_time on notices (at);
CREATE INDEX deliveries_waiting on deliveries (next_at) where outcome = 'waiting';
CREATE INDEX deliveries_new on deliveries (known_at) where known_at is null;
COMMIT;
