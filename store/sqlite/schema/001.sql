-- Instants are microseconds since 1970, 0 for none. Bodies are opaque.

CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE aggregate (
  ref  TEXT PRIMARY KEY,
  rev  INTEGER NOT NULL,
  body BLOB NOT NULL
) STRICT;

CREATE TABLE seen (
  ref   TEXT NOT NULL,
  event TEXT NOT NULL,
  at    INTEGER NOT NULL,
  PRIMARY KEY (ref, event)
) STRICT, WITHOUT ROWID;

CREATE TABLE entry (
  key TEXT PRIMARY KEY,
  ref TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE summary (
  ref      TEXT PRIMARY KEY,
  label    TEXT NOT NULL,
  state    TEXT NOT NULL,
  class    INTEGER NOT NULL,
  acked    INTEGER NOT NULL,
  deadline INTEGER NOT NULL,
  answered INTEGER NOT NULL,
  review   INTEGER NOT NULL,
  chat     INTEGER NOT NULL,
  step     INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX summary_open ON summary (deadline) WHERE class > 0;
CREATE INDEX summary_label ON summary (label);

CREATE TABLE diary (
  id     INTEGER PRIMARY KEY, -- the order of commit
  ref    TEXT NOT NULL,
  night  INTEGER NOT NULL,
  rev    INTEGER NOT NULL,
  source TEXT NOT NULL,
  at     INTEGER NOT NULL,
  body   BLOB NOT NULL,
  UNIQUE (ref, night, rev)
) STRICT;

CREATE TABLE journal (
  ref      TEXT NOT NULL,
  seq      INTEGER NOT NULL,
  at       INTEGER NOT NULL,
  event    TEXT NOT NULL,
  actor    TEXT NOT NULL,
  role     TEXT NOT NULL,
  practice INTEGER NOT NULL,
  plan     INTEGER NOT NULL,
  rules    INTEGER NOT NULL,
  what     TEXT NOT NULL,
  body     BLOB NOT NULL,
  hash     BLOB NOT NULL,
  PRIMARY KEY (ref, seq)
) STRICT, WITHOUT ROWID;

-- A timer waits in due, or, claimed, in held until its hold ends. timer tells
-- where: it is the way from a name to a timer. A claim reads the beginning of due
-- and writes to held, which is small, so it costs by what is due and touches
-- nothing else of those who are enrolled.
CREATE TABLE timer (
  ref  TEXT NOT NULL,
  name TEXT NOT NULL,
  at   INTEGER NOT NULL,
  PRIMARY KEY (ref, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE due (
  at    INTEGER NOT NULL,
  ref   TEXT NOT NULL,
  name  TEXT NOT NULL,
  wall  TEXT NOT NULL,
  zone  TEXT NOT NULL,
  basis TEXT NOT NULL,
  body  BLOB NOT NULL,
  PRIMARY KEY (at, ref, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE held (
  until INTEGER NOT NULL,
  ref   TEXT NOT NULL,
  name  TEXT NOT NULL,
  at    INTEGER NOT NULL,
  wall  TEXT NOT NULL,
  zone  TEXT NOT NULL,
  basis TEXT NOT NULL,
  body  BLOB NOT NULL,
  PRIMARY KEY (until, ref, name)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX held_timer ON held (ref, name);

-- ready is NULL for an item that cannot go whatever the time: settled, or
-- behind another of its line (what one aggregate orders for one queue). It is 0
-- for one that may go now, and otherwise when to look at it: at its not_before,
-- or when its lease runs out. held is the end of its lease, 0 for none or
-- one that ran out; leased tells that there was one and that it may be settled.
CREATE TABLE outbox (
  seq        INTEGER PRIMARY KEY,
  id         TEXT NOT NULL UNIQUE,
  ref        TEXT NOT NULL,
  queue      TEXT NOT NULL,
  lane       INTEGER NOT NULL,
  key        TEXT NOT NULL,
  lang       TEXT NOT NULL,
  plan       INTEGER NOT NULL,
  advice     INTEGER NOT NULL,
  not_before INTEGER NOT NULL,
  not_after  INTEGER NOT NULL,
  once       INTEGER NOT NULL,
  ordered    INTEGER NOT NULL,
  state      INTEGER NOT NULL DEFAULT 0,
  attempt    INTEGER NOT NULL DEFAULT 0,
  written    INTEGER NOT NULL DEFAULT 0,
  message    INTEGER NOT NULL DEFAULT 0,
  ready      INTEGER,
  held       INTEGER NOT NULL DEFAULT 0,
  leased     INTEGER NOT NULL DEFAULT 0,
  withdrawn  INTEGER NOT NULL DEFAULT 0,
  settled    INTEGER NOT NULL DEFAULT 0,
  body       BLOB NOT NULL
) STRICT;
CREATE INDEX outbox_go ON outbox (lane, seq) WHERE ready = 0;
CREATE INDEX outbox_wait ON outbox (ready, lane) WHERE ready > 0;
CREATE INDEX outbox_line ON outbox (ref, queue, lane, seq) WHERE state = 0;
CREATE INDEX outbox_late ON outbox (not_after, lane, id) WHERE not_after > 0 AND state = 0 AND held = 0;
CREATE INDEX outbox_doubt ON outbox (ordered) WHERE state = 6;

CREATE TABLE flood (
  queue TEXT PRIMARY KEY,
  state BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE lead (
  what  TEXT PRIMARY KEY,
  who   TEXT NOT NULL,
  until INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE aside (
  id    TEXT PRIMARY KEY,
  class TEXT NOT NULL,
  raw   BLOB NOT NULL,
  at    INTEGER NOT NULL
) STRICT;
