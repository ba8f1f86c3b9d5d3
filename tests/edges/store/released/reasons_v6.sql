-- Exports of which something cannot be read, as sentinel 0.1.0 stored them; schema 6.
BEGIN TRANSACTION;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
);
INSERT INTO "_sqlite_migrations" VALUES(1,'sentinel','m001_first','2026-11-29 11:52:09.296735+00:00');
INSERT INTO "_sqlite_migrations" VALUES(2,'sentinel','m002_page','2026-11-29 11:52:09.306814+00:00');
INSERT INTO "_sqlite_migrations" VALUES(3,'sentinel','m003_unread','2026-11-29 11:52:09.308889+00:00');
INSERT INTO "_sqlite_migrations" VALUES(4,'sentinel','m004_course_of_alerts','2026-11-29 11:52:09.322898+00:00');
INSERT INTO "_sqlite_migrations" VALUES(5,'sentinel','m005_feeds_of_rows','2026-11-29 11:52:09.328312+00:00');
INSERT INTO "_sqlite_migrations" VALUES(6,'sentinel','m006_clock','2026-11-29 11:52:09.346077+00:00');
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
INSERT INTO "files" VALUES(9,'visits','09.csv',1777881608,'849027f281e2a4c647d75b6fc4440e478792a9f207c3cb5930f86873e65c3ae3',0,1,'"Start": "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…" is not a time',NULL,NULL,0,0,0);
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
INSERT INTO "files" VALUES(35,'book','35.csv',1777881634,'1106a3583a90621054dab0b4d1fc6aac8c9a6c87f28a053c27aeb237c71cd648',0,1,'its sheet is empty; the column titles should stand in row 1',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(36,'book','36.csv',1777881635,'0bdabef75fc9e90a374ebcee217c28afd495e9a95316f029fca5e1f3a457d688',0,1,'its sheet has only 2 rows; the column titles should stand in row 5',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(37,'book','37.csv',1777881636,'38c2c0e6cb2ff740c185d655ff5342b9549df3215887163431d9cd154870cb92',0,1,'it has no sheet "Aprl" (did you mean "April"?)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(38,'book','38.csv',1777881637,'38c2c0e6cb2ff740c185d655ff5342b9549df3215887163431d9cd154870cb92',0,1,'it has no sheet "7" (known here: April)',NULL,NULL,0,0,0);
INSERT INTO "files" VALUES(39,'book','39.csv',1777881638,'7343f025d1ede872e9acc0e430375c46a9653ff9c59d488b6dd2b2f88bb406f3',0,1,'it has more than 20 rows',NULL,NULL,0,0,0);
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
INSERT INTO "log" VALUES(18,1777881608,'set-aside',NULL,'','file:visits/09.csv','','{"file": "09.csv", "line": 2, "reason": "\"Start\": \"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…\" is not a time", "rows": 1}','e11890c16b28696b6f7438d8d393d8715f020bcaadbc36f77c372e6bc5d906d5','f3e2d9b50b37bbc58031550e99a95065bc31fb701da2aff7d15d6a6c65d717b7');
INSERT INTO "log" VALUES(19,1777881609,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "10.csv", "new": 0, "rows": 0}','f3e2d9b50b37bbc58031550e99a95065bc31fb701da2aff7d15d6a6c65d717b7','11f23f02755df22b8350f897f3fc87ad5411d42e8a48fda918c28d050cd4a57b');
INSERT INTO "log" VALUES(20,1777881609,'set-aside',NULL,'','file:visits/10.csv','','{"file": "10.csv", "line": 2, "reason": "\"Start\": \"1926-03-28T06:30:00\" is not a moment on this farm", "rows": 1}','11f23f02755df22b8350f897f3fc87ad5411d42e8a48fda918c28d050cd4a57b','c19ccdfafd67edcd686aadbed06aa5ac70097e94f306c7fe63d4dbadcb760eb0');
INSERT INTO "log" VALUES(21,1777881610,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "11.csv", "new": 0, "rows": 0}','c19ccdfafd67edcd686aadbed06aa5ac70097e94f306c7fe63d4dbadcb760eb0','a30e9d534e6748a5a5d778af800cb6625bb32556b053c65acb88ea6bea64fd14');
INSERT INTO "log" VALUES(22,1777881610,'set-aside',NULL,'','file:visits/11.csv','','{"file": "11.csv", "line": 2, "reason": "\"Start\": \"2026-03-29 02:30:00\" does not exist: the clock skipped that hour in Europe/Berlin", "rows": 1}','a30e9d534e6748a5a5d778af800cb6625bb32556b053c65acb88ea6bea64fd14','ab30cb3f0940523d5b72a98ef19ef8bfbf20faa8dd667c7f7e496f3505779183');
INSERT INTO "log" VALUES(23,1777881611,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "12.csv", "new": 0, "rows": 0}','ab30cb3f0940523d5b72a98ef19ef8bfbf20faa8dd667c7f7e496f3505779183','996afcb3ee8d18f55e9fc137a354c8066dc88e48f8dc8e2ef654c1a232d5892a');
INSERT INTO "log" VALUES(24,1777881611,'set-aside',NULL,'','file:visits/12.csv','','{"file": "12.csv", "line": 2, "reason": "\"Start\": \"2026-10-25 02:30:00\" came twice: the clock repeated that hour in Europe/Berlin", "rows": 1}','996afcb3ee8d18f55e9fc137a354c8066dc88e48f8dc8e2ef654c1a232d5892a','d3f1739e26c4e670330859bfa17271949368f539c214dfa0287b4b562c94b47c');
INSERT INTO "log" VALUES(25,1777881612,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "13.csv", "new": 0, "rows": 0}','d3f1739e26c4e670330859bfa17271949368f539c214dfa0287b4b562c94b47c','f2f254ebfa8836110b365ea982fb90696113a1f1d12919275a27065a30152739');
INSERT INTO "log" VALUES(26,1777881612,'set-aside',NULL,'','file:visits/13.csv','','{"file": "13.csv", "line": 2, "reason": "\"Cow\" is empty, and without it a row of visits cannot be told from another", "rows": 1}','f2f254ebfa8836110b365ea982fb90696113a1f1d12919275a27065a30152739','9da5f45bb6aa7d59674e87b0dbbed31de6de989f718b4da05828add722fdb420');
INSERT INTO "log" VALUES(27,1777881613,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "14.csv", "new": 0, "rows": 0}','9da5f45bb6aa7d59674e87b0dbbed31de6de989f718b4da05828add722fdb420','af93ed553c6b96a258da9e7c9035f5ef0834d1b30219ccd6ec2412ad0b02e6af');
INSERT INTO "log" VALUES(28,1777881613,'set-aside',NULL,'','file:visits/14.csv','','{"file": "14.csv", "line": 2, "reason": "\"Cow\": \"777777777777777777777777777777777777777777777777777777777777…\" is longer than 1,000 characters", "rows": 1}','af93ed553c6b96a258da9e7c9035f5ef0834d1b30219ccd6ec2412ad0b02e6af','b0c756edd77b82af1e0ecdfd6fe7aec03ddabf28b6d8670cdc453d4253c3f415');
INSERT INTO "log" VALUES(29,1777881614,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "15.csv", "new": 0, "rows": 1}','b0c756edd77b82af1e0ecdfd6fe7aec03ddabf28b6d8670cdc453d4253c3f415','af63be16ea4fac821171e39351bdd7f26b321104d4fc9e28c95b9f65b38adc59');
INSERT INTO "log" VALUES(30,1777881614,'set-aside',NULL,'','file:visits/15.csv','','{"file": "15.csv", "line": 2, "reason": "\"Start\": \"32.03.2026 06:30\" is not a time like 28.03.2026 06:30", "rows": 1}','af63be16ea4fac821171e39351bdd7f26b321104d4fc9e28c95b9f65b38adc59','8962b0de9b0d869f9114776634eb7f7204baf87b569ead1a9b6217976bc38ea2');
INSERT INTO "log" VALUES(31,1777881615,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "16.csv", "new": 0, "rows": 1}','8962b0de9b0d869f9114776634eb7f7204baf87b569ead1a9b6217976bc38ea2','e8959502100af774a6ada5aa5b1ae2fd4af939c89f16fce1f59dee06123fe78b');
INSERT INTO "log" VALUES(32,1777881615,'set-aside',NULL,'','file:visits/16.csv','','{"file": "16.csv", "line": 2, "reason": "has 2 cells where the titles have 7: it is cut short or has a line break inside", "rows": 1}','e8959502100af774a6ada5aa5b1ae2fd4af939c89f16fce1f59dee06123fe78b','d61b39d657e9c3b7c473962291393695618867c314942b9eec904eb994b38da0');
INSERT INTO "log" VALUES(33,1777881616,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "17.csv", "new": 0, "rows": 0}','d61b39d657e9c3b7c473962291393695618867c314942b9eec904eb994b38da0','8613b42b98aa3bdef708ef50aac19eb299a29da4f87fe466cb0589836c771a36');
INSERT INTO "log" VALUES(34,1777881616,'set-aside',NULL,'','file:visits/17.csv','','{"file": "17.csv", "line": 2, "reason": "has 9 cells where the titles have 7: is the delimiter or decimal mark inside a cell?", "rows": 1}','8613b42b98aa3bdef708ef50aac19eb299a29da4f87fe466cb0589836c771a36','9d214317127eee64816f31434c36bb7af9c8a5dbb2b423aabeea245ecdd4d8b8');
INSERT INTO "log" VALUES(35,1777881617,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "18.csv", "new": 0, "rows": 1}','9d214317127eee64816f31434c36bb7af9c8a5dbb2b423aabeea245ecdd4d8b8','dfeee28864844b2715c8845aabdc77c09989949f988dcc5cdd87530b374478a7');
INSERT INTO "log" VALUES(36,1777881617,'set-aside',NULL,'','file:visits/18.csv','','{"file": "18.csv", "line": 3, "reason": "has bytes that are not utf-8 text; is the map''s encoding right? (often it is cp1252)", "rows": 1}','dfeee28864844b2715c8845aabdc77c09989949f988dcc5cdd87530b374478a7','136561ca6a6d47c2657dfb5dbf54d5ff62c6fcfdf5f3a880a94d0a0cd0b4497e');
INSERT INTO "log" VALUES(37,1777881618,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "19.csv", "new": 0, "rows": 1}','136561ca6a6d47c2657dfb5dbf54d5ff62c6fcfdf5f3a880a94d0a0cd0b4497e','a12d813ea2cafcc6a2cc674d55fec73fa1cf585be12494cf52144501fc4fa2fb');
INSERT INTO "log" VALUES(38,1777881618,'set-aside',NULL,'','file:visits/19.csv','','{"file": "19.csv", "line": 2, "reason": "a quote is opened and never closed", "rows": 1}','a12d813ea2cafcc6a2cc674d55fec73fa1cf585be12494cf52144501fc4fa2fb','a8cc34dd28a2120fc506f20e6333d8827153b64a2f9d4059758a4d2dac43abe0');
INSERT INTO "log" VALUES(39,1777881619,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "20.csv", "new": 0, "rows": 0}','a8cc34dd28a2120fc506f20e6333d8827153b64a2f9d4059758a4d2dac43abe0','6587c925049574dc1bf6f8fced63deb38b8284e696d1e54b14eee2a1ce68d1ac');
INSERT INTO "log" VALUES(40,1777881619,'set-aside',NULL,'','file:visits/20.csv','','{"file": "20.csv", "line": 0, "reason": "its titles lack \"Ended\" (did you mean \"Endd\"?), \"Kg\" (known here: Cow, Start, Box, Stay, Endd, Kilos, Tries)", "rows": 1}','6587c925049574dc1bf6f8fced63deb38b8284e696d1e54b14eee2a1ce68d1ac','8c5d35c87d432bd345571e98507f865cd96ed4b5b583487cc6adacc448092a39');
INSERT INTO "log" VALUES(41,1777881620,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "21.csv", "new": 0, "rows": 0}','8c5d35c87d432bd345571e98507f865cd96ed4b5b583487cc6adacc448092a39','a5fc96871b86b7bf3693d291b37d87bff9daa39ecdcf5546c2ab0c1c294c82e3');
INSERT INTO "log" VALUES(42,1777881620,'set-aside',NULL,'','file:visits/21.csv','','{"file": "21.csv", "line": 0, "reason": "its titles lack \"Cow\", \"Start\", \"Box\" (known here: x) and 4 more; is the map''s delimiter right?", "rows": 1}','a5fc96871b86b7bf3693d291b37d87bff9daa39ecdcf5546c2ab0c1c294c82e3','2ccb9b23b442a542cad1414afe922254f0482690937ea2dcde5752a7a7f9db37');
INSERT INTO "log" VALUES(43,1777881621,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "22.csv", "new": 0, "rows": 0}','2ccb9b23b442a542cad1414afe922254f0482690937ea2dcde5752a7a7f9db37','c8ad7c6c371c7c0728efb7c554ff427b58713ae164a141dc16616108a2b8d10f');
INSERT INTO "log" VALUES(44,1777881621,'set-aside',NULL,'','file:visits/22.csv','','{"file": "22.csv", "line": 0, "reason": "it is empty; the column titles should stand on line 1", "rows": 1}','c8ad7c6c371c7c0728efb7c554ff427b58713ae164a141dc16616108a2b8d10f','f6a498b90142e6de4b3605a4423a473673f61df8d09d6464c014ef05b06472e1');
INSERT INTO "log" VALUES(45,1777881622,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "23.csv", "new": 0, "rows": 0}','f6a498b90142e6de4b3605a4423a473673f61df8d09d6464c014ef05b06472e1','f5a4c097e22d8e2ac8a24ea888d547c96fb6a4d606dc08206b0c628c7cb83a98');
INSERT INTO "log" VALUES(46,1777881622,'set-aside',NULL,'','file:visits/23.csv','','{"file": "23.csv", "line": 0, "reason": "it has only 2 lines; the column titles should stand on line 4", "rows": 1}','f5a4c097e22d8e2ac8a24ea888d547c96fb6a4d606dc08206b0c628c7cb83a98','7252b5948613f2761f1532fefbded89b5943c603e8a8f075f92652b0af89ae3e');
INSERT INTO "log" VALUES(47,1777881623,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "24.csv", "new": 0, "rows": 0}','7252b5948613f2761f1532fefbded89b5943c603e8a8f075f92652b0af89ae3e','8b2fdf790064289174b44b4c095a391a5640709571b5b7030de21d6212ab578c');
INSERT INTO "log" VALUES(48,1777881623,'set-aside',NULL,'','file:visits/24.csv','','{"file": "24.csv", "line": 0, "reason": "its column titles are not utf-8 text; is the map''s encoding right? (often it is cp1252)", "rows": 1}','8b2fdf790064289174b44b4c095a391a5640709571b5b7030de21d6212ab578c','e6c648ecf318d3dce3d40aa01f422ec9f5ffa2fa12e4d3f0a7b62a220fd8d5a3');
INSERT INTO "log" VALUES(49,1777881624,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "25.csv", "new": 0, "rows": 0}','e6c648ecf318d3dce3d40aa01f422ec9f5ffa2fa12e4d3f0a7b62a220fd8d5a3','de3a44b625da76841af464bbabcbdbb66017a33dcc977c4d2f27439b46caed67');
INSERT INTO "log" VALUES(50,1777881624,'set-aside',NULL,'','file:visits/25.csv','','{"file": "25.csv", "line": 0, "reason": "it cannot be read as utf-16-le text", "rows": 1}','de3a44b625da76841af464bbabcbdbb66017a33dcc977c4d2f27439b46caed67','c0cb98a48705576bac3cea12ced5532b463c4053a2f339cbf6e449071cb7b488');
INSERT INTO "log" VALUES(51,1777881625,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "26.csv", "new": 0, "rows": 0}','c0cb98a48705576bac3cea12ced5532b463c4053a2f339cbf6e449071cb7b488','efb8835585759d4fc74b37fae3a7a62874cd22b27ec929b43f78936f3d7807dd');
INSERT INTO "log" VALUES(52,1777881625,'set-aside',NULL,'','file:visits/26.csv','','{"file": "26.csv", "line": 0, "reason": "it is larger than 0.03 MB", "rows": 1}','efb8835585759d4fc74b37fae3a7a62874cd22b27ec929b43f78936f3d7807dd','4ebd70a81cc474027be73df731ab2ea1f3cb3ae7cd91a5530cacf5887f2bffb9');
INSERT INTO "log" VALUES(53,1777881626,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "27.csv", "new": 0, "rows": 0}','4ebd70a81cc474027be73df731ab2ea1f3cb3ae7cd91a5530cacf5887f2bffb9','30ff2b2a7587c3f6b83cfd7df2e371696389c3a9752597c4906cf4b4c8a78594');
INSERT INTO "log" VALUES(54,1777881626,'set-aside',NULL,'','file:visits/27.csv','','{"file": "27.csv", "line": 0, "reason": "it has more than 20 rows", "rows": 1}','30ff2b2a7587c3f6b83cfd7df2e371696389c3a9752597c4906cf4b4c8a78594','0c7ec271248d83d9e28de21d65a6645cb2faf30d28a39ff79c41373e3e755b03');
INSERT INTO "log" VALUES(55,1777881627,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "28.csv", "new": 0, "rows": 0}','0c7ec271248d83d9e28de21d65a6645cb2faf30d28a39ff79c41373e3e755b03','0c8d9766400bb471bd59f5d29b66eb2eefabf33274843c170bb55f301a2ed239');
INSERT INTO "log" VALUES(56,1777881627,'set-aside',NULL,'','file:visits/28.csv','','{"file": "28.csv", "line": 0, "reason": "it has more than 200 cells", "rows": 1}','0c8d9766400bb471bd59f5d29b66eb2eefabf33274843c170bb55f301a2ed239','00811dfe8df19fc904be6d88fc3a6eea397975f23a1d34a54d85fa4cfc7249a5');
INSERT INTO "log" VALUES(57,1777881628,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "29.csv", "new": 0, "rows": 0}','00811dfe8df19fc904be6d88fc3a6eea397975f23a1d34a54d85fa4cfc7249a5','ffed18c3a89a0f4e416659ad7cf41304b196ab6ccf8fa8675a653286aedc7502');
INSERT INTO "log" VALUES(58,1777881628,'set-aside',NULL,'','file:visits/29.csv','','{"file": "29.csv", "line": 0, "reason": "it has more than 5,000 column titles", "rows": 1}','ffed18c3a89a0f4e416659ad7cf41304b196ab6ccf8fa8675a653286aedc7502','f099c409fa7b7eadbfdd47d7493d21ad82f8dd56fd5cd4a5fec6dde2a029925d');
INSERT INTO "log" VALUES(59,1777881629,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "30.csv", "new": 0, "rows": 0}','f099c409fa7b7eadbfdd47d7493d21ad82f8dd56fd5cd4a5fec6dde2a029925d','6774728ac6031a3afa99f5e460024f0b845e4e0ca6e591a42d1dc37042cbad36');
INSERT INTO "log" VALUES(60,1777881629,'set-aside',NULL,'','file:visits/30.csv','','{"file": "30.csv", "line": 0, "reason": "its name does not fit the map''s pattern v_%Y%m%d", "rows": 1}','6774728ac6031a3afa99f5e460024f0b845e4e0ca6e591a42d1dc37042cbad36','ab5d5c3a0df97a3a6773175b50446df88e67dbce76dd8af7723bfa41c6e97aa0');
INSERT INTO "log" VALUES(61,1777881630,'read',NULL,'','feed:visits','','{"corrected": 0, "file": "31.csv", "new": 0, "rows": 0}','ab5d5c3a0df97a3a6773175b50446df88e67dbce76dd8af7723bfa41c6e97aa0','d78ce0d1b0e32541744da017d1d49e6cdc26d44799fe74c63fe2828b6b579d1d');
INSERT INTO "log" VALUES(62,1777881630,'set-aside',NULL,'','file:visits/31.csv','','{"file": "31.csv", "line": 2, "reason": "\"Start\": \"28.03.2026 06:30\" is not an ISO time (2026-03-28 06:30)", "rows": 1}','d78ce0d1b0e32541744da017d1d49e6cdc26d44799fe74c63fe2828b6b579d1d','256b32ec9d01072063a273217b117147611ee449eb18cfac017f7bdfd0e3563f');
INSERT INTO "log" VALUES(63,1777881631,'read',NULL,'','feed:lines','','{"corrected": 0, "file": "32.csv", "new": 0, "rows": 0}','256b32ec9d01072063a273217b117147611ee449eb18cfac017f7bdfd0e3563f','1dbb7beb25e8ed8891553d798fe114236e3b66afbccc347b44b506664f0e4a8c');
INSERT INTO "log" VALUES(64,1777881631,'set-aside',NULL,'','file:lines/32.csv','','{"file": "32.csv", "line": 1, "reason": "is JSON, but not an object with named values", "rows": 5}','1dbb7beb25e8ed8891553d798fe114236e3b66afbccc347b44b506664f0e4a8c','3235d50e19ed8824c799b36eeaeacf81601284d0bc6b9a54a73592cbd1cece04');
INSERT INTO "log" VALUES(65,1777881632,'read',NULL,'','feed:lines','','{"corrected": 0, "file": "33.csv", "new": 0, "rows": 0}','3235d50e19ed8824c799b36eeaeacf81601284d0bc6b9a54a73592cbd1cece04','b9d195ef7a13ef753b0425d7639e6afab26abc2c55af8210def3346e793e3e97');
INSERT INTO "log" VALUES(66,1777881632,'set-aside',NULL,'','file:lines/33.csv','','{"file": "33.csv", "line": 1, "reason": "\"start\": \"x\" is not a number of seconds since 1970", "rows": 2}','b9d195ef7a13ef753b0425d7639e6afab26abc2c55af8210def3346e793e3e97','061d90b6244610c288ef885a4ff2e4a3b5196d03d2604fd77942126337c0f474');
INSERT INTO "log" VALUES(67,1777881633,'read',NULL,'','feed:book','','{"corrected": 0, "file": "34.csv", "new": 0, "rows": 0}','061d90b6244610c288ef885a4ff2e4a3b5196d03d2604fd77942126337c0f474','f776bf0ace6c45cbeb9b827c4b11c112ab2693d53e3ecddfed1d31cc31f79b76');
INSERT INTO "log" VALUES(68,1777881633,'set-aside',NULL,'','file:book/34.csv','','{"file": "34.csv", "line": 0, "reason": "it is not a workbook that can be read (File is not a zip file); was it copied completely?", "rows": 1}','f776bf0ace6c45cbeb9b827c4b11c112ab2693d53e3ecddfed1d31cc31f79b76','c3b1fe7c58bcb1398c2d50eb2a364ffa3abd9f9ff1bc600b4a8012e5d1c3b86b');
INSERT INTO "log" VALUES(69,1777881634,'read',NULL,'','feed:book','','{"corrected": 0, "file": "35.csv", "new": 0, "rows": 0}','c3b1fe7c58bcb1398c2d50eb2a364ffa3abd9f9ff1bc600b4a8012e5d1c3b86b','9249d07f46de214fe3dc05ef35b009dcf8eb597295f4c4cbef24e13e6658cd87');
INSERT INTO "log" VALUES(70,1777881634,'set-aside',NULL,'','file:book/35.csv','','{"file": "35.csv", "line": 0, "reason": "its sheet is empty; the column titles should stand in row 1", "rows": 1}','9249d07f46de214fe3dc05ef35b009dcf8eb597295f4c4cbef24e13e6658cd87','01971508cdebedcf934dfd75012f00ef1dc7d1adfe23ae5b477a3a92933057eb');
INSERT INTO "log" VALUES(71,1777881635,'read',NULL,'','feed:book','','{"corrected": 0, "file": "36.csv", "new": 0, "rows": 0}','01971508cdebedcf934dfd75012f00ef1dc7d1adfe23ae5b477a3a92933057eb','7b9f1d8a739ab854432a55e1cf97b400d469b62e65706c54c0516d7c969845e6');
INSERT INTO "log" VALUES(72,1777881635,'set-aside',NULL,'','file:book/36.csv','','{"file": "36.csv", "line": 0, "reason": "its sheet has only 2 rows; the column titles should stand in row 5", "rows": 1}','7b9f1d8a739ab854432a55e1cf97b400d469b62e65706c54c0516d7c969845e6','d9fd6f620ebda4ef6eab28d645b47a1933dd8eeb9ea6d59fa2b91d5580cbdded');
INSERT INTO "log" VALUES(73,1777881636,'read',NULL,'','feed:book','','{"corrected": 0, "file": "37.csv", "new": 0, "rows": 0}','d9fd6f620ebda4ef6eab28d645b47a1933dd8eeb9ea6d59fa2b91d5580cbdded','9770331060b52e2ea77e1f3a9692fc25b28b2a19a020d449ba3f04797939d16d');
INSERT INTO "log" VALUES(74,1777881636,'set-aside',NULL,'','file:book/37.csv','','{"file": "37.csv", "line": 0, "reason": "it has no sheet \"Aprl\" (did you mean \"April\"?)", "rows": 1}','9770331060b52e2ea77e1f3a9692fc25b28b2a19a020d449ba3f04797939d16d','22b4b7cdbe6f1fd60fa0c5ba21abb9e627f1d02925247e861b0f270b0c4b1ef7');
INSERT INTO "log" VALUES(75,1777881637,'read',NULL,'','feed:book','','{"corrected": 0, "file": "38.csv", "new": 0, "rows": 0}','22b4b7cdbe6f1fd60fa0c5ba21abb9e627f1d02925247e861b0f270b0c4b1ef7','121a7677436a4b8ef174f85816974ee1735f88f04edf1e213225f3fa1c8d7a04');
INSERT INTO "log" VALUES(76,1777881637,'set-aside',NULL,'','file:book/38.csv','','{"file": "38.csv", "line": 0, "reason": "it has no sheet \"7\" (known here: April)", "rows": 1}','121a7677436a4b8ef174f85816974ee1735f88f04edf1e213225f3fa1c8d7a04','3bb1a9fa801302e0207930f85346cfa88fbcfc3bd3b9c08f49a4ba7a5a63512e');
INSERT INTO "log" VALUES(77,1777881638,'read',NULL,'','feed:book','','{"corrected": 0, "file": "39.csv", "new": 0, "rows": 0}','3bb1a9fa801302e0207930f85346cfa88fbcfc3bd3b9c08f49a4ba7a5a63512e','f02b62b353546ff639b62a861d348888610c607aa9cc8ce654840c2144f78014');
INSERT INTO "log" VALUES(78,1777881638,'set-aside',NULL,'','file:book/39.csv','','{"file": "39.csv", "line": 0, "reason": "it has more than 20 rows", "rows": 1}','f02b62b353546ff639b62a861d348888610c607aa9cc8ce654840c2144f78014','ca6485bc2ff3b11070788b05fae714065f3102a9f63554a2250393356b4cb4b6');
INSERT INTO "log" VALUES(79,1777881639,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_1.json", "new": 0, "rows": 0}','ca6485bc2ff3b11070788b05fae714065f3102a9f63554a2250393356b4cb4b6','881e2dce0ee655bc845e60235bf2d682bc2b504e86aa7fa8a3916ec7f8a90c54');
INSERT INTO "log" VALUES(80,1777881639,'set-aside',NULL,'','file:icar/icar_1.json','','{"file": "icar_1.json", "line": 0, "reason": "it is not valid JSON: Expecting property name enclosed in double quotes in line 1; was it copied completely?", "rows": 1}','881e2dce0ee655bc845e60235bf2d682bc2b504e86aa7fa8a3916ec7f8a90c54','4165fcb1f255c7b096ca83db214f95484cffa06708e15c50be6f7106cd88804e');
INSERT INTO "log" VALUES(81,1777881640,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_2.json", "new": 0, "rows": 0}','4165fcb1f255c7b096ca83db214f95484cffa06708e15c50be6f7106cd88804e','0ad68395dd0aec9a955320c9c2a810112e80fb2681aa7e54c0a64b899f122ee1');
INSERT INTO "log" VALUES(82,1777881640,'set-aside',NULL,'','file:icar/icar_2.json','','{"file": "icar_2.json", "line": 0, "reason": "it is not valid JSON: Extra data in line 1; was it copied completely?", "rows": 1}','0ad68395dd0aec9a955320c9c2a810112e80fb2681aa7e54c0a64b899f122ee1','47bdae2d2d659f6a2fdf2a1ce0ee631f58e9e17ead0df6adef067127fd07981f');
INSERT INTO "log" VALUES(83,1777881641,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_3.json", "new": 0, "rows": 0}','47bdae2d2d659f6a2fdf2a1ce0ee631f58e9e17ead0df6adef067127fd07981f','326f9e8e4422e3ed50b105f43f7c96fdc70acd434d434145db548e74c082dcaa');
INSERT INTO "log" VALUES(84,1777881641,'set-aside',NULL,'','file:icar/icar_3.json','','{"file": "icar_3.json", "line": 0, "reason": "it is not UTF-8 text, as JSON must be (byte 1)", "rows": 1}','326f9e8e4422e3ed50b105f43f7c96fdc70acd434d434145db548e74c082dcaa','65a4521e37e4094b6a3fc88a4c0108a65e1d0afd44940a0ab6d282ed2ea2cbfe');
INSERT INTO "log" VALUES(85,1777881642,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_4.json", "new": 0, "rows": 0}','65a4521e37e4094b6a3fc88a4c0108a65e1d0afd44940a0ab6d282ed2ea2cbfe','f57dcf040972a600dd5353dfe63fe10794c11bf8ff4ab1f755980c906b237ece');
INSERT INTO "log" VALUES(86,1777881642,'set-aside',NULL,'','file:icar/icar_4.json','','{"file": "icar_4.json", "line": 0, "reason": "it is nested too deeply to be a list of milking visits", "rows": 1}','f57dcf040972a600dd5353dfe63fe10794c11bf8ff4ab1f755980c906b237ece','663e14298e5c7a5e61de0639fac39ca3fcf7c25a3f59bb2aa58c3a98476ea81b');
INSERT INTO "log" VALUES(87,1777881643,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_5.json", "new": 0, "rows": 0}','663e14298e5c7a5e61de0639fac39ca3fcf7c25a3f59bb2aa58c3a98476ea81b','071c1f137ee1b077ee2cd9340e876d2b470cc1d7f7224ff318eef3056d70a5a0');
INSERT INTO "log" VALUES(88,1777881643,'set-aside',NULL,'','file:icar/icar_5.json','','{"file": "icar_5.json", "line": 0, "reason": "it has neither a list of milking visits nor an object whose \"member\" is one", "rows": 1}','071c1f137ee1b077ee2cd9340e876d2b470cc1d7f7224ff318eef3056d70a5a0','6ee9cf3ef95ade259e8f9036e857c0b59f836235db8949ff0769131f9964d4c6');
INSERT INTO "log" VALUES(89,1777881644,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_6.json", "new": 0, "rows": 0}','6ee9cf3ef95ade259e8f9036e857c0b59f836235db8949ff0769131f9964d4c6','8d32b661e1766cde8285345eec195725ba123df87d34f97b688ae5911937122d');
INSERT INTO "log" VALUES(90,1777881644,'set-aside',NULL,'','file:icar/icar_6.json','','{"file": "icar_6.json", "line": 0, "reason": "it gives \"member\" twice", "rows": 1}','8d32b661e1766cde8285345eec195725ba123df87d34f97b688ae5911937122d','a7418c68e0a1c2a412c168562b762a59fc0b287a74eb2020b0bc6bda5ddf2e53');
INSERT INTO "log" VALUES(91,1777881645,'read',NULL,'','feed:icar','','{"corrected": 0, "file": "icar_7.json", "new": 1, "rows": 10}','a7418c68e0a1c2a412c168562b762a59fc0b287a74eb2020b0bc6bda5ddf2e53','efab435b82718c6a9e48c03f23392a6f3cc05181c87a524af198cf10fabbbaed');
INSERT INTO "log" VALUES(92,1777881645,'set-aside',NULL,'','file:icar/icar_7.json','','{"file": "icar_7.json", "in_part": 10, "line": 1, "reason": "item 1: is not an object", "rows": 18}','efab435b82718c6a9e48c03f23392a6f3cc05181c87a524af198cf10fabbbaed','206f939eb7fc617d2a8efbec5ec80bc04a1ba87aa6d5e7f57637ec6d9f28b5eb');
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
INSERT INTO "set_aside" VALUES(9,9,2,'7;xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx;1;5:32;done;9,5;1','"Start": "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…" is not a time',0,'visits','7','1',1774675800,1777881608);
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
