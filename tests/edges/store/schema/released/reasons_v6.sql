-- Exports of which something cannot be read, as sentinel 0.1.0 stored them; schema 6.
BEGIN TRANSACTION;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
);
INSERT INTO "_sqlite_migrations" VALUES(1,'sentinel','m001_first','2026-11-29 14:25:55.028052+00:00');
INSERT INTO "_sqlite_migrations" VALUES(2,'sentinel','m002_page','2026-11-29 14:25:55.029397+00:00');
INSERT INTO "_sqlite_migrations" VALUES(3,'sentinel','m003_unread','2026-11-29 14:25:55.031396+00:00');
INSERT INTO "_sqlite_migrations" VALUES(4,'sentinel','m004_course_of_alerts','2026-11-29 14:25:55.033142+00:00');
INSERT INTO "_sqlite_migrations" VALUES(5,'sentinel','m005_feeds_of_rows','2026-11-29 14:25:55.036633+00:00');
INSERT INTO "_sqlite_migrations" VALUES(6,'sentinel','m006_clock','2026-11-29 14:25:55.040030+00:00');
CREATE TABLE alerts (
    id integer primary key, rule text not null, subject text not null, raised_at integer not null,
    since integer not null, urgency text not null, text text not null, value real, facts text not null,
    look_first text not null, over_at integer, over_why text not null, answered_at integer,
    answered_by text not null, finding text not null, note text not null, covered_by text not null,
    again integer not null, came_at integer
, lies_with text not null default '', lies_from integer, caution text not null default '[]', raised_value real, worst_value real, course text not null default '', eased text not null default '') strict;
INSERT INTO "alerts" VALUES(1,'late-cow','cow:7',1777881600,1777881600,'round','Cow 7',NULL,'{}','[]',1777881601,'it stood for as long as its rule lets it',NULL,'','','','[]',0,NULL,'',NULL,'[]',NULL,NULL,'','');
INSERT INTO "alerts" VALUES(2,'late-cow','cow:7',1777881600,1777881600,'round','Cow 7',NULL,'{}','[]',1777881601,'the condition ended',NULL,'','','','[]',0,NULL,'',NULL,'[]',NULL,NULL,'','');
INSERT INTO "alerts" VALUES(3,'late-cow','cow:7',1777881600,1777881600,'round','Cow 7',NULL,'{}','[]',1777881601,'it is no longer watched',NULL,'','','','[]',0,NULL,'',NULL,'[]',NULL,NULL,'','');
INSERT INTO "alerts" VALUES(4,'late-cow','cow:7',1777881600,1777881600,'round','Cow 7',NULL,'{}','[]',1777881601,'the rule is no longer in use',NULL,'','','','[]',0,NULL,'',NULL,'[]',NULL,NULL,'','');
INSERT INTO "alerts" VALUES(5,'late-cow','cow:7',1777881600,1777881600,'round','Cow 7',NULL,'{}','[]',1777881601,'',NULL,'','','','[]',0,NULL,'',NULL,'[]',NULL,NULL,'','');
CREATE TABLE answers (
    id integer primary key, alert integer not null, at integer not null, person text not null,
    finding text not null, note text not null, known_at integer
, until integer, hand_to text not null default '') strict;
CREATE TABLE box_log (
    box text not null, at integer not null, event text not null, text text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text,
    primary key (at, box, event)
) strict, without rowid;
CREATE TABLE changes (
    id integer primary key, file_id integer not null references files (id), at integer not null,
    tab text not null, key text not null, old text not null, new text not null, correction integer not null
) strict;
INSERT INTO "changes" VALUES(1,4,1777881603,'visits','["7", 1774675800]','{"milk_kg": null}','{"milk_kg": 9.5}',0);
CREATE TABLE chores (
    id integer primary key, chore text not null, place text not null, at integer not null, person text not null,
    note text not null, known_at integer
) strict;
CREATE TABLE cow_tests (
    cow text not null, at integer not null, cells_k_ml real, milk_kg real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text,
    primary key (at, cow)
) strict, without rowid;
CREATE TABLE cows (
    cow text not null, "from" integer not null, "group" text, lactation integer, calved_on integer,
    milkings_allowed real, status text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text,
    primary key ("from", cow)
) strict, without rowid;
CREATE TABLE deliveries (
    notice integer not null references notices (id), channel text not null, outcome text not null,
    attempts integer not null, next_at integer, at integer, detail text not null, known_at integer,
    primary key (notice, channel)
) strict, without rowid;
INSERT INTO "deliveries" VALUES(1,'p','gave_up',9,NULL,1777881600,'no address is known for this channel',NULL);
INSERT INTO "deliveries" VALUES(2,'p','gave_up',9,NULL,1777881600,'its address cannot be understood',NULL);
INSERT INTO "deliveries" VALUES(3,'p','gave_up',9,NULL,1777881600,'its address needs a package that is not installed: slixmpp >= 1.10.0',NULL);
INSERT INTO "deliveries" VALUES(4,'p','gave_up',9,NULL,1777881600,'its service cannot be used on this machine',NULL);
INSERT INTO "deliveries" VALUES(5,'p','gave_up',9,NULL,1777881600,'not sent: an earlier message still hangs',NULL);
INSERT INTO "deliveries" VALUES(6,'p','gave_up',9,NULL,1777881600,'not sent: it is over or answered by now',NULL);
INSERT INTO "deliveries" VALUES(7,'p','gave_up',9,NULL,1777881600,'not sent (ValueError)',NULL);
INSERT INTO "deliveries" VALUES(8,'p','gave_up',9,NULL,1777881600,'no answer within 10 s; it may still arrive',NULL);
INSERT INTO "deliveries" VALUES(9,'p','gave_up',9,NULL,1777881600,'no answer in time; it may still arrive',NULL);
INSERT INTO "deliveries" VALUES(10,'p','gave_up',9,NULL,1777881600,'the service did not take it',NULL);
INSERT INTO "deliveries" VALUES(11,'p','gave_up',9,NULL,1777881600,'no connection, or no sensible answer',NULL);
INSERT INTO "deliveries" VALUES(12,'p','gave_up',9,NULL,1777881600,'the service answered 503',NULL);
INSERT INTO "deliveries" VALUES(13,'p','gave_up',9,NULL,1777881600,'taken by the service',NULL);
INSERT INTO "deliveries" VALUES(14,'p','gave_up',9,NULL,1777881600,'',NULL);
CREATE TABLE feeds (
    feed text primary key, tables text not null, known_until integer, last_at integer
, columns text) strict;
INSERT INTO "feeds" VALUES('visits','["visits"]',1774675800,1777881630,'{"visits": ["attempts", "box", "cow", "duration_s", "milk_kg", "outcome", "start"]}');
INSERT INTO "feeds" VALUES('lines','[]',NULL,1777881632,'{"visits": ["cow", "milk_kg", "start"]}');
INSERT INTO "feeds" VALUES('book','[]',NULL,1777881638,'{}');
INSERT INTO "feeds" VALUES('icar','["visits"]',1774679400,1777881645,'{"visits": ["cow", "milk_kg", "outcome", "start"]}');
CREATE TABLE files (
    id integer primary key, feed text not null, file text not null, at integer not null, sha256 text not null,
    rows_read integer not null, rows_set_aside integer not null, reason text not null, complete_until integer,
    newest integer, continues integer not null default 0, mended integer not null default 0
, rows_in_part integer not null default 0) strict;
INSERT INTO "files" VALUES(1,'visits','01.csv',1777881600,'e5df2474a721e2d4555452c86810c9ead320f40359e1dddc22b7d633e753ca56',1,0,'"Kg": "9.5" is not a number with the decimal mark ","',NULL,1774675800,0,0,1);
INSERT INTO "files" VALUES(2,'visits','02.csv',1777881601,'5931b2b9ddc2c0a1630379e01e70f3cd75d82df035f8c90b84cfca48cc52dd91',1,0,'"Kg": "x" is not a number',NULL,1774675800,0,0,1);
INSERT INTO "files" VALUES(3,'visits','03.csv',1777881602,'b40e3088406644f56ececa3198394acd0b919994f79dfdcbf97aae2f4c6b33c6',1,0,'"Kg": "99999999999999999999999999999999999999999999999999" is too large a number',NULL,1774675800,0,0,1);
INSERT INTO "files" VALUES(4,'visits','04.csv',1777881603,'34a5f1180d06ddbce614e4fe6b78e79077e6075625f9384aa2113be3cf316ebd',1,0,'"Tries": "1,5" is not a whole number',NULL,1774675800,0,0,1);
INSERT INTO "files" VALUES(5,'visits','05.csv',1777881604,'8001c8c5924aae88279685f41272340f011a84dc43d616e56a9609455ce803cc',1,0,'"Stay": "5:99" is not a duration written min:sec',NULL,1774675800,0,0,1);
INSERT INTO "files" VALUES(6,'visits','06.csv',1777881605,'ea4e902313f6c0d76d50faaa2b73808579e98aa7377b41206410c94d7f200deb',1,0,'"Ended": "dnoe" is not in the map''s word table (did you mean "done"?)',NULL,1774675800,0,0,1);
INSERT INTO "files" VALUES(7,'visits','07.csv',1777881606,'b1338205579721ada7da3f6c1dd2b388e3348ff17621409d728858cd3893b454',1,0,'"Ended": "what is this?" is not in the map''s word table (known here: done, cut short)',NULL,1774675800,0,0,1);
INSERT INTO "files" VALUES(8,'visits','08.csv',1777881607,'3778cc3764bbd971f9706b1e9e156da70dff485f16a2d937105ac4496f22d146',0,1,'"Start": "32.03.2026 06:30" is not a time like 28.03.2026 06:30',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(9,'visits','09.csv',1777881608,'f8976ddc436ab03534961e9e7367262f5e6ce824d0c4c24b241adf46139e6680',0,1,'"Start": "kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk…" is not a time',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(10,'visits','10.csv',1777881609,'f74b3fd7c4eea9ddefd5c5d00ee7effa5156330b57e03909667cc15b4332da02',0,1,'"Start": "1926-03-28T06:30:00" is not a moment on this farm',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(11,'visits','11.csv',1777881610,'8d1b483d8c592e51af2e6e47a1885ecd6ce4c1508dc54e85c577e7fd7a01c7e7',0,1,'"Start": "2026-03-29 02:30:00" does not exist: the clock skipped that hour in Europe/Berlin',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(12,'visits','12.csv',1777881611,'0fb397aec8e0bd8e3c2454072ab22a04e7cebc650b7323c17f9b8d6c57cad431',0,1,'"Start": "2026-10-25 02:30:00" came twice: the clock repeated that hour in Europe/Berlin',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(13,'visits','13.csv',1777881612,'5bd5dc83f28bf8a6529ab2636f5b64c9c417130795c66be853b051afeeddd7f3',0,1,'"Cow" is empty, and without it a row of visits cannot be told from another',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(14,'visits','14.csv',1777881613,'20d50b7a4b62169a48cceb2d8f58e204630096b49f2996bb4afd0b24a083600b',0,1,'"Cow": "777777777777777777777777777777777777777777777777777777777777…" is longer than 1,000 characters',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(15,'visits','15.csv',1777881614,'506a11228c5f82edb2d992ace2cd1fff201f2349e80e81faa44b3459ba88b625',1,1,'"Start": "32.03.2026 06:30" is not a time like 28.03.2026 06:30',NULL,1774675800,0,0,0);
INSERT INTO "files" VALUES(16,'visits','16.csv',1777881615,'dc30534f725f58c891c868b1f4f9ce4fe6fa236e8e86eb3030fbf8423fca1384',1,1,'has 2 cells where the titles have 7: it is cut short or has a line break inside',NULL,1774675800,0,0,0);
INSERT INTO "files" VALUES(17,'visits','17.csv',1777881616,'8c38e35c41864bf2d0a211ad527d1c830d653419d2c91ddfa00129f405809ec5',0,1,'has 9 cells where the titles have 7: is the delimiter or decimal mark inside a cell?',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(18,'visits','18.csv',1777881617,'bf3cdc44a6cdf2ce4ef0876b6fbf4a8f8357658361a86093340ea47197552330',1,1,'has bytes that are not utf-8 text; is the map''s encoding right? (often it is cp1252)',NULL,1774675800,0,0,0);
INSERT INTO "files" VALUES(19,'visits','19.csv',1777881618,'baaadf335e5a9f6d3d078f58a823d54d960cf840717752fe313134356b63daa3',1,1,'a quote is opened and never closed',NULL,1774675800,0,0,0);
INSERT INTO "files" VALUES(20,'visits','20.csv',1777881619,'a707e661c9b371782f7e911861963f3bf1f60c636c6e3f2fd49f8c6930a23519',0,1,'its titles lack "Ended" (did you mean "Endd"?), "Kg" (known here: Cow, Start, Box, Stay, Endd, Kilos, Tries)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(21,'visits','21.csv',1777881620,'73cb3858a687a8494ca3323053016282f3dad39d42cf62ca4e79dda2aac7d9ac',0,1,'its titles lack "Cow", "Start", "Box" (known here: x) and 4 more; is the map''s delimiter right?',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(22,'visits','22.csv',1777881621,'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',0,1,'it is empty; the column titles should stand on line 1',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(23,'visits','23.csv',1777881622,'911169ddaaf146aff539f58c26c489af3b892dff0fe283c1c264c65ae5aa59a2',0,1,'it has only 2 lines; the column titles should stand on line 4',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(24,'visits','24.csv',1777881623,'f9041d566fbf2793e6c334f9cd9788f4dd3fff99de09caf7854e19ba6b3c111b',0,1,'its column titles are not utf-8 text; is the map''s encoding right? (often it is cp1252)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(25,'visits','25.csv',1777881624,'0500261dcc0734ce0f79bcb4c82ced6798c57359141b594d8fa34650ff24a73e',0,1,'it cannot be read as utf-16-le text',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(26,'visits','26.csv',1777881625,'cc2142b865f20ebf8ef1a0cdcf3f4afb5c7fe0d58f68a4f2f1ad35615ca92e62',0,1,'it is larger than 0.03 MB',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(27,'visits','27.csv',1777881626,'41523e0de376994d222d3c6ddf605afd16e054158ea327177173b03e946c3256',0,1,'it has more than 20 rows',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(28,'visits','28.csv',1777881627,'627b9712291073765d025d7197136bb04d5cc353146d51beec25643183f23fa8',0,1,'it has more than 200 cells',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(29,'visits','29.csv',1777881628,'6e384843cc6282586e9cb37313ab2d3da139c4e14bf7637231916cbf5f631b6b',0,1,'it has more than 5,000 column titles',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(30,'visits','30.csv',1777881629,'ec1ce196ea1256eed527586ccfc8ffa6ef52f383b2c2697635066a909b57a91c',0,1,'its name does not fit the map''s pattern v_%Y%m%d',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(31,'visits','31.csv',1777881630,'ec1ce196ea1256eed527586ccfc8ffa6ef52f383b2c2697635066a909b57a91c',0,1,'"Start": "28.03.2026 06:30" is not an ISO time (2026-03-28 06:30)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(32,'lines','32.csv',1777881631,'d793efc8f5cb03d5006188fb3ffd08520aaa491a5cdd176350c2659c6902f934',0,5,'is JSON, but not an object with named values',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(33,'lines','33.csv',1777881632,'5d2d37e5cf41e20cc2faba1ec670baa164104dcbb8293df83a41d29772579e9e',0,2,'"start": "x" is not a number of seconds since 1970',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(34,'book','34.csv',1777881633,'77e3ffc4a76f43820779dda151d10afc40798b4fccde3960d4b9663d786dee9e',0,1,'it is not a workbook that can be read (File is not a zip file); was it copied completely?',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(35,'book','35.csv',1777881634,'f090b3d1552820802e1c58e40f836818db11b82f2f76805ed533b29057a53e01',0,1,'its sheet is empty; the column titles should stand in row 1',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(36,'book','36.csv',1777881635,'714c5fbed00c113bc4c3f4219fe35d507fce6a74f4be1ad13ef388f4797c5253',0,1,'its sheet has only 2 rows; the column titles should stand in row 5',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(37,'book','37.csv',1777881636,'5f6be83f58d7c3d65e4710fef2ba579bf539774c31237b5fcaddb4b4c20a5bbc',0,1,'it has no sheet "Aprl" (did you mean "April"?)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(38,'book','38.csv',1777881637,'5f6be83f58d7c3d65e4710fef2ba579bf539774c31237b5fcaddb4b4c20a5bbc',0,1,'it has no sheet "7" (known here: April)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(39,'book','39.csv',1777881638,'972766c15b2da4e537d394ec4b1f05cebe7f26179eadbb930845be5c383d2e9e',0,1,'it has more than 20 rows',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(40,'icar','icar_1.json',1777881639,'021fb596db81e6d02bf3d2586ee3981fe519f275c0ac9ca76bbcf2ebb4097d96',0,1,'it is not valid JSON: Expecting property name enclosed in double quotes in line 1; was it copied completely?',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(41,'icar','icar_2.json',1777881640,'18cd5d458b1bdbd39e1b11cdcb0640372937786edd44d732531f96140a63422a',0,1,'it is not valid JSON: Extra data in line 1; was it copied completely?',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(42,'icar','icar_3.json',1777881641,'b26f99543485cab0666a50160ed4281d01669a10feb99985525b10dd791f1e9d',0,1,'it is not UTF-8 text, as JSON must be (byte 1)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(43,'icar','icar_4.json',1777881642,'2bf44da8993a66a430dd4c39738cfaf9fd9ddc2c4d61481d6080e17232b21d4d',0,1,'it is nested too deeply to be a list of milking visits',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(44,'icar','icar_5.json',1777881643,'f9d86028c6e0d64e225186f96acb69338b2c59764df79162107f5c4bb34d1310',0,1,'it has neither a list of milking visits nor an object whose "member" is one',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(45,'icar','icar_6.json',1777881644,'a6968c18cc05e25579eff6e90742c34dc25a39beb366f00a7a1e26ea8afa6e66',0,1,'it gives "member" twice',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(46,'icar','icar_7.json',1777881645,'d9110bc8ff8f79c085e3da0822dff85085fb34efca6a533a986656b3b2c0ca6a',10,8,'item 1: is not an object',NULL,1774679400,0,0,10);
CREATE TABLE log (
    seq integer primary key, at integer not null, kind text not null, alert integer, rule text not null,
    subject text not null, person text not null, body text not null, previous text not null, hash text not null
) strict;
INSERT INTO "log" VALUES(1,1777881600,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "01.csv", "new": 1, "rows": 1}','0000000000000000000000000000000000000000000000000000000000000000','3db598ed1307f19f452f5d9d6fb904ba651af188a75c52eb0616998d80407fa9');
INSERT INTO "log" VALUES(2,1777881600,'set-aside',NULL,'','file:visits/01.csv','','{"file": "01.csv", "in_part": 1, "line": 2, "reason": "\"Kg\": \"9.5\" is not a number with the decimal mark \",\"", "rows": 1}','3db598ed1307f19f452f5d9d6fb904ba651af188a75c52eb0616998d80407fa9','40528869c6d0ee3f5b49fc4c23958a9a4b8192ef92c151d4ceeadd4545a14c9a');
INSERT INTO "log" VALUES(3,1777881601,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "02.csv", "new": 0, "rows": 1}','40528869c6d0ee3f5b49fc4c23958a9a4b8192ef92c151d4ceeadd4545a14c9a','fe4f588ad4a8bb7e03c503de8487477b2e94f48bcbf0247ee3478dc9d64dbdb3');
INSERT INTO "log" VALUES(4,1777881601,'set-aside',NULL,'','file:visits/02.csv','','{"file": "02.csv", "in_part": 1, "line": 2, "reason": "\"Kg\": \"x\" is not a number", "rows": 1}','fe4f588ad4a8bb7e03c503de8487477b2e94f48bcbf0247ee3478dc9d64dbdb3','c35a8d033702b7de51602cc6dd775b0e44f51a691c3a04eb91b873088d542d17');
INSERT INTO "log" VALUES(5,1777881602,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "03.csv", "new": 0, "rows": 1}','c35a8d033702b7de51602cc6dd775b0e44f51a691c3a04eb91b873088d542d17','97810f4bd36646cd0016ef18379e1e9a7a3215d6fc925c79d246b64828b09d25');
INSERT INTO "log" VALUES(6,1777881602,'set-aside',NULL,'','file:visits/03.csv','','{"file": "03.csv", "in_part": 1, "line": 2, "reason": "\"Kg\": \"99999999999999999999999999999999999999999999999999\" is too large a number", "rows": 1}','97810f4bd36646cd0016ef18379e1e9a7a3215d6fc925c79d246b64828b09d25','3dff4e93bfd32eba060bda53216cf1e600ff762a11e4e6a710d4fcc62b4a7ce4');
INSERT INTO "log" VALUES(7,1777881603,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "04.csv", "new": 0, "rows": 1}','3dff4e93bfd32eba060bda53216cf1e600ff762a11e4e6a710d4fcc62b4a7ce4','58ee069da9881ce2f339a3728c522eef129fde9a59a2eebaf28bdb87c309737f');
INSERT INTO "log" VALUES(8,1777881603,'set-aside',NULL,'','file:visits/04.csv','','{"file": "04.csv", "in_part": 1, "line": 2, "reason": "\"Tries\": \"1,5\" is not a whole number", "rows": 1}','58ee069da9881ce2f339a3728c522eef129fde9a59a2eebaf28bdb87c309737f','2b765b3622a7ed26ba29a0d75ea5ca31f035d1230fe753bfdda9dbcd337c3a34');
INSERT INTO "log" VALUES(9,1777881604,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "05.csv", "new": 0, "rows": 1}','2b765b3622a7ed26ba29a0d75ea5ca31f035d1230fe753bfdda9dbcd337c3a34','705ce9bdb5a585e7b48fe0b3880eaaa1217fc1c83f93fb426479d72d5536779f');
INSERT INTO "log" VALUES(10,1777881604,'set-aside',NULL,'','file:visits/05.csv','','{"file": "05.csv", "in_part": 1, "line": 2, "reason": "\"Stay\": \"5:99\" is not a duration written min:sec", "rows": 1}','705ce9bdb5a585e7b48fe0b3880eaaa1217fc1c83f93fb426479d72d5536779f','ac5506929e23d74a20490b53e55a517a4e6b73eb1a8ac19989f636973bebd926');
INSERT INTO "log" VALUES(11,1777881605,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "06.csv", "new": 0, "rows": 1}','ac5506929e23d74a20490b53e55a517a4e6b73eb1a8ac19989f636973bebd926','855b57e735b667a916701e301930cf195e0baca25ec534b4ff2c3957ca308c54');
INSERT INTO "log" VALUES(12,1777881605,'set-aside',NULL,'','file:visits/06.csv','','{"file": "06.csv", "in_part": 1, "line": 2, "reason": "\"Ended\": \"dnoe\" is not in the map''s word table (did you mean \"done\"?)", "rows": 1}','855b57e735b667a916701e301930cf195e0baca25ec534b4ff2c3957ca308c54','7a18b3cab326a096bd0f306b0fafa16bb1d4646102ae87991e75383e2aebc45c');
INSERT INTO "log" VALUES(13,1777881606,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "07.csv", "new": 0, "rows": 1}','7a18b3cab326a096bd0f306b0fafa16bb1d4646102ae87991e75383e2aebc45c','da57c437f77d908e9edfbb73f3bc8444fcb347ef9b18f8abb41d8fa679749f2c');
INSERT INTO "log" VALUES(14,1777881606,'set-aside',NULL,'','file:visits/07.csv','','{"file": "07.csv", "in_part": 1, "line": 2, "reason": "\"Ended\": \"what is this?\" is not in the map''s word table (known here: done, cut short)", "rows": 1}','da57c437f77d908e9edfbb73f3bc8444fcb347ef9b18f8abb41d8fa679749f2c','156ae5c81bab85a7ad19e34d593bb539b18fbf65c42bf328bc68eaff4e4c7bc6');
INSERT INTO "log" VALUES(15,1777881607,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "08.csv", "new": 0, "rows": 0}','156ae5c81bab85a7ad19e34d593bb539b18fbf65c42bf328bc68eaff4e4c7bc6','5cdce8664dbdd1190d8da3c07406c8ef94989ec511d0012b42b7bce62d65f158');
INSERT INTO "log" VALUES(16,1777881607,'set-aside',NULL,'','file:visits/08.csv','','{"file": "08.csv", "line": 2, "reason": "\"Start\": \"32.03.2026 06:30\" is not a time like 28.03.2026 06:30", "rows": 1}','5cdce8664dbdd1190d8da3c07406c8ef94989ec511d0012b42b7bce62d65f158','f4bf10d70ca3bff368ffc0271c57b1d35259ed0c3ee06f4eb2d8c9be98a5ac9d');
INSERT INTO "log" VALUES(17,1777881608,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "09.csv", "new": 0, "rows": 0}','f4bf10d70ca3bff368ffc0271c57b1d35259ed0c3ee06f4eb2d8c9be98a5ac9d','e11890c16b28696b6f7438d8d393d8715f020bcaadbc36f77c372e6bc5d906d5');
INSERT INTO "log" VALUES(18,1777881608,'set-aside',NULL,'','file:visits/09.csv','','{"file": "09.csv", "line": 2, "reason": "\"Start\": \"kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk…\" is not a time", "rows": 1}','e11890c16b28696b6f7438d8d393d8715f020bcaadbc36f77c372e6bc5d906d5','35b4a623a5a72a202029eb44b23bbfb5616c811c725209a7d954cfe542a3ea1e');
INSERT INTO "log" VALUES(19,1777881609,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "10.csv", "new": 0, "rows": 0}','35b4a623a5a72a202029eb44b23bbfb5616c811c725209a7d954cfe542a3ea1e','fdf7552b3be185f3b78c10e54c34fe0161f7d7f3eefd71672802878ae627744b');
INSERT INTO "log" VALUES(20,1777881609,'set-aside',NULL,'','file:visits/10.csv','','{"file": "10.csv", "line": 2, "reason": "\"Start\": \"1926-03-28T06:30:00\" is not a moment on this farm", "rows": 1}','fdf7552b3be185f3b78c10e54c34fe0161f7d7f3eefd71672802878ae627744b','78e9eb8249d0f3a3bcb70a0a6519c55e0df746103bcd23c3f15983352481168e');
INSERT INTO "log" VALUES(21,1777881610,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "11.csv", "new": 0, "rows": 0}','78e9eb8249d0f3a3bcb70a0a6519c55e0df746103bcd23c3f15983352481168e','67108f21414d5f3d6a152a8e6ce7659141baa1c5c62b7feae98d5b48aa045511');
INSERT INTO "log" VALUES(22,1777881610,'set-aside',NULL,'','file:visits/11.csv','','{"file": "11.csv", "line": 2, "reason": "\"Start\": \"2026-03-29 02:30:00\" does not exist: the clock skipped that hour in Europe/Berlin", "rows": 1}','67108f21414d5f3d6a152a8e6ce7659141baa1c5c62b7feae98d5b48aa045511','d397dd13fd18cfffc55229b06aba6ca9068e379778f8e2a225cda7a5197b68e1');
INSERT INTO "log" VALUES(23,1777881611,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "12.csv", "new": 0, "rows": 0}','d397dd13fd18cfffc55229b06aba6ca9068e379778f8e2a225cda7a5197b68e1','ff2965ce88097664f5c4c8a06d4524eec446b977b25c25efa936d0d7097e973e');
INSERT INTO "log" VALUES(24,1777881611,'set-aside',NULL,'','file:visits/12.csv','','{"file": "12.csv", "line": 2, "reason": "\"Start\": \"2026-10-25 02:30:00\" came twice: the clock repeated that hour in Europe/Berlin", "rows": 1}','ff2965ce88097664f5c4c8a06d4524eec446b977b25c25efa936d0d7097e973e','13deb59fdd68d0f0df7a285f3874f5d2d65cf086bb1d3a9d6c3cd3e7da12f6b6');
INSERT INTO "log" VALUES(25,1777881612,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "13.csv", "new": 0, "rows": 0}','13deb59fdd68d0f0df7a285f3874f5d2d65cf086bb1d3a9d6c3cd3e7da12f6b6','2dd17a27b194520678555785ad1779a8f3e4fa8489dfa793eaf489f894979fa9');
INSERT INTO "log" VALUES(26,1777881612,'set-aside',NULL,'','file:visits/13.csv','','{"file": "13.csv", "line": 2, "reason": "\"Cow\" is empty, and without it a row of visits cannot be told from another", "rows": 1}','2dd17a27b194520678555785ad1779a8f3e4fa8489dfa793eaf489f894979fa9','e29330f39ede0c4fbe622d362e9c374af7a6c4b4b3993db602f812625c472b8a');
INSERT INTO "log" VALUES(27,1777881613,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "14.csv", "new": 0, "rows": 0}','e29330f39ede0c4fbe622d362e9c374af7a6c4b4b3993db602f812625c472b8a','336e8d0edc4db1a607f72590786caf48c9647c05d29e6a437610c2a1980adc27');
INSERT INTO "log" VALUES(28,1777881613,'set-aside',NULL,'','file:visits/14.csv','','{"file": "14.csv", "line": 2, "reason": "\"Cow\": \"777777777777777777777777777777777777777777777777777777777777…\" is longer than 1,000 characters", "rows": 1}','336e8d0edc4db1a607f72590786caf48c9647c05d29e6a437610c2a1980adc27','f68b57e44b53113673762cd5723494580bd7850d1406802b71654dd34d0fe638');
INSERT INTO "log" VALUES(29,1777881614,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "15.csv", "new": 0, "rows": 1}','f68b57e44b53113673762cd5723494580bd7850d1406802b71654dd34d0fe638','ce2c44860e5d8e66bde1d8a54efadd05f49a7d960a6493593bcdf43ba660f593');
INSERT INTO "log" VALUES(30,1777881614,'set-aside',NULL,'','file:visits/15.csv','','{"file": "15.csv", "line": 2, "reason": "\"Start\": \"32.03.2026 06:30\" is not a time like 28.03.2026 06:30", "rows": 1}','ce2c44860e5d8e66bde1d8a54efadd05f49a7d960a6493593bcdf43ba660f593','d22b1b1728d0bec6737a35e297f8b78f16d34ee64f099108047643a55512bd90');
INSERT INTO "log" VALUES(31,1777881615,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "16.csv", "new": 0, "rows": 1}','d22b1b1728d0bec6737a35e297f8b78f16d34ee64f099108047643a55512bd90','3bf604b6034800999ad1811680ca3f8954d602afa8c10d22f12d649dcc19bd48');
INSERT INTO "log" VALUES(32,1777881615,'set-aside',NULL,'','file:visits/16.csv','','{"file": "16.csv", "line": 2, "reason": "has 2 cells where the titles have 7: it is cut short or has a line break inside", "rows": 1}','3bf604b6034800999ad1811680ca3f8954d602afa8c10d22f12d649dcc19bd48','9c3f1e5b6c29f8ca060e53a1b80a1c54508bcea1eb620adf85244199b3a6e602');
INSERT INTO "log" VALUES(33,1777881616,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "17.csv", "new": 0, "rows": 0}','9c3f1e5b6c29f8ca060e53a1b80a1c54508bcea1eb620adf85244199b3a6e602','ebe16ebccfc64e5818fd88440a4cf4531554ddd11fc3de9451f66dd76aa86557');
INSERT INTO "log" VALUES(34,1777881616,'set-aside',NULL,'','file:visits/17.csv','','{"file": "17.csv", "line": 2, "reason": "has 9 cells where the titles have 7: is the delimiter or decimal mark inside a cell?", "rows": 1}','ebe16ebccfc64e5818fd88440a4cf4531554ddd11fc3de9451f66dd76aa86557','dc3bc07a972b32a677d6af2a389ff0f9de9781059727ca737481b47c605bd15a');
INSERT INTO "log" VALUES(35,1777881617,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "18.csv", "new": 0, "rows": 1}','dc3bc07a972b32a677d6af2a389ff0f9de9781059727ca737481b47c605bd15a','9f28b711a56b04d9ed0cad559b090f8a353c0c0565a9818f99030236b9fb23b7');
INSERT INTO "log" VALUES(36,1777881617,'set-aside',NULL,'','file:visits/18.csv','','{"file": "18.csv", "line": 3, "reason": "has bytes that are not utf-8 text; is the map''s encoding right? (often it is cp1252)", "rows": 1}','9f28b711a56b04d9ed0cad559b090f8a353c0c0565a9818f99030236b9fb23b7','38e785ec47ca13fc53513b7e8ce9c76537d16d1f3641508642d3889ac8d367e5');
INSERT INTO "log" VALUES(37,1777881618,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "19.csv", "new": 0, "rows": 1}','38e785ec47ca13fc53513b7e8ce9c76537d16d1f3641508642d3889ac8d367e5','a5fb003623eff20bfee30b36c84695a742eeeb8209b89d782554c99409b2c8da');
INSERT INTO "log" VALUES(38,1777881618,'set-aside',NULL,'','file:visits/19.csv','','{"file": "19.csv", "line": 2, "reason": "a quote is opened and never closed", "rows": 1}','a5fb003623eff20bfee30b36c84695a742eeeb8209b89d782554c99409b2c8da','5ece22744a4bf91a3e0b3da020fc47f565428627d7bc6b7471d9505273761fef');
INSERT INTO "log" VALUES(39,1777881619,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "20.csv", "new": 0, "rows": 0}','5ece22744a4bf91a3e0b3da020fc47f565428627d7bc6b7471d9505273761fef','b6097215a62612d62c905b14502eb6cad09bd7890489016fefd7e1b548620901');
INSERT INTO "log" VALUES(40,1777881619,'set-aside',NULL,'','file:visits/20.csv','','{"file": "20.csv", "line": 0, "reason": "its titles lack \"Ended\" (did you mean \"Endd\"?), \"Kg\" (known here: Cow, Start, Box, Stay, Endd, Kilos, Tries)", "rows": 1}','b6097215a62612d62c905b14502eb6cad09bd7890489016fefd7e1b548620901','d52cbe3f91bcc393798c0ef4a8ca2bf4977637579296638c765c67fb9b72d002');
INSERT INTO "log" VALUES(41,1777881620,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "21.csv", "new": 0, "rows": 0}','d52cbe3f91bcc393798c0ef4a8ca2bf4977637579296638c765c67fb9b72d002','74eca74d7c9789941b4546a525033bfcb4b80fcb483786307226beeda08416d5');
INSERT INTO "log" VALUES(42,1777881620,'set-aside',NULL,'','file:visits/21.csv','','{"file": "21.csv", "line": 0, "reason": "its titles lack \"Cow\", \"Start\", \"Box\" (known here: x) and 4 more; is the map''s delimiter right?", "rows": 1}','74eca74d7c9789941b4546a525033bfcb4b80fcb483786307226beeda08416d5','eaa2059feb33d339d7f43c72ec8b1ddebd8d559b1ba56884ba123b79e45e2df1');
INSERT INTO "log" VALUES(43,1777881621,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "22.csv", "new": 0, "rows": 0}','eaa2059feb33d339d7f43c72ec8b1ddebd8d559b1ba56884ba123b79e45e2df1','9f4d7675c1508a0c24b5d23e5298b03d1c516783d53cf2f65f745426c86f6df5');
INSERT INTO "log" VALUES(44,1777881621,'set-aside',NULL,'','file:visits/22.csv','','{"file": "22.csv", "line": 0, "reason": "it is empty; the column titles should stand on line 1", "rows": 1}','9f4d7675c1508a0c24b5d23e5298b03d1c516783d53cf2f65f745426c86f6df5','d4642762cc3dfc00215860de3f998dcd425b4d7cefe90542c898533b4517524a');
INSERT INTO "log" VALUES(45,1777881622,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "23.csv", "new": 0, "rows": 0}','d4642762cc3dfc00215860de3f998dcd425b4d7cefe90542c898533b4517524a','9ccca14e0b151bd98426fa90e6bf6f044fef1cc14561162934a758fc02d8c5a6');
INSERT INTO "log" VALUES(46,1777881622,'set-aside',NULL,'','file:visits/23.csv','','{"file": "23.csv", "line": 0, "reason": "it has only 2 lines; the column titles should stand on line 4", "rows": 1}','9ccca14e0b151bd98426fa90e6bf6f044fef1cc14561162934a758fc02d8c5a6','b39a96c3e1a0e0c79c28a5d7b4fe0f56387f46e2e2da4319ef7f29e1ad406061');
INSERT INTO "log" VALUES(47,1777881623,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "24.csv", "new": 0, "rows": 0}','b39a96c3e1a0e0c79c28a5d7b4fe0f56387f46e2e2da4319ef7f29e1ad406061','f6afe28f2db142058798fa6e1eb56760116d9809e633b922ddc0679ec08ff558');
INSERT INTO "log" VALUES(48,1777881623,'set-aside',NULL,'','file:visits/24.csv','','{"file": "24.csv", "line": 0, "reason": "its column titles are not utf-8 text; is the map''s encoding right? (often it is cp1252)", "rows": 1}','f6afe28f2db142058798fa6e1eb56760116d9809e633b922ddc0679ec08ff558','32ce3e9b1a70554acc1fe4526e063e8375934008dc151c9d9c40775048d4d080');
INSERT INTO "log" VALUES(49,1777881624,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "25.csv", "new": 0, "rows": 0}','32ce3e9b1a70554acc1fe4526e063e8375934008dc151c9d9c40775048d4d080','cc695f6f772b8f804b2262912ffaf21db94f72474fffae90f623dc61a1c04e8a');
INSERT INTO "log" VALUES(50,1777881624,'set-aside',NULL,'','file:visits/25.csv','','{"file": "25.csv", "line": 0, "reason": "it cannot be read as utf-16-le text", "rows": 1}','cc695f6f772b8f804b2262912ffaf21db94f72474fffae90f623dc61a1c04e8a','60e11186427247acb080237bd1eff2c46f888a1d020c8e8e0169419abc0424fe');
INSERT INTO "log" VALUES(51,1777881625,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "26.csv", "new": 0, "rows": 0}','60e11186427247acb080237bd1eff2c46f888a1d020c8e8e0169419abc0424fe','98ecb5565bf9d5636b20843261930fc6163b43802ac966707b9490c7fe7f875e');
INSERT INTO "log" VALUES(52,1777881625,'set-aside',NULL,'','file:visits/26.csv','','{"file": "26.csv", "line": 0, "reason": "it is larger than 0.03 MB", "rows": 1}','98ecb5565bf9d5636b20843261930fc6163b43802ac966707b9490c7fe7f875e','2ab0e57f820f96f3ac8913c25e292e0883b581e843e7f6517346a383088e308e');
INSERT INTO "log" VALUES(53,1777881626,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "27.csv", "new": 0, "rows": 0}','2ab0e57f820f96f3ac8913c25e292e0883b581e843e7f6517346a383088e308e','e64294a9df70cb633cf4ea72a9b0c98a7c0c14e10990b9ebd7ffa31b0cca7edc');
INSERT INTO "log" VALUES(54,1777881626,'set-aside',NULL,'','file:visits/27.csv','','{"file": "27.csv", "line": 0, "reason": "it has more than 20 rows", "rows": 1}','e64294a9df70cb633cf4ea72a9b0c98a7c0c14e10990b9ebd7ffa31b0cca7edc','af766c68ab5e332094119f085f65332017e64e3094ec323ac8bbb60902d4b81a');
INSERT INTO "log" VALUES(55,1777881627,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "28.csv", "new": 0, "rows": 0}','af766c68ab5e332094119f085f65332017e64e3094ec323ac8bbb60902d4b81a','9332ee650fc273886ae732bff4e5669178f627702a68958b7d4fdfcbcb29d40b');
INSERT INTO "log" VALUES(56,1777881627,'set-aside',NULL,'','file:visits/28.csv','','{"file": "28.csv", "line": 0, "reason": "it has more than 200 cells", "rows": 1}','9332ee650fc273886ae732bff4e5669178f627702a68958b7d4fdfcbcb29d40b','8dd082290807ca36e2d6fd7e72d3e87696bc1f2b26c3114aad55c4e27a729574');
INSERT INTO "log" VALUES(57,1777881628,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "29.csv", "new": 0, "rows": 0}','8dd082290807ca36e2d6fd7e72d3e87696bc1f2b26c3114aad55c4e27a729574','891113e85f955d7909013897325596d5580339457c8a64bae3542c098df08a92');
INSERT INTO "log" VALUES(58,1777881628,'set-aside',NULL,'','file:visits/29.csv','','{"file": "29.csv", "line": 0, "reason": "it has more than 5,000 column titles", "rows": 1}','891113e85f955d7909013897325596d5580339457c8a64bae3542c098df08a92','c196c9fd99105e133c374a0067565a3537d645ac6e840cf6850627e5e0dce9d7');
INSERT INTO "log" VALUES(59,1777881629,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "30.csv", "new": 0, "rows": 0}','c196c9fd99105e133c374a0067565a3537d645ac6e840cf6850627e5e0dce9d7','d89ddddedfadac5b424250a32d045c78f3b919c71c62f74cbc74d9fa6ace95e4');
INSERT INTO "log" VALUES(60,1777881629,'set-aside',NULL,'','file:visits/30.csv','','{"file": "30.csv", "line": 0, "reason": "its name does not fit the map''s pattern v_%Y%m%d", "rows": 1}','d89ddddedfadac5b424250a32d045c78f3b919c71c62f74cbc74d9fa6ace95e4','da1e903396c72a7a5cfa393f19cf1704ea68569ee144e2a9b5751a1b7c4998e1');
INSERT INTO "log" VALUES(61,1777881630,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "31.csv", "new": 0, "rows": 0}','da1e903396c72a7a5cfa393f19cf1704ea68569ee144e2a9b5751a1b7c4998e1','768e4032a4a42b63d75428e4de75b0e27be7f525c500972a731fdd41628bf229');
INSERT INTO "log" VALUES(62,1777881630,'set-aside',NULL,'','file:visits/31.csv','','{"file": "31.csv", "line": 2, "reason": "\"Start\": \"28.03.2026 06:30\" is not an ISO time (2026-03-28 06:30)", "rows": 1}','768e4032a4a42b63d75428e4de75b0e27be7f525c500972a731fdd41628bf229','8ac4606ad10d66f9ca9e5d8368afdbadd4d2a1706db2dc89a326af2691f5a54d');
INSERT INTO "log" VALUES(63,1777881631,'read',NULL,'','feed:lines','','{"corrected": 0, "file": "32.csv", "new": 0, "rows": 0}','8ac4606ad10d66f9ca9e5d8368afdbadd4d2a1706db2dc89a326af2691f5a54d','eb0c6dd2d59e7ca4e1ed6df5c7d9c94ce4d2d4ce7c38c166420ecdfcddf89a2c');
INSERT INTO "log" VALUES(64,1777881631,'set-aside',NULL,'','file:lines/32.csv','','{"file": "32.csv", "line": 1, "reason": "is JSON, but not an object with named values", "rows": 5}','eb0c6dd2d59e7ca4e1ed6df5c7d9c94ce4d2d4ce7c38c166420ecdfcddf89a2c','68101e17d037a0c1f54fa9bf1d6ef040c44a0eff6c28654202c328072ffbab79');
INSERT INTO "log" VALUES(65,1777881632,'read',NULL,'','feed:lines','','{"corrected": 0, "file": "33.csv", "new": 0, "rows": 0}','68101e17d037a0c1f54fa9bf1d6ef040c44a0eff6c28654202c328072ffbab79','9131e83aa25f5c41b318e4c4a16281729791db22c85de2898e528c46068d730f');
INSERT INTO "log" VALUES(66,1777881632,'set-aside',NULL,'','file:lines/33.csv','','{"file": "33.csv", "line": 1, "reason": "\"start\": \"x\" is not a number of seconds since 1970", "rows": 2}','9131e83aa25f5c41b318e4c4a16281729791db22c85de2898e528c46068d730f','baff8475d932de57705845bb4f587cca035dbb2a8ad0f32a398255ae679474c8');
INSERT INTO "log" VALUES(67,1777881633,'read',NULL,'','feed:book','','{"corrected": 0, "file": "34.csv", "new": 0, "rows": 0}','baff8475d932de57705845bb4f587cca035dbb2a8ad0f32a398255ae679474c8','24a235bc59ac91e662af5c93516aa6163a20f54d844ef3a2eb70737589daf7c9');
INSERT INTO "log" VALUES(68,1777881633,'set-aside',NULL,'','file:book/34.csv','','{"file": "34.csv", "line": 0, "reason": "it is not a workbook that can be read (File is not a zip file); was it copied completely?", "rows": 1}','24a235bc59ac91e662af5c93516aa6163a20f54d844ef3a2eb70737589daf7c9','b724b4acd5d219d36f21608a5d05937d76b79834e48040968aadfff697f897cc');
INSERT INTO "log" VALUES(69,1777881634,'read',NULL,'','feed:book','','{"corrected": 0, "file": "35.csv", "new": 0, "rows": 0}','b724b4acd5d219d36f21608a5d05937d76b79834e48040968aadfff697f897cc','0efae0025cbee0f2032f8d7fbf96f7d587da9c8b0b9a6f10ef46c20e3e496462');
INSERT INTO "log" VALUES(70,1777881634,'set-aside',NULL,'','file:book/35.csv','','{"file": "35.csv", "line": 0, "reason": "its sheet is empty; the column titles should stand in row 1", "rows": 1}','0efae0025cbee0f2032f8d7fbf96f7d587da9c8b0b9a6f10ef46c20e3e496462','a7cf2e4d73866fce5f54c5a6afa381a12bf1de7854e38cb96ade64d0e4e2a3b4');
INSERT INTO "log" VALUES(71,1777881635,'read',NULL,'','feed:book','','{"corrected": 0, "file": "36.csv", "new": 0, "rows": 0}','a7cf2e4d73866fce5f54c5a6afa381a12bf1de7854e38cb96ade64d0e4e2a3b4','1a128548da46754f6344cc84fc324b50c3826e605b8133b87ac129994b1c6bb6');
INSERT INTO "log" VALUES(72,1777881635,'set-aside',NULL,'','file:book/36.csv','','{"file": "36.csv", "line": 0, "reason": "its sheet has only 2 rows; the column titles should stand in row 5", "rows": 1}','1a128548da46754f6344cc84fc324b50c3826e605b8133b87ac129994b1c6bb6','f42da667a29a91219b6f0ebb2730c577873d0a31004de1b648b8dd602234dbfe');
INSERT INTO "log" VALUES(73,1777881636,'read',NULL,'','feed:book','','{"corrected": 0, "file": "37.csv", "new": 0, "rows": 0}','f42da667a29a91219b6f0ebb2730c577873d0a31004de1b648b8dd602234dbfe','e595183eb49d6688b6b0a4fda654cf44af92f2e72d0b509ea05a1a7e7f43307e');
INSERT INTO "log" VALUES(74,1777881636,'set-aside',NULL,'','file:book/37.csv','','{"file": "37.csv", "line": 0, "reason": "it has no sheet \"Aprl\" (did you mean \"April\"?)", "rows": 1}','e595183eb49d6688b6b0a4fda654cf44af92f2e72d0b509ea05a1a7e7f43307e','9208caeb7f2b01f400adde7cc010974706d598c7999752bbeb236ad98b0c924a');
INSERT INTO "log" VALUES(75,1777881637,'read',NULL,'','feed:book','','{"corrected": 0, "file": "38.csv", "new": 0, "rows": 0}','9208caeb7f2b01f400adde7cc010974706d598c7999752bbeb236ad98b0c924a','a4e9942a7d6cd3a089ef69e401041738b37770d19f1465174d2dcbf1b7c1ca1e');
INSERT INTO "log" VALUES(76,1777881637,'set-aside',NULL,'','file:book/38.csv','','{"file": "38.csv", "line": 0, "reason": "it has no sheet \"7\" (known here: April)", "rows": 1}','a4e9942a7d6cd3a089ef69e401041738b37770d19f1465174d2dcbf1b7c1ca1e','4e0e105da0d7cdb675f4e43d4c4a85b2a7d56e04467841a30bd3219261e57f71');
INSERT INTO "log" VALUES(77,1777881638,'read',NULL,'','feed:book','','{"corrected": 0, "file": "39.csv", "new": 0, "rows": 0}','4e0e105da0d7cdb675f4e43d4c4a85b2a7d56e04467841a30bd3219261e57f71','fc7de9fd6cf19c2fd7f32c82ab86a2a6b2babf0a1fc2cf319250ebcde56b4d7e');
INSERT INTO "log" VALUES(78,1777881638,'set-aside',NULL,'','file:book/39.csv','','{"file": "39.csv", "line": 0, "reason": "it has more than 20 rows", "rows": 1}','fc7de9fd6cf19c2fd7f32c82ab86a2a6b2babf0a1fc2cf319250ebcde56b4d7e','83e46ffb7d8dda2376f25416d717d9244a4019684e763328355d106f75c51e38');
INSERT INTO "log" VALUES(79,1777881639,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_1.json", "new": 0, "rows": 0}','83e46ffb7d8dda2376f25416d717d9244a4019684e763328355d106f75c51e38','fc528a5ecc1d2a52085e25a671e04b1a2576e688916e41ed5e5cff5f27cc6eea');
INSERT INTO "log" VALUES(80,1777881639,'set-aside',NULL,'','file:icar/icar_1.json','','{"file": "icar_1.json", "line": 0, "reason": "it is not valid JSON: Expecting property name enclosed in double quotes in line 1; was it copied completely?", "rows": 1}','fc528a5ecc1d2a52085e25a671e04b1a2576e688916e41ed5e5cff5f27cc6eea','922b0d68e23d4dcd696f223da97aa14b6316ac3e476847c40676d0ec3bc29722');
INSERT INTO "log" VALUES(81,1777881640,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_2.json", "new": 0, "rows": 0}','922b0d68e23d4dcd696f223da97aa14b6316ac3e476847c40676d0ec3bc29722','2be99cda3504dbdc34e7f438852370703170901b75a1f9eb555f2776b1ab7889');
INSERT INTO "log" VALUES(82,1777881640,'set-aside',NULL,'','file:icar/icar_2.json','','{"file": "icar_2.json", "line": 0, "reason": "it is not valid JSON: Extra data in line 1; was it copied completely?", "rows": 1}','2be99cda3504dbdc34e7f438852370703170901b75a1f9eb555f2776b1ab7889','72747ba63838b58603a862592f223f2f3a9cb43a998168081f33a7e71e2f9d9a');
INSERT INTO "log" VALUES(83,1777881641,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_3.json", "new": 0, "rows": 0}','72747ba63838b58603a862592f223f2f3a9cb43a998168081f33a7e71e2f9d9a','fdb2cae5c2b4f7400970acfc3c348eff5bce9b9a881560f6ad40c40982fdcc74');
INSERT INTO "log" VALUES(84,1777881641,'set-aside',NULL,'','file:icar/icar_3.json','','{"file": "icar_3.json", "line": 0, "reason": "it is not UTF-8 text, as JSON must be (byte 1)", "rows": 1}','fdb2cae5c2b4f7400970acfc3c348eff5bce9b9a881560f6ad40c40982fdcc74','d3e2851f4e2d4101560497b5b6790ce0850972132189f49bcade01879e520b76');
INSERT INTO "log" VALUES(85,1777881642,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_4.json", "new": 0, "rows": 0}','d3e2851f4e2d4101560497b5b6790ce0850972132189f49bcade01879e520b76','97a7bd40e81f94ed4fe827eace5ee4c2bde2d9fa6ffd2bf2e9f2c5d8d627a58a');
INSERT INTO "log" VALUES(86,1777881642,'set-aside',NULL,'','file:icar/icar_4.json','','{"file": "icar_4.json", "line": 0, "reason": "it is nested too deeply to be a list of milking visits", "rows": 1}','97a7bd40e81f94ed4fe827eace5ee4c2bde2d9fa6ffd2bf2e9f2c5d8d627a58a','d4330870eb0b7b369d5d0c519e44195cbd529924d76ab6adb0f4b9eb496bc881');
INSERT INTO "log" VALUES(87,1777881643,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_5.json", "new": 0, "rows": 0}','d4330870eb0b7b369d5d0c519e44195cbd529924d76ab6adb0f4b9eb496bc881','b590a4176e80880ce0425f6a86e4661b9098028cdd301d8643e76f6b9e7ad728');
INSERT INTO "log" VALUES(88,1777881643,'set-aside',NULL,'','file:icar/icar_5.json','','{"file": "icar_5.json", "line": 0, "reason": "it has neither a list of milking visits nor an object whose \"member\" is one", "rows": 1}','b590a4176e80880ce0425f6a86e4661b9098028cdd301d8643e76f6b9e7ad728','48b0fb3bbde877958efe944a31d12befb8642cf928ea0f9f5cea7ece7155d2bb');
INSERT INTO "log" VALUES(89,1777881644,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_6.json", "new": 0, "rows": 0}','48b0fb3bbde877958efe944a31d12befb8642cf928ea0f9f5cea7ece7155d2bb','fd9251873bcb9d474182687adb925fb34196843b4ec72956d8c8421c8367c83f');
INSERT INTO "log" VALUES(90,1777881644,'set-aside',NULL,'','file:icar/icar_6.json','','{"file": "icar_6.json", "line": 0, "reason": "it gives \"member\" twice", "rows": 1}','fd9251873bcb9d474182687adb925fb34196843b4ec72956d8c8421c8367c83f','1a196ea59956d7e1577e23c3c75574c63bf1e5ce47d2e8b89045dbcf0669c00c');
INSERT INTO "log" VALUES(91,1777881645,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_7.json", "new": 1, "rows": 10}','1a196ea59956d7e1577e23c3c75574c63bf1e5ce47d2e8b89045dbcf0669c00c','a5951055d7bfedc283cbc0c206378fa7312edb4ac095dad473cc1e73a9fba524');
INSERT INTO "log" VALUES(92,1777881645,'set-aside',NULL,'','file:icar/icar_7.json','','{"file": "icar_7.json", "in_part": 10, "line": 1, "reason": "item 1: is not an object", "rows": 18}','a5951055d7bfedc283cbc0c206378fa7312edb4ac095dad473cc1e73a9fba524','d5b7b164c92718e34430c4285f1236dc63808ee90af4e2c5034ed8aa0e7600b7');
CREATE TABLE meta (key text primary key, value text not null) strict;
CREATE TABLE notices (
    id integer primary key, at integer not null, person text not null, kind text not null, title text not null,
    body text not null, urgency text not null, alerts text not null
) strict;
INSERT INTO "notices" VALUES(1,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(2,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(3,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(4,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(5,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(6,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(7,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(8,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(9,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(10,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(11,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(12,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(13,1777881600,'Marit','alert','','','now','[1]');
INSERT INTO "notices" VALUES(14,1777881600,'Marit','alert','','','now','[1]');
CREATE TABLE page_links (
    id integer primary key, person text not null, read_only integer not null, made_at integer not null,
    until integer not null, withdrawn_at integer, used_at integer
) strict;
CREATE TABLE put_back (
    tab text not null, key text not null, name text not null, was integer not null, became integer not null,
    primary key (tab, key, name)
) strict, without rowid;
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
INSERT INTO "set_aside" VALUES(1,1,2,'7;28.03.2026 06:30;1;5:32;done;9.5;1','"Kg": "9.5" is not a number with the decimal mark ","',1,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(2,2,2,'7;28.03.2026 06:30;1;5:32;done;x;1','"Kg": "x" is not a number',1,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(3,3,2,'7;28.03.2026 06:30;1;5:32;done;99999999999999999999999999999999999999999999999999;1','"Kg": "99999999999999999999999999999999999999999999999999" is too large a number',1,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(4,4,2,'7;28.03.2026 06:30;1;5:32;done;9,5;1,5','"Tries": "1,5" is not a whole number',1,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(5,5,2,'7;28.03.2026 06:30;1;5:99;done;9,5;1','"Stay": "5:99" is not a duration written min:sec',1,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(6,6,2,'7;28.03.2026 06:30;1;5:32;dnoe;9,5;1','"Ended": "dnoe" is not in the map''s word table (did you mean "done"?)',1,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(7,7,2,'7;28.03.2026 06:30;1;5:32;what is this?;9,5;1','"Ended": "what is this?" is not in the map''s word table (known here: done, cut short)',1,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(8,8,2,'7;32.03.2026 06:30;1;5:32;done;9,5;1','"Start": "32.03.2026 06:30" is not a time like 28.03.2026 06:30',0,'visits','7','1',1774675800,1777881607);
INSERT INTO "set_aside" VALUES(9,9,2,'7;kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk;1;5:32;done;9,5;1','"Start": "kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk…" is not a time',0,'visits','7','1',1774675800,1777881608);
INSERT INTO "set_aside" VALUES(10,10,2,'7;28.03.1926 06:30;1;5:32;done;9,5;1','"Start": "1926-03-28T06:30:00" is not a moment on this farm',0,'visits','7','1',1774675800,1777881609);
INSERT INTO "set_aside" VALUES(11,11,2,'7;29.03.2026 02:30;1;5:32;done;9,5;1','"Start": "2026-03-29 02:30:00" does not exist: the clock skipped that hour in Europe/Berlin',0,'visits','7','1',1774675800,1777881610);
INSERT INTO "set_aside" VALUES(12,12,2,'7;25.10.2026 02:30;1;5:32;done;9,5;1','"Start": "2026-10-25 02:30:00" came twice: the clock repeated that hour in Europe/Berlin',0,'visits','7','1',1792888200,1792891800);
INSERT INTO "set_aside" VALUES(13,13,2,';28.03.2026 06:30;1;5:32;done;9,5;1','"Cow" is empty, and without it a row of visits cannot be told from another',0,'visits','','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(14,14,2,'77777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777777;28.03.2026 06:30;1;5:32;done;9,5;1','"Cow": "777777777777777777777777777777777777777777777777777777777777…" is longer than 1,000 characters',0,'visits','','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(15,15,2,'7;32.03.2026 06:30;1;5:99;dnoe;x;1,5','"Start": "32.03.2026 06:30" is not a time like 28.03.2026 06:30',0,'visits','7','1',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(16,16,2,'7;28.03.2026 06:30','has 2 cells where the titles have 7: it is cut short or has a line break inside',0,'visits','','',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(17,17,2,'7;28.03.2026 06:30;1;5:32;done;9,5;1;8;9','has 9 cells where the titles have 7: is the delimiter or decimal mark inside a cell?',0,'visits','','',1774675800,1777881616);
INSERT INTO "set_aside" VALUES(18,18,3,'8;28.03.2026 06:30;B\xff;5:32;done;9,5;1','has bytes that are not utf-8 text; is the map''s encoding right? (often it is cp1252)',0,'visits','','',1774675800,1777881617);
INSERT INTO "set_aside" VALUES(19,19,2,'8;28.03.2026 06:30;"1;5:32;done;9,5;1','a quote is opened and never closed',0,'visits','','',1774675800,1774675800);
INSERT INTO "set_aside" VALUES(20,20,0,'','its titles lack "Ended" (did you mean "Endd"?), "Kg" (known here: Cow, Start, Box, Stay, Endd, Kilos, Tries)',0,'visits','','',1774675800,1777881619);
INSERT INTO "set_aside" VALUES(21,21,0,'','its titles lack "Cow", "Start", "Box" (known here: x) and 4 more; is the map''s delimiter right?',0,'visits','','',1774675800,1777881620);
INSERT INTO "set_aside" VALUES(22,22,0,'','it is empty; the column titles should stand on line 1',0,'visits','','',1774675800,1777881621);
INSERT INTO "set_aside" VALUES(23,23,0,'','it has only 2 lines; the column titles should stand on line 4',0,'visits','','',1774675800,1777881622);
INSERT INTO "set_aside" VALUES(24,24,0,'','its column titles are not utf-8 text; is the map''s encoding right? (often it is cp1252)',0,'visits','','',1774675800,1777881623);
INSERT INTO "set_aside" VALUES(25,25,0,'','it cannot be read as utf-16-le text',0,'visits','','',1774675800,1777881624);
INSERT INTO "set_aside" VALUES(26,26,0,'','it is larger than 0.03 MB',0,'visits','','',1774675800,1777881625);
INSERT INTO "set_aside" VALUES(27,27,0,'','it has more than 20 rows',0,'visits','','',1774675800,1777881626);
INSERT INTO "set_aside" VALUES(28,28,0,'','it has more than 200 cells',0,'visits','','',1774675800,1777881627);
INSERT INTO "set_aside" VALUES(29,29,0,'','it has more than 5,000 column titles',0,'visits','','',1774675800,1777881628);
INSERT INTO "set_aside" VALUES(30,30,0,'','its name does not fit the map''s pattern v_%Y%m%d',0,'visits','','',1774675800,1777881629);
INSERT INTO "set_aside" VALUES(31,31,2,'7;28.03.2026 06:30;1;5:32;done;9,5;1','"Start": "28.03.2026 06:30" is not an ISO time (2026-03-28 06:30)',0,'visits','7','1',1774675800,1777881630);
INSERT INTO "set_aside" VALUES(32,32,1,'[1]','is JSON, but not an object with named values',0,'visits','','',0,1777881631);
INSERT INTO "set_aside" VALUES(33,32,2,'{','is not valid JSON: Expecting property name enclosed in double quotes: line 2 column 1 (char 2)',0,'visits','','',0,1777881631);
INSERT INTO "set_aside" VALUES(34,32,3,'{"cow": "\ud800", "start": 1}','holds half a character (a lone surrogate), which no text may',0,'visits','','',0,1777881631);
INSERT INTO "set_aside" VALUES(35,32,4,'[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[','is not valid JSON: Expecting value: line 2 column 1 (char 901)',0,'visits','','',0,1777881631);
INSERT INTO "set_aside" VALUES(36,32,5,',,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,','holds more than 2,000 values',0,'visits','','',0,1777881631);
INSERT INTO "set_aside" VALUES(37,33,1,'{"cow": "7", "start": "x", "kg": 1}','"start": "x" is not a number of seconds since 1970',0,'visits','7','',0,1777881632);
INSERT INTO "set_aside" VALUES(38,33,2,'{"cow": "\xff"}','has bytes that are not text in the map''s encoding',0,'visits','','',0,1777881632);
INSERT INTO "set_aside" VALUES(39,34,0,'','it is not a workbook that can be read (File is not a zip file); was it copied completely?',0,'visits','','',0,1777881633);
INSERT INTO "set_aside" VALUES(40,35,0,'','its sheet is empty; the column titles should stand in row 1',0,'visits','','',0,1777881634);
INSERT INTO "set_aside" VALUES(41,36,0,'','its sheet has only 2 rows; the column titles should stand in row 5',0,'visits','','',0,1777881635);
INSERT INTO "set_aside" VALUES(42,37,0,'','it has no sheet "Aprl" (did you mean "April"?)',0,'visits','','',0,1777881636);
INSERT INTO "set_aside" VALUES(43,38,0,'','it has no sheet "7" (known here: April)',0,'visits','','',0,1777881637);
INSERT INTO "set_aside" VALUES(44,39,0,'','it has more than 20 rows',0,'visits','','',0,1777881638);
INSERT INTO "set_aside" VALUES(45,40,0,'','it is not valid JSON: Expecting property name enclosed in double quotes in line 1; was it copied completely?',0,'visits','','',0,1777881639);
INSERT INTO "set_aside" VALUES(46,41,0,'','it is not valid JSON: Extra data in line 1; was it copied completely?',0,'visits','','',0,1777881640);
INSERT INTO "set_aside" VALUES(47,42,0,'','it is not UTF-8 text, as JSON must be (byte 1)',0,'visits','','',0,1777881641);
INSERT INTO "set_aside" VALUES(48,43,0,'','it is nested too deeply to be a list of milking visits',0,'visits','','',0,1777881642);
INSERT INTO "set_aside" VALUES(49,44,0,'','it has neither a list of milking visits nor an object whose "member" is one',0,'visits','','',0,1777881643);
INSERT INTO "set_aside" VALUES(50,45,0,'','it gives "member" twice',0,'visits','','',0,1777881644);
INSERT INTO "set_aside" VALUES(51,46,1,'1','item 1: is not an object',0,'visits','','',0,1774679400);
INSERT INTO "set_aside" VALUES(52,46,2,'{"resourceType": "icarWeightEvent"}','item 2: is a "icarWeightEvent", not a milking visit',0,'','','',NULL,1774679400);
INSERT INTO "set_aside" VALUES(53,46,3,'{"resourceType": "IcarMilkingVisitEventResource", "animal": 3, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}}','item 3: "animal": is not an object',0,'visits','','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(54,46,4,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": " ", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}}','item 4: "animal.id": is empty',0,'visits','','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(55,46,5,'{"resourceType": "IcarMilkingVisitEventResource", "animal": null, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}}','item 5: "animal": is missing',0,'visits','','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(56,46,6,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}}','item 6: "milkingStartingDateTime": "2026-03-28T06:30:00" does not say its offset from UTC, as RFC 3339 must',0,'visits','7','',0,1774679400);
INSERT INTO "set_aside" VALUES(57,46,7,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "1926-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}}','item 7: "milkingStartingDateTime": "1926-03-28T06:30:00+00:00" is not a moment on this farm',0,'visits','7','',0,1774679400);
INSERT INTO "set_aside" VALUES(58,46,8,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "noon", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}}','item 8: "milkingStartingDateTime": input should be a valid datetime or date, input is too short (found ''noon'')',0,'visits','7','',0,1774679400);
INSERT INTO "set_aside" VALUES(59,46,9,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "LTR", "value": 9.5}}','item 9: "milkingMilkWeight.unitCode": the unit "LTR" is not known here (known: KGM, GRM, LBR)',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(60,46,10,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"value": 1000000000000000.0}}','item 10: "milkingMilkWeight.value": 1000000000000000.0 is too large a number; "milkingMilkWeight.unitCode": is missing',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(61,46,11,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "milkingBoxNumber": "\ud800"}','item 11: "milkingBoxNumber": holds half a character (a lone surrogate), which no text may',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(62,46,12,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "milkingRemarks": ["Sang"]}','item 12: "milkingRemarks": "Sang" is not a remark of the standard',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(63,46,13,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "milkingRemarks": "Sang"}','item 13: "milkingRemarks": is not a list',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(64,46,14,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "milkingRemarks": ["MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "MilkingIncomplete", "','item 14: "milkingRemarks": has more than 100 entries',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(65,46,15,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "quarterMilkings": [3]}','item 15: "quarterMilkings.0": is not an object',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(66,46,16,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "quarterMilkings": [{"xposition": 3}]}','item 16: "quarterMilkings.0": icarQuarterId is missing: it is not said which quarter was measured',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(67,46,17,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "quarterMilkings": [{"icarQuarterId": "LF", "xposition": 1}, {"icarQuarterId": "LF", "xposition": 2}]}','item 17: "quarterMilkings": LF is given twice and not alike, so neither is kept',1,'visits','7','',1774679400,1774679400);
INSERT INTO "set_aside" VALUES(68,46,18,'{"resourceType": "IcarMilkingVisitEventResource", "animal": {"id": "7", "scheme": "x"}, "milkingStartingDateTime": "2026-03-28T06:30:00Z", "milkingMilkWeight": {"unitCode": "KGM", "value": 9.5}, "quarterMilkings": [{"icarQuarterId": "LF", "icarQuarterCharacteristics": [{"characteristic": "AVGCOND", "value": "x", "unit": "H61"}]}, {"icarQuarterId": "LF", "icarQuarterCharacteristics": [{"characteristic": "AVGCOND", "value": "x", "unit": "XX"}]}]}','item 18: "quarterMilkings.0.icarQuarterCharacteristics.0": AVGCOND: "x" is not a number; "quarterMilkings.1.icarQuarterCharacteristics.0": AVGCOND: the unit "XX" is not known here (H61 is mS/cm)',1,'visits','7','',1774679400,1774679400);
CREATE TABLE "settings" (number integer primary key, at integer not null, text text not null) strict;
CREATE TABLE shut_out (person text primary key, at integer not null) strict;
CREATE TABLE tank (
    tank text not null, at integer not null, temperature_C real, litres real, cells_k_ml real, bacteria_k_ml real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text,
    primary key (at, tank)
) strict, without rowid;
CREATE TABLE tellers (id integer not null, feed text not null, primary key (id, feed)) strict, without rowid;
CREATE TABLE "ticks" (
    number integer primary key, at integer not null, kind text not null, jumped_s integer not null default 0,
    files_to integer not null default 0, settings_to integer not null default 0
) strict;
CREATE TABLE visits (
    cow text not null, start integer not null, box text, duration_s real, outcome text, milk_kg real,
    attach_s real, attempts integer,
    lf_conductivity_mS_cm real, lf_milk_kg real, lf_kicked_off integer, lf_x_mm real, lf_y_mm real, lf_z_mm real,
    rf_conductivity_mS_cm real, rf_milk_kg real, rf_kicked_off integer, rf_x_mm real, rf_y_mm real, rf_z_mm real,
    lr_conductivity_mS_cm real, lr_milk_kg real, lr_kicked_off integer, lr_x_mm real, lr_y_mm real, lr_z_mm real,
    rr_conductivity_mS_cm real, rr_milk_kg real, rr_kicked_off integer, rr_x_mm real, rr_y_mm real, rr_z_mm real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0, told_by integer, apart text,
    primary key (start, cow)
) strict, without rowid;
INSERT INTO "visits" VALUES('7',1774675800,'1',332.0,'milked',9.5,NULL,1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,1,NULL,0,NULL,NULL);
INSERT INTO "visits" VALUES('7',1774679400,NULL,NULL,NULL,9.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,46,NULL,0,NULL,NULL);
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
COMMIT;
