"""The store's schema as migrations that only go forward; what a migration once did is never edited.

Times are whole UTC seconds. Measured rows are keyed by what they are about; `visits` holds a milking and its
four quarters in one row, which is four times faster and a third the size of a row per quarter, and is keyed by
time first, so that new rows go to the end of the file. A test holds the schema to the declared tables.
"""

import json

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from sentinel.edges.store.schema.sentences_v6 import as_reason

migrations = Migrations("sentinel")

QUARTER_COLUMNS = "\n".join(
    f"    {q}_conductivity_mS_cm real, {q}_milk_kg real, {q}_kicked_off integer, {q}_x_mm real, {q}_y_mm real, "
    f"{q}_z_mm real,"
    for q in ("lf", "rf", "lr", "rr")
)

FIRST = f"""
create table files (
    id integer primary key, feed text not null, file text not null, at integer not null, sha256 text not null,
    rows_read integer not null, rows_set_aside integer not null, reason text not null, complete_until integer,
    newest integer, continues integer not null default 0, mended integer not null default 0
) strict;
create index files_by_name on files (file, at);
create table set_aside (
    id integer primary key, file_id integer not null references files (id), line integer not null,
    row text not null, reason text not null
) strict;
create table visits (
    cow text not null, start integer not null, box text, duration_s real, outcome text, milk_kg real,
    attach_s real, attempts integer,
{QUARTER_COLUMNS}
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (start, cow)
) strict, without rowid;
create index visits_by_cow on visits (cow, start);
create table box_log (
    box text not null, at integer not null, event text not null, text text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, box, event)
) strict, without rowid;
create table cows (
    cow text not null, "from" integer not null, "group" text, lactation integer, calved_on integer,
    milkings_allowed real, status text,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key ("from", cow)
) strict, without rowid;
create table tank (
    tank text not null, at integer not null, temperature_C real, litres real, cells_k_ml real, bacteria_k_ml real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, tank)
) strict, without rowid;
create table cow_tests (
    cow text not null, at integer not null, cells_k_ml real, milk_kg real,
    first_file integer not null references files (id), modified integer, deleted integer not null default 0,
    primary key (at, cow)
) strict, without rowid;
create table changes (
    id integer primary key, file_id integer not null references files (id), at integer not null,
    tab text not null, key text not null, old text not null, new text not null, correction integer not null
) strict;
create index changes_by_file on changes (file_id);
create table feeds (
    feed text primary key, tables text not null, known_until integer, last_at integer
) strict;
create table seen (
    name text primary key, size integer not null, mtime_ns integer not null, inode integer not null,
    read_to integer not null, sha256 text not null
) strict;
create table ticks (at integer primary key, kind text not null) strict;
create table settings (at integer primary key, text text not null) strict;
create table answers (
    id integer primary key, alert integer not null, at integer not null, person text not null,
    finding text not null, note text not null, known_at integer
) strict;
create index answers_new on answers (known_at) where known_at is null;
create table chores (
    id integer primary key, chore text not null, place text not null, at integer not null, person text not null,
    note text not null, known_at integer
) strict;
create index chores_new on chores (known_at) where known_at is null;
create table alerts (
    id integer primary key, rule text not null, subject text not null, raised_at integer not null,
    since integer not null, urgency text not null, text text not null, value real, facts text not null,
    look_first text not null, over_at integer, over_why text not null, answered_at integer,
    answered_by text not null, finding text not null, note text not null, covered_by text not null,
    again integer not null, came_at integer
) strict;
create index alerts_by_pair on alerts (rule, subject, id);
create index alerts_standing on alerts (over_at) where over_at is null;
create table log (
    seq integer primary key, at integer not null, kind text not null, alert integer, rule text not null,
    subject text not null, person text not null, body text not null, previous text not null, hash text not null
) strict;
create index log_by_time on log (at);
create index log_by_alert on log (alert);
create trigger log_is_never_changed before update on log begin select raise(abort, 'the log is append-only'); end;
create trigger log_is_never_cut before delete on log begin select raise(abort, 'the log is append-only'); end;
create table notices (
    id integer primary key, at integer not null, person text not null, kind text not null, title text not null,
    body text not null, urgency text not null, alerts text not null
) strict;
create index notices_by_time on notices (at);
create table deliveries (
    notice integer not null references notices (id), channel text not null, outcome text not null,
    attempts integer not null, next_at integer, at integer, detail text not null, known_at integer,
    primary key (notice, channel)
) strict, without rowid;
create index deliveries_waiting on deliveries (next_at) where outcome = 'waiting';
create index deliveries_new on deliveries (known_at) where known_at is null;
create table meta (key text primary key, value text not null) strict;
"""


@migrations()
def m001_first(db: Database) -> None:
    """The first version of the store."""
    for statement in _statements(FIRST):
        db.execute(statement)


PAGE = """
alter table answers add column until integer;
alter table answers add column hand_to text not null default '';
alter table alerts add column lies_with text not null default '';
alter table alerts add column lies_from integer;
create table page_links (
    id integer primary key, person text not null, read_only integer not null, made_at integer not null,
    until integer not null, withdrawn_at integer, used_at integer
) strict;
create table shut_out (person text primary key, at integer not null) strict;
create table sent (
    id text primary key, person text not null, at integer not null, received_at integer not null,
    what text not null, said text not null
) strict;
"""


