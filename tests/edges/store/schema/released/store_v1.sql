-- The store of a lived day as sentinel 0.1.0 wrote it; schema 1.
BEGIN TRANSACTION;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
);
INSERT INTO "_sqlite_migrations" VALUES(1,'sentinel','m001_first','2026-11-25 08:47:05.549021+00:00');
CREATE TABLE alerts (
    id integer primary key, rule text not null, subject text not null, raised_at integer not null,
    since integer not null, urgency text not null, text text not null, value real, facts text not null,
    look_first text not null, over_at integer, over_why text not null, answered_at integer,
    answered_by text not null, finding text not null, note text not null, covered_by text not null,
    again integer not null, came_at integer
) strict;
INSERT INTO "alerts" VALUES(1,'feed-quiet','feed:boxlog',1717378201,1717378200,'now','Feed boxlog: no new rows for 5 h 31 min',331.0,'{"bound": 90.0, "feed": "boxlog", "reading_at": 1717372800, "subject": "feed:boxlog", "value": 331.0}','[]',1717392720,'the condition ended',NULL,'','','','[]',0,NULL);
INSERT INTO "alerts" VALUES(2,'feed-quiet','feed:herd',1717378201,1717378200,'now','Feed herd: no new rows for 5 h 30 min',330.0,'{"bound": 90.0, "feed": "herd", "reading_at": 1717372800, "subject": "feed:herd", "value": 330.0}','[]',1717392660,'the condition ended',1717393140,'Marit','optics dirty','wiped','[]',0,NULL);
INSERT INTO "alerts" VALUES(3,'feed-quiet','feed:milkings',1717378201,1717378200,'now','Feed milkings: no new rows for 90 min',9.00166666666666657158e+01,'{"bound": 90.0, "feed": "milkings", "reading_at": 1717372800, "subject": "feed:milkings", "value": 90.01666666666667}','[]',1717392600,'the condition ended',NULL,'','','','[]',0,NULL);
INSERT INTO "alerts" VALUES(4,'box-failures','box:1',1717392600,1717392000,'now','Box 1: 3 failures of 3',3.0,'{"bound": 2.0, "box": "1", "failed": 3, "reading_at": 1717392000, "subject": "box:1", "value": 3.0, "visits": 3}','[]',1717394400,'the condition ended',NULL,'','','','[]',0,NULL);
CREATE TABLE answers (
    id integer primary key, alert integer not null, at integer not null, person text not null,
    finding text not null, note text not null, known_at integer
) strict;
INSERT INTO "answers" VALUES(1,2,1717393140,'Marit','optics dirty','wiped',1717393200);
CREATE TABLE box_log (
    box text not null, at integer not null, event text not null, text text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, box, event)
) strict, without rowid;
INSERT INTO "box_log" VALUES('1',1717389000,'filter_changed','new',3,NULL,0);
CREATE TABLE changes (
    id integer primary key, file_id integer not null references files (id), at integer not null,
    tab text not null, key text not null, old text not null, new text not null, correction integer not null
) strict;
INSERT INTO "changes" VALUES(1,4,1717394400,'visits','["8", 1717391400]','{"outcome": "failed", "modified": 1717391460}','{"outcome": "milked", "modified": 1717393800}',1);
CREATE TABLE chores (
    id integer primary key, chore text not null, place text not null, at integer not null, person text not null,
    note text not null, known_at integer
) strict;
INSERT INTO "chores" VALUES(1,'wire','east',1717392000,'Marit','moved',1717393200);
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
INSERT INTO "cows" VALUES('7',1717387200,NULL,NULL,NULL,3.0,'milking',2,NULL,0);
INSERT INTO "cows" VALUES('8',1717387200,NULL,NULL,NULL,NULL,'dry',2,NULL,0);
CREATE TABLE deliveries (
    notice integer not null references notices (id), channel text not null, outcome text not null,
    attempts integer not null, next_at integer, at integer, detail text not null, known_at integer,
    primary key (notice, channel)
) strict, without rowid;
INSERT INTO "deliveries" VALUES(1,'marit-phone','delivered',1,NULL,1717392660,'',NULL);
INSERT INTO "deliveries" VALUES(2,'marit-phone','waiting',0,1717378201,NULL,'',NULL);
INSERT INTO "deliveries" VALUES(3,'marit-phone','waiting',0,1717378201,NULL,'',NULL);
INSERT INTO "deliveries" VALUES(4,'marit-phone','waiting',0,1717392600,NULL,'',NULL);
INSERT INTO "deliveries" VALUES(5,'marit-phone','waiting',0,1717392600,NULL,'',NULL);
INSERT INTO "deliveries" VALUES(6,'marit-phone','waiting',0,1717392660,NULL,'',NULL);
INSERT INTO "deliveries" VALUES(7,'marit-phone','waiting',0,1717392720,NULL,'',NULL);
INSERT INTO "deliveries" VALUES(8,'marit-phone','waiting',0,1717394400,NULL,'',NULL);
CREATE TABLE feeds (
    feed text primary key, tables text not null, known_until integer, last_at integer
) strict;
INSERT INTO "feeds" VALUES('herd','["cows"]',1717392660,1717392660);
INSERT INTO "feeds" VALUES('boxlog','["box_log"]',1717389000,1717392720);
INSERT INTO "feeds" VALUES('milkings','["visits"]',1717392300,1717394400);
CREATE TABLE files (
    id integer primary key, feed text not null, file text not null, at integer not null, sha256 text not null,
    rows_read integer not null, rows_set_aside integer not null, reason text not null, complete_until integer,
    newest integer, continues integer not null default 0, mended integer not null default 0
) strict;
INSERT INTO "files" VALUES(1,'milkings','milkings_1.csv',1717392600,'',4,1,'x is no cow',NULL,1717392300,0,0);
INSERT INTO "files" VALUES(2,'herd','herd_1.csv',1717392660,'',2,0,'',1717392660,1717387200,0,0);
INSERT INTO "files" VALUES(3,'boxlog','boxlog_1.csv',1717392720,'',1,0,'',NULL,1717389000,0,0);
INSERT INTO "files" VALUES(4,'milkings','milkings_2.csv',1717394400,'',1,0,'',NULL,1717391400,0,0);
CREATE TABLE log (
    seq integer primary key, at integer not null, kind text not null, alert integer, rule text not null,
    subject text not null, person text not null, body text not null, previous text not null, hash text not null
) strict;
INSERT INTO "log" VALUES(1,1717372800,'start',NULL,'','','','{}','0000000000000000000000000000000000000000000000000000000000000000','f7590b7c60bc2e4f5f87133c797fdea9c3b66b67e223c044e77a7090e65d0077');
INSERT INTO "log" VALUES(2,1717378201,'raised',1,'feed-quiet','feed:boxlog','','{"since": 1717378200, "text": "Feed boxlog: no new rows for 90 min", "urgency": "now", "value": 90.01666666666667}','f7590b7c60bc2e4f5f87133c797fdea9c3b66b67e223c044e77a7090e65d0077','a62a090b6d82845cdc31cf5bf22c95e71f58c962b5be84958c185da992356fa0');
INSERT INTO "log" VALUES(3,1717378201,'raised',2,'feed-quiet','feed:herd','','{"since": 1717378200, "text": "Feed herd: no new rows for 90 min", "urgency": "now", "value": 90.01666666666667}','a62a090b6d82845cdc31cf5bf22c95e71f58c962b5be84958c185da992356fa0','f7f66ce5545d9a74987986d8e8d16d7681ce47534f65dad783f3e81edccbe530');
INSERT INTO "log" VALUES(4,1717378201,'raised',3,'feed-quiet','feed:milkings','','{"since": 1717378200, "text": "Feed milkings: no new rows for 90 min", "urgency": "now", "value": 90.01666666666667}','f7f66ce5545d9a74987986d8e8d16d7681ce47534f65dad783f3e81edccbe530','5da3a0e32a1a43b24b9a6bfd3fd0738ad322a026ac2127bc8ae2c80ef135a9f8');
INSERT INTO "log" VALUES(5,1717378201,'notice',1,'','','Marit','{"alerts": [1], "kind": "alert", "notice": "1", "title": "Feed boxlog: no new rows for 90 min"}','5da3a0e32a1a43b24b9a6bfd3fd0738ad322a026ac2127bc8ae2c80ef135a9f8','e40e44590bb740c5fc295d48f6f5ac098ff62ee1da93cd2ed9f68ec2d3158375');
INSERT INTO "log" VALUES(6,1717378201,'notice',2,'','','Marit','{"alerts": [2], "kind": "alert", "notice": "2", "title": "Feed herd: no new rows for 90 min"}','e40e44590bb740c5fc295d48f6f5ac098ff62ee1da93cd2ed9f68ec2d3158375','97b2664d179595c6fb2c8f78f7af98d8f9681788cf195bef7349611b9074c6b3');
INSERT INTO "log" VALUES(7,1717378201,'notice',3,'','','Marit','{"alerts": [3], "kind": "alert", "notice": "3", "title": "Feed milkings: no new rows for 90 min"}','97b2664d179595c6fb2c8f78f7af98d8f9681788cf195bef7349611b9074c6b3','19ab181a4e15f32fd73d872e54d82098fab6cf7054a5e9cba2e7c0a7c22396d5');
INSERT INTO "log" VALUES(8,1717392600,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_1.csv", "new": 4, "rows": 4}','19ab181a4e15f32fd73d872e54d82098fab6cf7054a5e9cba2e7c0a7c22396d5','c67772b290df574cf1ef13f3938ae8cb768b43ee51243225d1e3626044d50886');
INSERT INTO "log" VALUES(9,1717392600,'set-aside',NULL,'','file:milkings/milkings_1.csv','','{"file": "milkings_1.csv", "line": 6, "reason": "x is no cow", "rows": 1}','c67772b290df574cf1ef13f3938ae8cb768b43ee51243225d1e3626044d50886','f6da5d057c953ffe455e9c6f5675c7afab92742aae0e188e0ff1fa41d8e44233');
INSERT INTO "log" VALUES(10,1717392600,'over',3,'feed-quiet','feed:milkings','','{"value": 5.0, "why": "the condition ended"}','f6da5d057c953ffe455e9c6f5675c7afab92742aae0e188e0ff1fa41d8e44233','bb6bf56b00d67180f43f74e82a5e42de0e62fa45aab4dc91810f5843726ccf46');
INSERT INTO "log" VALUES(11,1717392600,'raised',4,'box-failures','box:1','','{"since": 1717392000, "text": "Box 1: 3 failures of 3", "urgency": "now", "value": 3.0}','bb6bf56b00d67180f43f74e82a5e42de0e62fa45aab4dc91810f5843726ccf46','827bb11314a6f146bf67193d546d33abd207a64619f1b0cf41af8574750f4e2c');
INSERT INTO "log" VALUES(12,1717392600,'notice',4,'','','Marit','{"alerts": [4], "kind": "alert", "notice": "4", "title": "Box 1: 3 failures of 3"}','827bb11314a6f146bf67193d546d33abd207a64619f1b0cf41af8574750f4e2c','e58c0d2eb8474215716190cd18b2f7fcb8bd5e176a385b8b38b20aea034fbd98');
INSERT INTO "log" VALUES(13,1717392600,'notice',3,'','','Marit','{"alerts": [3], "kind": "over", "notice": "5", "title": "Over: Feed milkings: no new rows for 90…"}','e58c0d2eb8474215716190cd18b2f7fcb8bd5e176a385b8b38b20aea034fbd98','56b9884786a8b29a2618dd6e7c011b99e1e1e62d03635ec56ea914120436ccbc');
INSERT INTO "log" VALUES(14,1717392660,'read',NULL,'','feed:herd','','{"corrected": 0, "file": "herd_1.csv", "new": 2, "rows": 2}','56b9884786a8b29a2618dd6e7c011b99e1e1e62d03635ec56ea914120436ccbc','025ceb81ba9a859c176d7531cbf100b403763a94917ecab9c8b3ad398891e399');
INSERT INTO "log" VALUES(15,1717392660,'over',2,'feed-quiet','feed:herd','','{"value": 0.0, "why": "the condition ended"}','025ceb81ba9a859c176d7531cbf100b403763a94917ecab9c8b3ad398891e399','5f6520747512a1990814de65df5759c697f84f84725cd1b71b61b7f1dbcaa263');
INSERT INTO "log" VALUES(16,1717392660,'notice',2,'','','Marit','{"alerts": [2], "kind": "over", "notice": "6", "title": "Over: Feed herd: no new rows for 5 h 30…"}','5f6520747512a1990814de65df5759c697f84f84725cd1b71b61b7f1dbcaa263','5508ece96becf640571358d5d0f79a694c4bfbe3460c35f2e786ed93ecfb91be');
INSERT INTO "log" VALUES(17,1717392720,'read',NULL,'','feed:boxlog','','{"corrected": 0, "file": "boxlog_1.csv", "new": 1, "rows": 1}','5508ece96becf640571358d5d0f79a694c4bfbe3460c35f2e786ed93ecfb91be','b2f31a1415e149cf2a5edf7ff3415d6fec1cee9c810d0143b216773902dd8e95');
INSERT INTO "log" VALUES(18,1717392720,'over',1,'feed-quiet','feed:boxlog','','{"value": 62.0, "why": "the condition ended"}','b2f31a1415e149cf2a5edf7ff3415d6fec1cee9c810d0143b216773902dd8e95','19b539243897cfe5f7c820606254cae705bac6ba6fa3ddc7295ccdce4e91a8e2');
INSERT INTO "log" VALUES(19,1717392720,'notice',1,'','','Marit','{"alerts": [1], "kind": "over", "notice": "7", "title": "Over: Feed boxlog: no new rows for 5 h…"}','19b539243897cfe5f7c820606254cae705bac6ba6fa3ddc7295ccdce4e91a8e2','4bde598620f9bf55d2e40dabfb577fa92652ecb2414b5430f192ff380c867904');
INSERT INTO "log" VALUES(20,1717393200,'chore',NULL,'','chore:wire/east','Marit','{"done_at": 1717392000, "note": "moved"}','4bde598620f9bf55d2e40dabfb577fa92652ecb2414b5430f192ff380c867904','f8dfde415932462dae73cc06c2c6c029f301b720ac15de3b9fad6ffb7f7efd92');
INSERT INTO "log" VALUES(21,1717393200,'answer',2,'feed-quiet','feed:herd','Marit','{"answered_at": 1717393140, "finding": "optics dirty", "note": "wiped"}','f8dfde415932462dae73cc06c2c6c029f301b720ac15de3b9fad6ffb7f7efd92','fc59806355e759737b7a3c93b12d9097bd8f8604175d9c4d4e1fef5552b7dcee');
INSERT INTO "log" VALUES(22,1717394400,'read',NULL,'','feed:milkings','','{"corrected": 1, "file": "milkings_2.csv", "new": 0, "rows": 1}','fc59806355e759737b7a3c93b12d9097bd8f8604175d9c4d4e1fef5552b7dcee','8eb7220ef079a5104139425338a338d2b70fe379e09ed46bb583e9ffd3e7b3bc');
INSERT INTO "log" VALUES(23,1717394400,'correction',NULL,'','cow:8','','{"file": "milkings_2.csv", "key": ["8", 1717391400], "new": {"modified": 1717393800, "outcome": "milked"}, "old": {"modified": 1717391460, "outcome": "failed"}, "table": "visits"}','8eb7220ef079a5104139425338a338d2b70fe379e09ed46bb583e9ffd3e7b3bc','22c6ed0fbcc9d626c0a35df5adcbcc4da122225ef1a14f1cccce99e6691b2fce');
INSERT INTO "log" VALUES(24,1717394400,'over',4,'box-failures','box:1','','{"value": 2.0, "why": "the condition ended"}','22c6ed0fbcc9d626c0a35df5adcbcc4da122225ef1a14f1cccce99e6691b2fce','24ead2807d77d23b2da40f2628c560644b9983cf4da2aab5a761cc78dccc005f');
INSERT INTO "log" VALUES(25,1717394400,'notice',4,'','','Marit','{"alerts": [4], "kind": "over", "notice": "8", "title": "Over: Box 1: 3 failures of 3"}','24ead2807d77d23b2da40f2628c560644b9983cf4da2aab5a761cc78dccc005f','c943e50c1da7ef7279fed0170c70e115327a27cdf66dc8c5967e6c933029c029');
INSERT INTO "log" VALUES(26,1717392660,'delivered',NULL,'','','','{"notice": "1"}','c943e50c1da7ef7279fed0170c70e115327a27cdf66dc8c5967e6c933029c029','9cbc50f1c1dcb214f5f9230920c37b994e472f75565dfc7164a48a7df2cea2e3');
CREATE TABLE meta (key text primary key, value text not null) strict;
INSERT INTO "meta" VALUES('watched_since','1717372800');
CREATE TABLE notices (
    id integer primary key, at integer not null, person text not null, kind text not null, title text not null,
    body text not null, urgency text not null, alerts text not null
) strict;
INSERT INTO "notices" VALUES(1,1717378201,'Marit','alert','Feed boxlog: no new rows for 90 min','Feed boxlog: no new rows for 90 min.
Since 01:30.','now','[1]');
INSERT INTO "notices" VALUES(2,1717378201,'Marit','alert','Feed herd: no new rows for 90 min','Feed herd: no new rows for 90 min.
Since 01:30.','now','[2]');
INSERT INTO "notices" VALUES(3,1717378201,'Marit','alert','Feed milkings: no new rows for 90 min','Feed milkings: no new rows for 90 min.
Since 01:30.','now','[3]');
INSERT INTO "notices" VALUES(4,1717392600,'Marit','alert','Box 1: 3 failures of 3','Box 1: 3 failures of 3.
Since 05:20.','now','[4]');
INSERT INTO "notices" VALUES(5,1717392600,'Marit','over','Over: Feed milkings: no new rows for 90…','Over at 05:30 (the condition ended): Feed milkings: no new rows for 90 min.','round','[3]');
INSERT INTO "notices" VALUES(6,1717392660,'Marit','over','Over: Feed herd: no new rows for 5 h 30…','Over at 05:31 (the condition ended): Feed herd: no new rows for 5 h 30 min.','round','[2]');
INSERT INTO "notices" VALUES(7,1717392720,'Marit','over','Over: Feed boxlog: no new rows for 5 h…','Over at 05:32 (the condition ended): Feed boxlog: no new rows for 5 h 31 min.','round','[1]');
INSERT INTO "notices" VALUES(8,1717394400,'Marit','over','Over: Box 1: 3 failures of 3','Over at 06:00 (the condition ended): Box 1: 3 failures of 3.','round','[4]');
CREATE TABLE seen (
    name text primary key, size integer not null, mtime_ns integer not null, inode integer not null,
    read_to integer not null, sha256 text not null
) strict;
INSERT INTO "seen" VALUES('milkings_1.csv',120,1,2,120,'ab');
CREATE TABLE set_aside (
    id integer primary key, file_id integer not null references files (id), line integer not null,
    row text not null, reason text not null
) strict;
INSERT INTO "set_aside" VALUES(1,1,6,'x;y','x is no cow');
CREATE TABLE settings (at integer primary key, text text not null) strict;
INSERT INTO "settings" VALUES(1717372800,'{"farm.yaml": "\nname: Tinfield\nzone: UTC\nboxes: [\"1\", \"2\"]\nchores:\n  filter: {places: boxes, event: filter_changed}\n  wire: {places: [east]}\n", "feeds/0.yaml": "\nfeed: milkings\nfiles: \"milkings_*.csv\"\nform: delimited\ntables:\n  visits:\n    cow: Cow\n    start: Start\n    box: Box\n    outcome: {column: Ended, words: {milked: milked, failed: failed}}\n", "feeds/1.yaml": "\nfeed: herd\nfiles: \"herd_*.csv\"\nform: delimited\npace: daily\ntables:\n  cows:\n    cow: Cow\n    from: Since\n    group: Group\n    milkings_allowed: {column: Visits, unit: 1/d}\n    status: {column: Status, words: {milking: milking, dry: dry}}\n", "feeds/2.yaml": "\nfeed: boxlog\nfiles: \"boxlog_*.csv\"\nform: delimited\ntables:\n  box_log:\n    box: Box\n    at: At\n    event: {column: Event, words: {filter: filter_changed, wash: washed}}\n", "people.yaml": "- person: Marit\n  channels: [marit-phone]\n", "rules/rules.yaml": "\n- rule: late-cow\n  measure: hours_since_milking\n  raise_over: 14 h\n  where: {status: milking}\n  urgency: round\n  say: \"Cow {cow} not milked for {value}\"\n\n- rule: feed-quiet\n  measure: feed_quiet_min\n  raise_over: 90 min\n  urgency: now\n  say: \"Feed {feed}: no new rows for {value}\"\n\n- rule: box-failures\n  measure: failed_attachments\n  per: box\n  options: {within: 6 h}\n  raise_over: 2 failures\n  urgency: now\n  say: \"Box {box}: {value} of {visits}\"\n"}');
CREATE TABLE tank (
    tank text not null, at integer not null, temperature_C real, litres real, cells_k_ml real, bacteria_k_ml real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, tank)
) strict, without rowid;
CREATE TABLE ticks (at integer primary key, kind text not null) strict;
INSERT INTO "ticks" VALUES(1717372800,'start');
INSERT INTO "ticks" VALUES(1717378201,'run');
INSERT INTO "ticks" VALUES(1717392600,'run');
INSERT INTO "ticks" VALUES(1717392660,'run');
INSERT INTO "ticks" VALUES(1717392720,'run');
INSERT INTO "ticks" VALUES(1717393200,'run');
INSERT INTO "ticks" VALUES(1717394400,'run');
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
INSERT INTO "visits" VALUES('9',1717390800,'1',NULL,'failed',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,1,1717390860,0);
INSERT INTO "visits" VALUES('8',1717391400,'1',NULL,'milked',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,1,1717393800,0);
INSERT INTO "visits" VALUES('7',1717392000,'1',NULL,'failed',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,1,1717392060,0);
INSERT INTO "visits" VALUES('6',1717392300,'2',NULL,'milked',11.5,NULL,NULL,5.1,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,1,1717392360,0);
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
