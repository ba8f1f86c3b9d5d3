-- The store of a lived day as sentinel 0.1.0 wrote it; schema 11.
BEGIN TRANSACTION;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
);
INSERT INTO "_sqlite_migrations" VALUES(1,'sentinel','m001_first','2026-11-30 19:57:40.314680+00:00');
INSERT INTO "_sqlite_migrations" VALUES(2,'sentinel','m002_page','2026-11-30 19:57:40.316668+00:00');
INSERT INTO "_sqlite_migrations" VALUES(3,'sentinel','m003_unread','2026-11-30 19:57:40.319532+00:00');
INSERT INTO "_sqlite_migrations" VALUES(4,'sentinel','m004_course_of_alerts','2026-11-30 19:57:40.322067+00:00');
INSERT INTO "_sqlite_migrations" VALUES(5,'sentinel','m005_feeds_of_rows','2026-11-30 19:57:40.326880+00:00');
INSERT INTO "_sqlite_migrations" VALUES(6,'sentinel','m006_clock','2026-11-30 19:57:40.331317+00:00');
INSERT INTO "_sqlite_migrations" VALUES(7,'sentinel','m007_reasons','2026-11-30 19:57:40.331641+00:00');
INSERT INTO "_sqlite_migrations" VALUES(8,'sentinel','m008_incidents','2026-11-30 19:57:40.333533+00:00');
INSERT INTO "_sqlite_migrations" VALUES(9,'sentinel','m009_chores_undone','2026-11-30 19:57:40.334903+00:00');
INSERT INTO "_sqlite_migrations" VALUES(10,'sentinel','m010_read_again','2026-11-30 19:57:40.336251+00:00');
INSERT INTO "_sqlite_migrations" VALUES(11,'sentinel','m011_record','2026-11-30 19:57:40.339199+00:00');
INSERT INTO "_sqlite_migrations" VALUES(12,'sentinel','column visits.peak_flow_kg_min','');
INSERT INTO "_sqlite_migrations" VALUES(13,'sentinel','column cows.withheld_until','');
INSERT INTO "_sqlite_migrations" VALUES(14,'sentinel','column cows.partial','');
CREATE TABLE alerts (
    id integer primary key, rule text not null, subject text not null, raised_at integer not null,
    since integer not null, urgency text not null, text text not null, value real, facts text not null,
    look_first text not null, over_at integer, over_why text not null, answered_at integer,
    answered_by text not null, finding text not null, note text not null, covered_by text not null,
    again integer not null, came_at integer
, lies_with text not null default '', lies_from integer, caution text not null default '[]', raised_value real, worst_value real, course text not null default '', eased text not null default '', suspect text not null default '', incident integer not null default 0, incident_at text not null default '') strict;
INSERT INTO "alerts" VALUES(1,'feed-quiet','feed:herd',1717378201,1717378200,'now','Feed herd: no new rows for 23 h 20 min. Also quiet: boxlog, tank',1400.0,'{"bound": 90.0, "feed": "herd", "reading_at": 1717372800, "still": "milkings", "subject": "feed:herd", "value": 1400.0}','[]',NULL,'',1717405250,'Marit','seen','','[]',0,NULL,'',NULL,'[]',9.00166666666666657158e+01,1400.0,'raised at 90 min, now 23 h 20 min','','',1,'');
INSERT INTO "alerts" VALUES(2,'feed-quiet','feed:boxlog',1717379161,1717379160,'now','Feed boxlog: no new rows for 23 h 4 min',1384.0,'{"bound": 90.0, "feed": "boxlog", "reading_at": 1717373760, "still": "milkings", "subject": "feed:boxlog", "value": 1384.0}','[]',NULL,'',1717405250,'Marit','seen','','["feed-quiet feed:herd"]',0,NULL,'',NULL,'[]',9.00166666666666657158e+01,1384.0,'raised at 90 min, now 23 h 4 min','','',1,'feed:herd');
INSERT INTO "alerts" VALUES(3,'feed-quiet','feed:tank',1717379701,1717379700,'now','Feed tank: no new rows for 22 h 55 min',1375.0,'{"bound": 90.0, "feed": "tank", "reading_at": 1717374300, "still": "milkings", "subject": "feed:tank", "value": 1375.0}','[]',NULL,'',1717405250,'Marit','seen','','["feed-quiet feed:herd"]',0,NULL,'',NULL,'[]',9.00166666666666657158e+01,1375.0,'raised at 90 min, now 22 h 55 min','','',1,'feed:herd');
INSERT INTO "alerts" VALUES(4,'box-failures','box:1',1717401600,1717399800,'now','Box 1: 7 failures of 24',7.0,'{"bound": 2.0, "box": "1", "explained": "", "failed": 7, "reading_at": 1717411200, "subject": "box:1", "value": 7.0, "visits": 24}','[]',1717426800,'{"code":"ended"}',1717405250,'Marit','seen','','[]',0,NULL,'',NULL,'[]',4.0,8.0,'raised at 4 failures, worst 8 failures, now 7 failures, easing','','',4,'');
INSERT INTO "alerts" VALUES(5,'feed-quiet','feed:milkings',1717416601,1717416600,'now','Feed milkings: no new rows for 90 min',9.00166666666666657158e+01,'{"bound": 90.0, "feed": "milkings", "reading_at": 1717411200, "subject": "feed:milkings", "value": 90.01666666666667}','[]',1717426800,'{"code":"ended"}',NULL,'','','','[]',0,NULL,'',NULL,'[]',9.00166666666666657158e+01,9.00166666666666657158e+01,'','','',5,'');
INSERT INTO "alerts" VALUES(6,'late-cow','cow:7',1717434000,1717432500,'round','Cow 7 not milked for 20 h 5 min',2.00833333333333321482e+01,'{"bound": 14.0, "box": "2", "cow": "7", "reading_at": 1717382100, "subject": "cow:7", "value": 20.083333333333332}','[]',NULL,'',NULL,'','','','[]',0,NULL,'',NULL,'[]',1.4083333333333333925e+01,2.00833333333333321482e+01,'raised at 14 h 5 min, now 20 h 5 min','','',6,'');
CREATE TABLE answers (
    id integer primary key, alert integer not null, at integer not null, person text not null,
    finding text not null, note text not null, known_at integer
, until integer, hand_to text not null default '') strict;
INSERT INTO "answers" VALUES(1,1,1717405250,'Marit','seen','',1717405260,NULL,'');
INSERT INTO "answers" VALUES(2,2,1717405250,'Marit','seen','',1717405260,NULL,'');
INSERT INTO "answers" VALUES(3,3,1717405250,'Marit','seen','',1717405260,NULL,'');
INSERT INTO "answers" VALUES(4,4,1717405250,'Marit','seen','',1717405260,NULL,'');
CREATE TABLE box_log (
    box text not null, at integer not null, event text not null, text text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text, first_line integer,
    primary key (at, box, event)
) strict, without rowid;
INSERT INTO "box_log" VALUES('1',1717373700,'washed',NULL,2,NULL,0,NULL,NULL,2);
INSERT INTO "box_log" VALUES('2',1717373760,'washed',NULL,2,NULL,0,NULL,NULL,3);
CREATE TABLE changes (
    id integer primary key, file_id integer not null references files (id), at integer not null,
    tab text not null, key text not null, old text not null, new text not null, correction integer not null
, line integer) strict;
INSERT INTO "changes" VALUES(1,13,1717408800,'visits','["2", 1717402200]','{"outcome": "failed", "milk_kg": null, "modified": 1717405200}','{"outcome": "milked", "milk_kg": 8.5, "modified": 1717408800}',1,9);
INSERT INTO "changes" VALUES(2,24,1717455900,'visits','["8", 1717389600]','{"deleted": 0}','{"deleted": 1}',1,NULL);
CREATE TABLE chores (
    id integer primary key, chore text not null, place text not null, at integer not null, person text not null,
    note text not null, known_at integer
, undoes integer, undone_at integer) strict;
INSERT INTO "chores" VALUES(1,'filter','1',1717456200,'Marit','torn',1717456500,NULL,NULL);
INSERT INTO "chores" VALUES(2,'filter','2',1717456200,'Marit','',1717456560,NULL,1717456620);
INSERT INTO "chores" VALUES(3,'filter','2',1717456260,'Marit','',1717456620,1717456200,NULL);
CREATE TABLE cow_tests (
    cow text not null, at integer not null, cells_k_ml real, milk_kg real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text, first_line integer,
    primary key (at, cow)
) strict, without rowid;
CREATE TABLE cows (
    cow text not null, "from" integer not null, "group" text, lactation integer, calved_on integer,
    milkings_allowed real, status text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text, first_line integer, "withheld_until" integer, "partial" integer,
    primary key ("from", cow)
) strict, without rowid;
INSERT INTO "cows" VALUES('1',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,2,NULL,NULL);
INSERT INTO "cows" VALUES('2',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,3,NULL,NULL);
INSERT INTO "cows" VALUES('3',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,4,NULL,NULL);
INSERT INTO "cows" VALUES('4',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,5,NULL,NULL);
INSERT INTO "cows" VALUES('5',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,6,NULL,NULL);
INSERT INTO "cows" VALUES('6',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,7,NULL,NULL);
INSERT INTO "cows" VALUES('7',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,8,NULL,NULL);
INSERT INTO "cows" VALUES('8',1717372800,'one',NULL,NULL,3.0,'milking',1,NULL,0,NULL,NULL,9,NULL,NULL);
INSERT INTO "cows" VALUES('9',1717372800,'one',NULL,NULL,3.0,'dry',1,NULL,0,NULL,NULL,10,NULL,NULL);
CREATE TABLE deliveries (
    notice integer not null references notices (id), channel text not null, outcome text not null,
    attempts integer not null, next_at integer, at integer, detail text not null, known_at integer,
    primary key (notice, channel)
) strict, without rowid;
INSERT INTO "deliveries" VALUES(1,'marit-phone','delivered',1,NULL,1717405230,'{"code":"taken"}',1717405260);
INSERT INTO "deliveries" VALUES(2,'marit-phone','delivered',1,NULL,1717405230,'{"code":"taken"}',1717405260);
INSERT INTO "deliveries" VALUES(3,'marit-phone','waiting',0,1717416601,NULL,'',NULL);
INSERT INTO "deliveries" VALUES(4,'marit-phone','waiting',0,1717426800,NULL,'',NULL);
CREATE TABLE feeds (
    feed text primary key, tables text not null, known_until integer, last_at integer
, columns text) strict;
INSERT INTO "feeds" VALUES('herd','["cows"]',1717372800,1717373400,'{"cows": ["cow", "from", "group", "milkings_allowed", "status"]}');
INSERT INTO "feeds" VALUES('boxlog','["box_log"]',1717373760,1717374000,'{"box_log": ["at", "box", "event"]}');
INSERT INTO "feeds" VALUES('tank','["tank"]',1717374300,1717374600,'{"tank": ["at", "litres", "tank", "temperature_C"]}');
INSERT INTO "feeds" VALUES('milkings','["visits"]',1717454400,1717455900,'{"visits": ["box", "cow", "lf_conductivity_mS_cm", "milk_kg", "modified", "outcome", "start"]}');
CREATE TABLE files (
    id integer primary key, feed text not null, file text not null, at integer not null, sha256 text not null,
    rows_read integer not null, rows_set_aside integer not null, reason text not null, complete_until integer,
    newest integer, continues integer not null default 0, mended integer not null default 0
, rows_in_part integer not null default 0, reread text not null default '', void integer not null default 0) strict;
INSERT INTO "files" VALUES(1,'herd','herd_1.csv',1717373400,'',9,0,'',NULL,1717372800,0,0,0,'',0);
INSERT INTO "files" VALUES(2,'boxlog','b_1.csv',1717374000,'',2,0,'',NULL,1717373760,0,0,0,'',0);
INSERT INTO "files" VALUES(3,'tank','t_1.csv',1717374600,'',1,0,'',NULL,1717374300,0,0,0,'',0);
INSERT INTO "files" VALUES(4,'milkings','milkings_1.csv',1717376400,'',8,0,'',NULL,1717375200,0,0,0,'',0);
INSERT INTO "files" VALUES(5,'milkings','milkings_2.csv',1717380000,'',8,0,'',NULL,1717378800,0,0,0,'',0);
INSERT INTO "files" VALUES(6,'milkings','milkings_3.csv',1717383600,'',8,0,'',NULL,1717382400,0,0,0,'',0);
INSERT INTO "files" VALUES(7,'milkings','milkings_4.csv',1717387200,'',7,0,'',NULL,1717386000,0,0,0,'',0);
INSERT INTO "files" VALUES(8,'milkings','milkings_5.csv',1717390800,'',7,0,'',NULL,1717389600,0,0,0,'',0);
INSERT INTO "files" VALUES(9,'milkings','milkings_6.csv',1717394400,'',7,1,'{"code":"not-a-time","what":"x"}',NULL,1717393200,0,0,0,'',0);
INSERT INTO "files" VALUES(10,'milkings','milkings_7.csv',1717398000,'',7,0,'',NULL,1717396800,0,0,0,'',0);
INSERT INTO "files" VALUES(11,'milkings','milkings_8.csv',1717401600,'',7,0,'',NULL,1717400400,0,0,0,'',0);
INSERT INTO "files" VALUES(12,'milkings','milkings_9.csv',1717405200,'',7,0,'',NULL,1717404000,0,0,0,'',0);
INSERT INTO "files" VALUES(13,'milkings','milkings_10.csv',1717408800,'',8,0,'',NULL,1717407600,0,0,0,'',0);
INSERT INTO "files" VALUES(14,'milkings','milkings_11.csv',1717412400,'',7,0,'',NULL,1717411200,0,0,0,'',0);
INSERT INTO "files" VALUES(15,'milkings','milkings_15.csv',1717426800,'',7,0,'',NULL,1717425600,0,0,0,'',0);
INSERT INTO "files" VALUES(16,'milkings','milkings_16.csv',1717430400,'',7,0,'',NULL,1717429200,0,0,0,'',0);
INSERT INTO "files" VALUES(17,'milkings','milkings_17.csv',1717434000,'',7,0,'',NULL,1717432800,0,0,0,'',0);
INSERT INTO "files" VALUES(18,'milkings','milkings_18.csv',1717437600,'',7,0,'',NULL,1717436400,0,0,0,'',0);
INSERT INTO "files" VALUES(19,'milkings','milkings_19.csv',1717441200,'',7,0,'',NULL,1717440000,0,0,0,'',0);
INSERT INTO "files" VALUES(20,'milkings','milkings_20.csv',1717444800,'',7,0,'',NULL,1717443600,0,0,0,'',0);
INSERT INTO "files" VALUES(21,'milkings','milkings_21.csv',1717448400,'',7,0,'',NULL,1717447200,0,0,0,'',0);
INSERT INTO "files" VALUES(22,'milkings','milkings_22.csv',1717452000,'',7,0,'',NULL,1717450800,0,0,0,'',0);
INSERT INTO "files" VALUES(23,'milkings','milkings_23.csv',1717455600,'',7,0,'',NULL,1717454400,0,0,0,'',0);
INSERT INTO "files" VALUES(24,'milkings','',1717455900,'',1,0,'',NULL,NULL,0,1,0,'{"because": "feeds/milkings.yaml was changed", "versions": false, "files": {"milkings_5.csv": true}, "gone": [], "changed": 0}',0);
CREATE TABLE log (
    seq integer primary key, at integer not null, kind text not null, alert integer, rule text not null,
    subject text not null, person text not null, body text not null, previous text not null, hash text not null
) strict;
INSERT INTO "log" VALUES(1,1717372800,'start',NULL,'','','','{}','0000000000000000000000000000000000000000000000000000000000000000','f7590b7c60bc2e4f5f87133c797fdea9c3b66b67e223c044e77a7090e65d0077');
INSERT INTO "log" VALUES(2,1717373400,'read',NULL,'','feed:herd','','{"corrected": 0, "file": "herd_1.csv", "new": 9, "rows": 9}','f7590b7c60bc2e4f5f87133c797fdea9c3b66b67e223c044e77a7090e65d0077','663ada0b9495ded2bff0109ea2684a1aff0e3187d7ba64ca006c6fbbe42ae2b1');
INSERT INTO "log" VALUES(3,1717374000,'read',NULL,'','feed:boxlog','','{"corrected": 0, "file": "b_1.csv", "new": 2, "rows": 2}','663ada0b9495ded2bff0109ea2684a1aff0e3187d7ba64ca006c6fbbe42ae2b1','770fafcdfbd33d9f0c4f9129d2fa336b544d0f110760c56755723b7c82d0747c');
INSERT INTO "log" VALUES(4,1717374600,'read',NULL,'','feed:tank','','{"corrected": 0, "file": "t_1.csv", "new": 1, "rows": 1}','770fafcdfbd33d9f0c4f9129d2fa336b544d0f110760c56755723b7c82d0747c','eaa23a98348ca17b489f3663ea3fd376278f744b5ee64b04273931c294a45289');
INSERT INTO "log" VALUES(5,1717376400,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_1.csv", "new": 8, "rows": 8}','eaa23a98348ca17b489f3663ea3fd376278f744b5ee64b04273931c294a45289','feefe6c37c9bfe230fdf900945a098f2ba1f2a0db733cab0242c7ec6ed6d6bff');
INSERT INTO "log" VALUES(6,1717378201,'raised',1,'feed-quiet','feed:herd','','{"since": 1717378200, "text": "Feed herd: no new rows for 90 min", "urgency": "now", "value": 90.01666666666667}','feefe6c37c9bfe230fdf900945a098f2ba1f2a0db733cab0242c7ec6ed6d6bff','1d5119d5e280a77006e7409c52611554bd1ba0ccdfa91a97185d5713ee87381a');
INSERT INTO "log" VALUES(7,1717378201,'notice',1,'','','Marit','{"alerts": [1], "kind": "alert", "notice": "1", "title": "Feed herd: no new rows for 90 min"}','1d5119d5e280a77006e7409c52611554bd1ba0ccdfa91a97185d5713ee87381a','227aa6d269165e7cc8256cb159ce2c6092372aa2d5893cec8dd639527bd9f1d9');
INSERT INTO "log" VALUES(8,1717379161,'raised',2,'feed-quiet','feed:boxlog','','{"incident": 1, "since": 1717379160, "text": "Feed boxlog: no new rows for 90 min", "urgency": "now", "value": 90.01666666666667}','227aa6d269165e7cc8256cb159ce2c6092372aa2d5893cec8dd639527bd9f1d9','fd14fe0c6a69dbd3d6269f7f96b2c0a41287039f05abdb8070bf978ed8b5af69');
INSERT INTO "log" VALUES(9,1717379161,'held-back',2,'feed-quiet','feed:boxlog','','{"covered_by": ["feed-quiet feed:herd"]}','fd14fe0c6a69dbd3d6269f7f96b2c0a41287039f05abdb8070bf978ed8b5af69','e367103b4661c890fb8c20552a5cd4b0591cda9dcc94c2763c87cc20f7c4d301');
INSERT INTO "log" VALUES(10,1717379701,'raised',3,'feed-quiet','feed:tank','','{"incident": 1, "since": 1717379700, "text": "Feed tank: no new rows for 90 min", "urgency": "now", "value": 90.01666666666667}','e367103b4661c890fb8c20552a5cd4b0591cda9dcc94c2763c87cc20f7c4d301','6a0ad46975f370e2a65ed7604e74f239f5246b98b1a87b4bf9327dddb50971c5');
INSERT INTO "log" VALUES(11,1717379701,'held-back',3,'feed-quiet','feed:tank','','{"covered_by": ["feed-quiet feed:herd"]}','6a0ad46975f370e2a65ed7604e74f239f5246b98b1a87b4bf9327dddb50971c5','9d58962c522da5d4f454a040a5264c9e865c7a882ee955837db6987a13c6d672');
INSERT INTO "log" VALUES(12,1717380000,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_2.csv", "new": 8, "rows": 8}','9d58962c522da5d4f454a040a5264c9e865c7a882ee955837db6987a13c6d672','7ad80d23c7b529b05eebe451e511fdd53617cde21da8deaee445954c011ca22d');
INSERT INTO "log" VALUES(13,1717383600,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_3.csv", "new": 8, "rows": 8}','7ad80d23c7b529b05eebe451e511fdd53617cde21da8deaee445954c011ca22d','6e955275cc0a0fe5897cc384ad6bfe8f758141b7b1fb6bd84190a55cf44d9190');
INSERT INTO "log" VALUES(14,1717387200,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_4.csv", "new": 7, "rows": 7}','6e955275cc0a0fe5897cc384ad6bfe8f758141b7b1fb6bd84190a55cf44d9190','69431f0e741c1fe18ecec09935cb334afc27d2576d5b28b5edb6e8e7b167200a');
INSERT INTO "log" VALUES(15,1717390800,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_5.csv", "new": 7, "rows": 7}','69431f0e741c1fe18ecec09935cb334afc27d2576d5b28b5edb6e8e7b167200a','90cdbbfb3ee081c05e18b0f64980726d12d087a4d3206b23e0f489f611aedd53');
INSERT INTO "log" VALUES(16,1717394400,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_6.csv", "new": 7, "rows": 7}','90cdbbfb3ee081c05e18b0f64980726d12d087a4d3206b23e0f489f611aedd53','5c2d10564aa96046715037337a43d549e64bd0154535adb83a1aa2fea9c6e405');
INSERT INTO "log" VALUES(17,1717394400,'set-aside',NULL,'','file:milkings/milkings_6.csv','','{"file": "milkings_6.csv", "line": 99, "reason": "x is not a time", "rows": 1}','5c2d10564aa96046715037337a43d549e64bd0154535adb83a1aa2fea9c6e405','de6511b5a5d9a5c84c0d9ff49520a68f1815e919315ced4e4b39c40ca938ca63');
INSERT INTO "log" VALUES(18,1717398000,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_7.csv", "new": 7, "rows": 7}','de6511b5a5d9a5c84c0d9ff49520a68f1815e919315ced4e4b39c40ca938ca63','6fee7bd9127f8346b7c0533473d82bdcc0677948bc81fa2fc792f71601895f67');
INSERT INTO "log" VALUES(19,1717401600,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_8.csv", "new": 7, "rows": 7}','6fee7bd9127f8346b7c0533473d82bdcc0677948bc81fa2fc792f71601895f67','64301e10af39f91015666ecd25fb0bfadb20ea801a3aa0b7c679145ee5efed1b');
INSERT INTO "log" VALUES(20,1717401600,'raised',4,'box-failures','box:1','','{"since": 1717399800, "text": "Box 1: 4 failures of 24", "urgency": "now", "value": 4.0}','64301e10af39f91015666ecd25fb0bfadb20ea801a3aa0b7c679145ee5efed1b','9a691e2e0ec9dbb4eb4c8104d06a630d2ae1b245ebfdb7dbe6ac09268537ae24');
INSERT INTO "log" VALUES(21,1717401600,'notice',4,'','','Marit','{"alerts": [4], "kind": "alert", "notice": "2", "title": "Box 1: 4 failures of 24"}','9a691e2e0ec9dbb4eb4c8104d06a630d2ae1b245ebfdb7dbe6ac09268537ae24','d0c871af3d37929b62d24503b66ca39600cad343778b25cf04bacbed7988cbc7');
INSERT INTO "log" VALUES(22,1717405200,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_9.csv", "new": 7, "rows": 7}','d0c871af3d37929b62d24503b66ca39600cad343778b25cf04bacbed7988cbc7','2e47d6c07d74829e3e134bf13efbab015b6a2ba108329542bc75bf5da8086540');
INSERT INTO "log" VALUES(23,1717405260,'answer',1,'feed-quiet','feed:herd','Marit','{"answered_at": 1717405250, "finding": "seen", "note": ""}','2e47d6c07d74829e3e134bf13efbab015b6a2ba108329542bc75bf5da8086540','52860947b060027bfe946c780916139c5f8ed0b133bb32ba3a117d60394fa807');
INSERT INTO "log" VALUES(24,1717405260,'answer',2,'feed-quiet','feed:boxlog','Marit','{"answered_at": 1717405250, "finding": "seen", "note": ""}','52860947b060027bfe946c780916139c5f8ed0b133bb32ba3a117d60394fa807','d47ecd25b61fe187b6b13290d04575f604601facf264f270e084f6ea11d585dc');
INSERT INTO "log" VALUES(25,1717405260,'answer',3,'feed-quiet','feed:tank','Marit','{"answered_at": 1717405250, "finding": "seen", "note": ""}','d47ecd25b61fe187b6b13290d04575f604601facf264f270e084f6ea11d585dc','815d8effcfb91ad768b1994bbdc2d9d5346e27b486b3a1bba0b9a129a382d3e1');
INSERT INTO "log" VALUES(26,1717405260,'answer',4,'box-failures','box:1','Marit','{"answered_at": 1717405250, "finding": "seen", "note": ""}','815d8effcfb91ad768b1994bbdc2d9d5346e27b486b3a1bba0b9a129a382d3e1','cb38ea23daa3448503c69168ebfbec25620c9b26963e133fc4959270f738eb05');
INSERT INTO "log" VALUES(27,1717408800,'read',NULL,'','feed:milkings','','{"corrected": 1, "file": "milkings_10.csv", "new": 7, "rows": 8}','cb38ea23daa3448503c69168ebfbec25620c9b26963e133fc4959270f738eb05','40a6e9c79518fe218eef6cbe4d21198d1d64d1fffa657a5771130d3ef12298af');
INSERT INTO "log" VALUES(28,1717408800,'correction',NULL,'','cow:2','','{"file": "milkings_10.csv", "key": ["2", 1717402200], "new": {"milk_kg": 8.5, "modified": 1717408800, "outcome": "milked"}, "old": {"milk_kg": null, "modified": 1717405200, "outcome": "failed"}, "table": "visits"}','40a6e9c79518fe218eef6cbe4d21198d1d64d1fffa657a5771130d3ef12298af','035ccdbc95e317869e91759630673e54e2e7f1050994c06a4f834e66bb8488a1');
INSERT INTO "log" VALUES(29,1717412400,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_11.csv", "new": 7, "rows": 7}','035ccdbc95e317869e91759630673e54e2e7f1050994c06a4f834e66bb8488a1','0da6ebc797ed03ff2afeb328548ed86822592d7032184273cb4dfb498ebc29ed');
INSERT INTO "log" VALUES(30,1717416601,'raised',5,'feed-quiet','feed:milkings','','{"since": 1717416600, "text": "Feed milkings: no new rows for 90 min", "urgency": "now", "value": 90.01666666666667}','0da6ebc797ed03ff2afeb328548ed86822592d7032184273cb4dfb498ebc29ed','81dfcf0a9e67cbf616f528f055a5a1f42ba78b1b1123b9d595a7579aac46afc7');
INSERT INTO "log" VALUES(31,1717416601,'notice',5,'','','Marit','{"alerts": [5], "kind": "alert", "notice": "3", "title": "Feed milkings: no new rows for 90 min"}','81dfcf0a9e67cbf616f528f055a5a1f42ba78b1b1123b9d595a7579aac46afc7','d3e22ddeb17f6655da94cdff5ba3e588fc735e8c828592989f8a30596b1de3e3');
INSERT INTO "log" VALUES(32,1717426800,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_15.csv", "new": 7, "rows": 7}','d3e22ddeb17f6655da94cdff5ba3e588fc735e8c828592989f8a30596b1de3e3','5c72353976b923105338024d1dfe28211b07e6d002f53a2d94ed1be0e010fc00');
INSERT INTO "log" VALUES(33,1717426800,'over',5,'feed-quiet','feed:milkings','','{"value": 20.0, "why": "the condition ended"}','5c72353976b923105338024d1dfe28211b07e6d002f53a2d94ed1be0e010fc00','cd72672231334dcc2ceca276db6906f463fe61447d3e86923decac7308328883');
INSERT INTO "log" VALUES(34,1717426800,'over',4,'box-failures','box:1','','{"value": 0.0, "why": "the condition ended"}','cd72672231334dcc2ceca276db6906f463fe61447d3e86923decac7308328883','1c5d9bc5e311139c6ed27db10bba2a4d3db06363b7b657f1f24f94220adfd095');
INSERT INTO "log" VALUES(35,1717426800,'notice',NULL,'','','Marit','{"alerts": [4, 5], "kind": "over", "notice": "4", "title": "Over: 2 alerts"}','1c5d9bc5e311139c6ed27db10bba2a4d3db06363b7b657f1f24f94220adfd095','29241e61eb634a0816815fb0daa142d54d9afe0fb8f7f34780f200b82b8589a8');
INSERT INTO "log" VALUES(36,1717430400,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_16.csv", "new": 7, "rows": 7}','29241e61eb634a0816815fb0daa142d54d9afe0fb8f7f34780f200b82b8589a8','a67ced3de01f4da891b20d04429c59738c6b45382108432d0e379aa9595d6137');
INSERT INTO "log" VALUES(37,1717434000,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_17.csv", "new": 7, "rows": 7}','a67ced3de01f4da891b20d04429c59738c6b45382108432d0e379aa9595d6137','41f2fd9833f9951da4111dbcee5c20f634b8d994de6064132d687aa95b6e72de');
INSERT INTO "log" VALUES(38,1717434000,'raised',6,'late-cow','cow:7','','{"since": 1717432500, "text": "Cow 7 not milked for 14 h 5 min", "urgency": "round", "value": 14.083333333333334}','41f2fd9833f9951da4111dbcee5c20f634b8d994de6064132d687aa95b6e72de','dade86dbe4ce4be0efa4e517edf29baed9494ca46feb8e7d03aaaba3658216a0');
INSERT INTO "log" VALUES(39,1717437600,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_18.csv", "new": 7, "rows": 7}','dade86dbe4ce4be0efa4e517edf29baed9494ca46feb8e7d03aaaba3658216a0','b75c84bc2f67e61f6e0f5e600d48f89f34d0dab2305500c5d43f07ee5d22dbf5');
INSERT INTO "log" VALUES(40,1717441200,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_19.csv", "new": 7, "rows": 7}','b75c84bc2f67e61f6e0f5e600d48f89f34d0dab2305500c5d43f07ee5d22dbf5','520ea3475b786a21b1886b252f22a287f6c20a52cbad3637200e6375425b2b8b');
INSERT INTO "log" VALUES(41,1717444800,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_20.csv", "new": 7, "rows": 7}','520ea3475b786a21b1886b252f22a287f6c20a52cbad3637200e6375425b2b8b','35056e2400b8f9e7b7aa10d40ee806439303163de246b8853f36890f691578ef');
INSERT INTO "log" VALUES(42,1717448400,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_21.csv", "new": 7, "rows": 7}','35056e2400b8f9e7b7aa10d40ee806439303163de246b8853f36890f691578ef','a641d3371c026441912aa33e2ce4b082b2faeaeb9c1a920fad89d8265ad39ded');
INSERT INTO "log" VALUES(43,1717452000,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_22.csv", "new": 7, "rows": 7}','a641d3371c026441912aa33e2ce4b082b2faeaeb9c1a920fad89d8265ad39ded','943bdb3c2371d74ff3ad759b8a33d7c3157173cbea6ead97f162cdbe9e7197b2');
INSERT INTO "log" VALUES(44,1717455600,'read',NULL,'','feed:milkings','','{"corrected": 0, "file": "milkings_23.csv", "new": 7, "rows": 7}','943bdb3c2371d74ff3ad759b8a33d7c3157173cbea6ead97f162cdbe9e7197b2','7cdc78d9425f0a6929c13971ebcd217599f812bd935bc9a239d53ddd4068c40e');
INSERT INTO "log" VALUES(45,1717455900,'reread',NULL,'','feed:milkings','','{"because": "feeds/milkings.yaml was changed", "changed": 0, "files": 1, "gone": 0, "gone_named": [], "named": ["milkings_5.csv"], "rows": [["visits", "8", 1717389600]], "withdrawn": 1}','7cdc78d9425f0a6929c13971ebcd217599f812bd935bc9a239d53ddd4068c40e','2e499790e9272cc33b454a7d6649d129e687300be11f63895bb2c5f312a7d767');
INSERT INTO "log" VALUES(46,1717456500,'chore',NULL,'','chore:filter/1','Marit','{"done_at": 1717456200, "note": "torn"}','2e499790e9272cc33b454a7d6649d129e687300be11f63895bb2c5f312a7d767','637d9c8951f03f968713b4b973a624bbf0ada3e0c085c8bdef1f72df918523eb');
INSERT INTO "log" VALUES(47,1717456560,'chore',NULL,'','chore:filter/2','Marit','{"done_at": 1717456200, "note": ""}','637d9c8951f03f968713b4b973a624bbf0ada3e0c085c8bdef1f72df918523eb','b066df20b0c6801ee76ab33e67a7aab26cbeaaa89d6bc4d25d13c3386f175811');
INSERT INTO "log" VALUES(48,1717456620,'chore-undone',NULL,'','chore:filter/2','Marit','{"done_at": 1717456200, "done_by": "Marit", "note": "", "said_at": 1717456260}','b066df20b0c6801ee76ab33e67a7aab26cbeaaa89d6bc4d25d13c3386f175811','6e942b18aa73c5bf2ed40e40c081f8a0a43e5c0e636d79ec12d497c5254205e7');
INSERT INTO "log" VALUES(49,1717456800,'stop',NULL,'','','','{}','6e942b18aa73c5bf2ed40e40c081f8a0a43e5c0e636d79ec12d497c5254205e7','b3a2572311ec6d25bccb5deb578422624301bdcad623ee4af91465b8205d19b9');
CREATE TABLE meta (key text primary key, value text not null) strict;
INSERT INTO "meta" VALUES('watched_since','1717372800');
CREATE TABLE notices (
    id integer primary key, at integer not null, person text not null, kind text not null, title text not null,
    body text not null, urgency text not null, alerts text not null
) strict;
INSERT INTO "notices" VALUES(1,1717378201,'Marit','alert','Feed herd: no new rows for 90 min','Feed herd: no new rows for 90 min.
Since 01:30.','now','[1]');
INSERT INTO "notices" VALUES(2,1717401600,'Marit','alert','Box 1: 4 failures of 24','Box 1: 4 failures of 24.
Since 07:30.','now','[4]');
INSERT INTO "notices" VALUES(3,1717416601,'Marit','alert','Feed milkings: no new rows for 90 min','Feed milkings: no new rows for 90 min.
Since 12:10.','now','[5]');
INSERT INTO "notices" VALUES(4,1717426800,'Marit','over','Over: 2 alerts','Over at 15:00 (the condition ended): Box 1: 7 failures of 24. Marit: seen.
Over at 15:00 (the condition ended): Feed milkings: no new rows for 90 min.','round','[4, 5]');
CREATE TABLE page_links (
    id integer primary key, person text not null, read_only integer not null, made_at integer not null,
    until integer not null, withdrawn_at integer, used_at integer
) strict;
CREATE TABLE put_back (
    tab text not null, key text not null, name text not null, was integer not null, became integer not null,
    primary key (tab, key, name)
) strict, without rowid;
CREATE TABLE replaced (
    by integer not null, seq integer not null, digest text not null, primary key (by, seq)
) strict, without rowid;
CREATE TABLE reread_asked (id integer primary key, name text not null, withdraw integer not null, since integer not null, at integer not null, tried integer, done_at integer) strict;
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
, kept integer not null default 0, tab text not null default '', who text not null default '', box text not null default '', begins integer, ends integer) strict;
INSERT INTO "set_aside" VALUES(1,9,99,'x;y','{"code":"not-a-time","what":"x"}',0,'','','',NULL,NULL);
CREATE TABLE "settings" (number integer primary key, at integer not null, text text not null) strict;
INSERT INTO "settings" VALUES(1,1717372800,'{"farm.yaml": "\nname: Tinfield\nzone: UTC\nboxes: [\"1\", \"2\"]\nchores:\n  filter: {places: boxes, event: filter_changed}\n  wire: {places: [east]}\n", "feeds/0.yaml": "\nfeed: milkings\nfiles: \"milkings_*.csv\"\nform: delimited\ntables:\n  visits:\n    cow: Cow\n    start: Start\n    box: Box\n    outcome: {column: Ended, words: {milked: milked, failed: failed}}\n", "feeds/1.yaml": "\nfeed: boxlog\nfiles: \"boxlog_*.csv\"\nform: delimited\ntables:\n  box_log:\n    box: Box\n    at: At\n    event: {column: Event, words: {filter: filter_changed, wash: washed}}\n", "feeds/2.yaml": "\nfeed: herd\nfiles: \"herd_*.csv\"\nform: delimited\npace: daily\ntables:\n  cows:\n    cow: Cow\n    from: Since\n    group: Group\n    milkings_allowed: {column: Visits, unit: 1/d}\n    status: {column: Status, words: {milking: milking, dry: dry}}\n", "feeds/3.yaml": "\nfeed: tank\nfiles: \"tank_*.csv\"\nform: delimited\ntables:\n  tank: {tank: Tank, at: At, temperature_C: Temp, litres: Litres}\n", "people.yaml": "- person: Marit\n  channels: [marit-phone]\n", "rules/rules.yaml": "\n- rule: late-cow\n  measure: hours_since_milking\n  raise_over: 14 h\n  where: {status: milking}\n  urgency: round\n  say: \"Cow {cow} not milked for {value}\"\n\n- rule: feed-quiet\n  measure: feed_quiet_min\n  raise_over: 90 min\n  urgency: now\n  say: \"Feed {feed}: no new rows for {value}\"\n\n- rule: box-failures\n  measure: failed_attachments\n  per: box\n  options: {within: 6 h}\n  raise_over: 2 failures\n  urgency: now\n  say: \"Box {box}: {value} of {visits}\"\n"}');
CREATE TABLE shut_out (person text primary key, at integer not null) strict;
CREATE TABLE tank (
    tank text not null, at integer not null, temperature_C real, litres real, cells_k_ml real, bacteria_k_ml real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text, first_line integer,
    primary key (at, tank)
) strict, without rowid;
INSERT INTO "tank" VALUES('1',1717374300,3.9,812.5,NULL,NULL,3,NULL,0,NULL,NULL,2);
CREATE TABLE tellers (id integer not null, feed text not null, primary key (id, feed)) strict, without rowid;
CREATE TABLE "ticks" (
    number integer primary key, at integer not null, kind text not null, jumped_s integer not null default 0,
    files_to integer not null default 0, settings_to integer not null default 0
) strict;
INSERT INTO "ticks" VALUES(1,1717372800,'start',0,0,1);
INSERT INTO "ticks" VALUES(2,1717373400,'run',0,1,1);
INSERT INTO "ticks" VALUES(3,1717374000,'run',0,2,1);
INSERT INTO "ticks" VALUES(4,1717374600,'run',0,3,1);
INSERT INTO "ticks" VALUES(5,1717376400,'run',0,4,1);
INSERT INTO "ticks" VALUES(6,1717378201,'run',0,4,1);
INSERT INTO "ticks" VALUES(7,1717379161,'run',0,4,1);
INSERT INTO "ticks" VALUES(8,1717379701,'run',0,4,1);
INSERT INTO "ticks" VALUES(9,1717380000,'run',0,5,1);
INSERT INTO "ticks" VALUES(10,1717383600,'run',0,6,1);
INSERT INTO "ticks" VALUES(11,1717387200,'run',0,7,1);
INSERT INTO "ticks" VALUES(12,1717390800,'run',0,8,1);
INSERT INTO "ticks" VALUES(13,1717394400,'run',0,9,1);
INSERT INTO "ticks" VALUES(14,1717398000,'run',0,10,1);
INSERT INTO "ticks" VALUES(15,1717401600,'run',0,11,1);
INSERT INTO "ticks" VALUES(16,1717405200,'run',0,12,1);
INSERT INTO "ticks" VALUES(17,1717405260,'run',0,12,1);
INSERT INTO "ticks" VALUES(18,1717408800,'run',0,13,1);
INSERT INTO "ticks" VALUES(19,1717412400,'run',0,14,1);
INSERT INTO "ticks" VALUES(20,1717416601,'run',0,14,1);
INSERT INTO "ticks" VALUES(21,1717426800,'run',0,15,1);
INSERT INTO "ticks" VALUES(22,1717430400,'run',0,16,1);
INSERT INTO "ticks" VALUES(23,1717434000,'run',0,17,1);
INSERT INTO "ticks" VALUES(24,1717437600,'run',0,18,1);
INSERT INTO "ticks" VALUES(25,1717441200,'run',0,19,1);
INSERT INTO "ticks" VALUES(26,1717444800,'run',0,20,1);
INSERT INTO "ticks" VALUES(27,1717448400,'run',0,21,1);
INSERT INTO "ticks" VALUES(28,1717452000,'run',0,22,1);
INSERT INTO "ticks" VALUES(29,1717455600,'run',0,23,1);
INSERT INTO "ticks" VALUES(30,1717455900,'run',0,24,1);
INSERT INTO "ticks" VALUES(31,1717456500,'run',0,24,1);
INSERT INTO "ticks" VALUES(32,1717456560,'run',0,24,1);
INSERT INTO "ticks" VALUES(33,1717456620,'run',0,24,1);
INSERT INTO "ticks" VALUES(34,1717456800,'stop',0,24,1);
CREATE TABLE visits (
    cow text not null, start integer not null, box text, duration_s real, outcome text, milk_kg real,
    attach_s real, attempts integer,
    lf_conductivity_mS_cm real, lf_milk_kg real, lf_kicked_off integer, lf_x_mm real, lf_y_mm real, lf_z_mm real,
    rf_conductivity_mS_cm real, rf_milk_kg real, rf_kicked_off integer, rf_x_mm real, rf_y_mm real, rf_z_mm real,
    lr_conductivity_mS_cm real, lr_milk_kg real, lr_kicked_off integer, lr_x_mm real, lr_y_mm real, lr_z_mm real,
    rr_conductivity_mS_cm real, rr_milk_kg real, rr_kicked_off integer, rr_x_mm real, rr_y_mm real, rr_z_mm real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text, first_line integer, "peak_flow_kg_min" real,
    primary key (start, cow)
) strict, without rowid;
INSERT INTO "visits" VALUES('1',1717373100,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717373400,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717373700,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717374000,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717374300,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717374600,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('7',1717374900,'2',NULL,'milked',9.5,NULL,NULL,5.7,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('8',1717375200,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,4,1717376400,0,NULL,NULL,9,NULL);
INSERT INTO "visits" VALUES('1',1717376700,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717377000,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717377300,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717377600,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717377900,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717378200,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('7',1717378500,'2',NULL,'milked',9.5,NULL,NULL,5.7,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('8',1717378800,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,5,1717380000,0,NULL,NULL,9,NULL);
INSERT INTO "visits" VALUES('1',1717380300,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717380600,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717380900,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717381200,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717381500,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717381800,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('7',1717382100,'2',NULL,'milked',9.5,NULL,NULL,5.7,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('8',1717382400,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,6,1717383600,0,NULL,NULL,9,NULL);
INSERT INTO "visits" VALUES('1',1717383900,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,7,1717387200,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717384200,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,7,1717387200,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717384500,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,7,1717387200,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717384800,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,7,1717387200,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717385100,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,7,1717387200,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717385400,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,7,1717387200,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717386000,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,7,1717387200,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717387500,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,8,1717390800,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717387800,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,8,1717390800,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717388100,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,8,1717390800,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717388400,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,8,1717390800,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717388700,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,8,1717390800,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717389000,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,8,1717390800,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717389600,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,8,1717390800,1,0,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717391100,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,9,1717394400,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717391400,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,9,1717394400,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717391700,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,9,1717394400,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717392000,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,9,1717394400,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717392300,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,9,1717394400,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717392600,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,9,1717394400,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717393200,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,9,1717394400,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717394700,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,10,1717398000,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717395000,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,10,1717398000,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717395300,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,10,1717398000,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717395600,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,10,1717398000,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717395900,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,10,1717398000,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717396200,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,10,1717398000,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717396800,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,10,1717398000,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717398300,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,11,1717401600,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717398600,'1',NULL,'failed',NULL,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,11,1717401600,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717398900,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,11,1717401600,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717399200,'1',NULL,'failed',NULL,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,11,1717401600,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717399500,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,11,1717401600,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717399800,'1',NULL,'failed',NULL,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,11,1717401600,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717400400,'1',NULL,'failed',NULL,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,11,1717401600,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717401900,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,12,1717405200,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717402200,'1',NULL,'milked',8.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,12,1717408800,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717402500,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,12,1717405200,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717402800,'1',NULL,'failed',NULL,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,12,1717405200,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717403100,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,12,1717405200,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717403400,'1',NULL,'failed',NULL,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,12,1717405200,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717404000,'1',NULL,'failed',NULL,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,12,1717405200,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717405500,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,13,1717408800,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717405800,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,13,1717408800,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717406100,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,13,1717408800,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717406400,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,13,1717408800,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717406700,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,13,1717408800,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717407000,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,13,1717408800,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717407600,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,13,1717408800,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717409100,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,1717412400,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717409400,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,1717412400,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717409700,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,1717412400,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717410000,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,1717412400,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717410300,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,1717412400,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717410600,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,1717412400,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717411200,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,14,1717412400,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717423500,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,15,1717426800,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717423800,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,15,1717426800,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717424100,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,15,1717426800,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717424400,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,15,1717426800,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717424700,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,15,1717426800,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717425000,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,15,1717426800,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717425600,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,15,1717426800,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717427100,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,16,1717430400,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717427400,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,16,1717430400,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717427700,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,16,1717430400,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717428000,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,16,1717430400,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717428300,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,16,1717430400,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717428600,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,16,1717430400,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717429200,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,16,1717430400,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717430700,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,17,1717434000,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717431000,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,17,1717434000,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717431300,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,17,1717434000,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717431600,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,17,1717434000,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717431900,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,17,1717434000,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717432200,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,17,1717434000,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717432800,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,17,1717434000,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717434300,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,18,1717437600,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717434600,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,18,1717437600,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717434900,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,18,1717437600,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717435200,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,18,1717437600,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717435500,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,18,1717437600,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717435800,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,18,1717437600,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717436400,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,18,1717437600,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717437900,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,19,1717441200,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717438200,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,19,1717441200,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717438500,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,19,1717441200,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717438800,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,19,1717441200,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717439100,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,19,1717441200,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717439400,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,19,1717441200,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717440000,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,19,1717441200,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717441500,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,20,1717444800,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717441800,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,20,1717444800,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717442100,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,20,1717444800,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717442400,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,20,1717444800,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717442700,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,20,1717444800,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717443000,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,20,1717444800,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717443600,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,20,1717444800,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717445100,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,21,1717448400,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717445400,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,21,1717448400,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717445700,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,21,1717448400,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717446000,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,21,1717448400,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717446300,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,21,1717448400,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717446600,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,21,1717448400,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717447200,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,21,1717448400,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717448700,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,22,1717452000,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717449000,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,22,1717452000,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717449300,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,22,1717452000,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717449600,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,22,1717452000,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717449900,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,22,1717452000,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717450200,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,22,1717452000,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717450800,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,22,1717452000,0,NULL,NULL,8,NULL);
INSERT INTO "visits" VALUES('1',1717452300,'2',NULL,'milked',9.5,NULL,NULL,5.1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,23,1717455600,0,NULL,NULL,2,NULL);
INSERT INTO "visits" VALUES('2',1717452600,'1',NULL,'milked',9.5,NULL,NULL,5.2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,23,1717455600,0,NULL,NULL,3,NULL);
INSERT INTO "visits" VALUES('3',1717452900,'2',NULL,'milked',9.5,NULL,NULL,5.3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,23,1717455600,0,NULL,NULL,4,NULL);
INSERT INTO "visits" VALUES('4',1717453200,'1',NULL,'milked',9.5,NULL,NULL,5.4,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,23,1717455600,0,NULL,NULL,5,NULL);
INSERT INTO "visits" VALUES('5',1717453500,'2',NULL,'milked',9.5,NULL,NULL,5.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,23,1717455600,0,NULL,NULL,6,NULL);
INSERT INTO "visits" VALUES('6',1717453800,'1',NULL,'milked',9.5,NULL,NULL,5.6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,23,1717455600,0,NULL,NULL,7,NULL);
INSERT INTO "visits" VALUES('8',1717454400,'1',NULL,'milked',9.5,NULL,NULL,5.8,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,23,1717455600,0,NULL,NULL,8,NULL);
CREATE TABLE withdrawn (file text primary key, at integer not null) strict;
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
CREATE INDEX set_aside_by_file on set_aside (file_id);
CREATE INDEX files_not_mended on files (id) where mended = 0 and rows_set_aside > 0;
CREATE VIEW unread as
select f.feed, f.file, min(s.line) as line, s.tab, s.who, s.box, s.begins, s.ends, count(*) as number
from files f cross join set_aside s on s.file_id = f.id
where f.mended = 0 and f.rows_set_aside > 0 and s.kept = 0 and s.begins is not null and s.ends is not null
group by f.id, s.tab, s.who, s.box, s.begins, s.ends;
CREATE INDEX ticks_by_time on ticks (at);
CREATE INDEX ticks_jumped on ticks (number) where jumped_s <> 0;
CREATE INDEX alerts_by_incident on alerts (incident);
CREATE INDEX chores_by_name on chores (chore, place, at);
COMMIT;