@migrations()
def m002_page(db: Database) -> None:
    """Who may open the page, what phones have sent, and alerts that are put off or handed over.

    `shut_out`: until when what a person had opened is worth nothing any more. `sent`: what a phone sent, under the
    phone's own number for it, so that it is taken once however often it arrives.
    """
    for statement in _statements(PAGE):
        db.execute(statement)


UNREAD = """
alter table set_aside add column kept integer not null default 0;
alter table set_aside add column tab text not null default '';
alter table set_aside add column who text not null default '';
alter table set_aside add column box text not null default '';
alter table set_aside add column begins integer;
alter table set_aside add column ends integer;
create index set_aside_by_file on set_aside (file_id);
alter table files add column rows_in_part integer not null default 0;
create index files_not_mended on files (id) where mended = 0 and rows_set_aside > 0;
create view unread as
select f.feed, f.file, min(s.line) as line, s.tab, s.who, s.box, s.begins, s.ends, count(*) as number
from files f cross join set_aside s on s.file_id = f.id
where f.mended = 0 and f.rows_set_aside > 0 and s.kept = 0 and s.begins is not null and s.ends is not null
group by f.id, s.tab, s.who, s.box, s.begins, s.ends;
"""


@migrations()
def m003_unread(db: Database) -> None:
    """What a row that could not be read may have been, and rows kept without some of their cells.

    `kept`: the row is stored without the cells that its reason names. `tab`, `who`, `box`, `begins`, `ends`: the table,
    the cow or box and the stretch of time that the row concerns, as far as can be told; of rows set aside by an earlier
    sentinel nothing.
    """
    for statement in _statements(UNREAD):
        db.execute(statement)


COURSE = """
alter table alerts add column caution text not null default '[]';
alter table alerts add column raised_value real;
alter table alerts add column worst_value real;
alter table alerts add column course text not null default '';
alter table alerts add column eased text not null default '';
update alerts set raised_value = (
    select json_extract(log.body, '$.value') from log
    where log.alert = alerts.id and log.kind in ('raised', 'again', 'more-pressing') order by log.seq desc limit 1
);
"""


@migrations()
def m004_course_of_alerts(db: Database) -> None:
    """What an alert was raised with, its worst value since, and what to mind; of older ones the log tells the first."""
    for statement in _statements(COURSE):
        db.execute(statement)


FEEDS_OF_ROWS = """
create table tellers (id integer not null, feed text not null, primary key (id, feed)) strict, without rowid;
alter table feeds add column columns text;
alter table visits add column told_by integer;
alter table visits add column apart text;
alter table box_log add column told_by integer;
alter table box_log add column apart text;
alter table cows add column told_by integer;
alter table cows add column apart text;
alter table tank add column told_by integer;
alter table tank add column apart text;
alter table cow_tests add column told_by integer;
alter table cow_tests add column apart text;
"""

CHANGED_BY_OTHERS = """
select distinct c.key, f.feed, g.feed as first from changes c
    join files f on f.id = c.file_id
    join "{table}" t on t."{name}" = json_extract(c.key, '$[0]') and t."{at}" = json_extract(c.key, '$[1]') {more}
    join files g on g.id = t.first_file and g.feed <> f.feed
    where c.tab = '{table}'
"""


@migrations()
def m005_feeds_of_rows(db: Database) -> None:
    """Which feeds told each row, where its first file's is not the only one, and what they say of it apart.

    `tellers`: several feeds together, by number. Of rows that are there already a second feed is known where it
    changed something.
    """
    for statement in _statements(FEEDS_OF_ROWS):
        db.execute(statement)
    numbers: dict[tuple[str, ...], int] = {}
    for table, (name, at) in KEYED_BY.items():
        more = "and t.event = json_extract(c.key, '$[2]')" if table == "box_log" else ""
        feeds_by_key: dict[str, set[str]] = {}
        for key, feed, first in db.execute(CHANGED_BY_OTHERS.format(table=table, name=name, at=at, more=more)):
            feeds_by_key.setdefault(key, set()).update((feed, first))
        for key, feeds in feeds_by_key.items():
            number = numbers.setdefault(tuple(sorted(feeds)), len(numbers) + 1)
            where = f'"{name}" = ? and "{at}" = ?' + (" and event = ?" if more else "")
            db.execute(f'update "{table}" set told_by = ? where {where}', (number, *json.loads(key)))
    for together, number in numbers.items():
        for feed in together:
            db.execute("insert into tellers (id, feed) values (?, ?)", (number, feed))


CLOCK = """
create table ticks_in_order (
    number integer primary key, at integer not null, kind text not null, jumped_s integer not null default 0,
    files_to integer not null default 0, settings_to integer not null default 0
) strict;
create table settings_in_order (number integer primary key, at integer not null, text text not null) strict;
insert into settings_in_order (at, text) select at, text from settings order by at;
"""

CLOCK_RENAMED = """
drop table ticks;
alter table ticks_in_order rename to ticks;
create index ticks_by_time on ticks (at);
create index ticks_jumped on ticks (number) where jumped_s <> 0;
drop table settings;
alter table settings_in_order rename to settings;
create table put_back (
    tab text not null, key text not null, name text not null, was integer not null, became integer not null,
    primary key (tab, key, name)
) strict, without rowid;
"""


@migrations()
def m006_clock(db: Database) -> None:
    """Ticks and settings in the order in which they came, as the clock may be put back.

    `jumped_s`: by how much it was, before a tick; `files_to`, `settings_to`: the last file and settings that a tick
    knew. `put_back`: moments that were recorded as later than a clock put back then showed, and what they became.
    """
    for statement in _statements(CLOCK):
        db.execute(statement)
    files = db.execute("select at, id from files order by id").fetchall()
    settings = db.execute("select at, number from settings_in_order order by number").fetchall()
    ticks = []
    file = setting = 0
    for at, kind in db.execute("select at, kind from ticks order by at").fetchall():
        while file < len(files) and files[file][0] <= at:
            file += 1
        while setting < len(settings) and settings[setting][0] <= at:
            setting += 1
        ticks.append((at, kind, files[file - 1][1] if file else 0, settings[setting - 1][1] if setting else 0))
    db.conn.executemany("insert into ticks_in_order (at, kind, files_to, settings_to) values (?, ?, ?, ?)", ticks)
    for statement in _statements(CLOCK_RENAMED):
        db.execute(statement)


@migrations()
def m007_reasons(db: Database) -> None:
    """Why something was set aside, was not delivered or ended, as a code and values in JSON, and no longer in English.

    The log keeps its English, which its chain covers.
    """
    db.conn.create_function("as_reason", 1, as_reason, deterministic=True)
    for table, name in (("set_aside", "reason"), ("files", "reason"), ("deliveries", "detail"), ("alerts", "over_why")):
        db.execute(f"update {table} set {name} = as_reason({name}) where {name} <> ''")


@migrations()
def m008_incidents(db: Database) -> None:
    """Which incident an alert belongs to, and the likeliest suspect that it was raised with.

    Of alerts that are there already each is its own incident: nobody was told of them together.
    """
    db.execute("alter table alerts add column suspect text not null default ''")
    db.execute("alter table alerts add column incident integer not null default 0")
    db.execute("alter table alerts add column incident_at text not null default ''")
    db.execute("update alerts set incident = id")
    db.execute("create index alerts_by_incident on alerts (incident)")


@migrations()
def m009_chores_undone(db: Database) -> None:
    """A chore that was recorded as done may be taken back.

    `undoes`: what a row takes back, by the moment at which it was done; of a row that says that it was done,
    `undone_at` is the tick that knew it taken back.
    """
    db.execute("alter table chores add column undoes integer")
    db.execute("alter table chores add column undone_at integer")
    db.execute("create index chores_by_name on chores (chore, place, at)")


@migrations()
def m010_read_again(db: Database) -> None:
    """What was read by a feed map that has changed since is read again, and what that no longer gives is taken back.

    `reread`: why a file was read once more, or what is no file but what a feed takes back. `void`: an earlier reading,
    which counts no more. `reread_asked`: what is to be read again by hand, or was to be and could not be yet; `since`
    numbers the settings from which on it may have been read, `tried` those by which it was last tried. `withdrawn`:
    files that are left alone by hand.
    """
    db.execute("alter table files add column reread text not null default ''")
    db.execute("alter table files add column void integer not null default 0")
    db.execute(
        "create table reread_asked (id integer primary key, name text not null, withdraw integer not null, "
        "since integer not null, at integer not null, tried integer, done_at integer) strict"
    )
    db.execute("create table withdrawn (file text primary key, at integer not null) strict")
    db.execute(
        "insert into meta (key, value) select 'read_by', cast(max(number) as text) from settings where number > 0 "
        "group by number > 0"
    )


RECORD = """
alter table visits add column first_line integer;
alter table box_log add column first_line integer;
alter table cows add column first_line integer;
alter table tank add column first_line integer;
alter table cow_tests add column first_line integer;
alter table changes add column line integer;
create table replaced (
    by integer not null, seq integer not null, digest text not null, primary key (by, seq)
) strict, without rowid;
"""


@migrations()
def m011_record(db: Database) -> None:
    """At which line of its file a row stood, and of a change too; and which entries of the log had a name replaced.

    Of rows that are there already the line is not known. `replaced`: by which entry of the log another one was changed
    (`seq`), and the digest of what that one says since.
    """
    for statement in _statements(RECORD):
        db.execute(statement)


KEYED_BY = {
    "visits": ("cow", "start"),
    "box_log": ("box", "at"),
    "cows": ("cow", "from"),
    "tank": ("tank", "at"),
    "cow_tests": ("cow", "at"),
}
"""What the rows of each table were keyed by at that migration: whom they are about, and when."""


def _statements(script: str) -> list[str]:
    """The statements of a script; `executescript` would commit a migration half-way."""
    return [piece.strip() for piece in script.split(";\n") if piece.strip()]
