-- What every commit adds stands at the end of its table or index, in the order
-- of time, so that the commits of one moment write the same few pages.

CREATE TABLE seen_2 (
  event TEXT NOT NULL,
  ref   TEXT NOT NULL,
  at    INTEGER NOT NULL,
  PRIMARY KEY (event, ref)
) STRICT, WITHOUT ROWID;
INSERT INTO seen_2 (event, ref, at) SELECT event, ref, at FROM seen ORDER BY event, ref;
DROP TABLE seen;
ALTER TABLE seen_2 RENAME TO seen;

-- A journal's records stand in journal in the order of commit. place is the way
-- from an aggregate to its records; it is filled a thousand at once, up to the
-- id in placed. record is both together.
CREATE TABLE journal_2 (
  id       INTEGER PRIMARY KEY,
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
  hash     BLOB NOT NULL
) STRICT;
INSERT INTO journal_2 (ref, seq, at, event, actor, role, practice, plan, rules, what, body, hash)
  SELECT ref, seq, at, event, actor, role, practice, plan, rules, what, body, hash FROM journal ORDER BY ref, seq;
DROP TABLE journal;
ALTER TABLE journal_2 RENAME TO journal;

CREATE TABLE place (
  ref TEXT NOT NULL,
  seq INTEGER NOT NULL,
  id  INTEGER NOT NULL,
  PRIMARY KEY (ref, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO place (ref, seq, id) SELECT ref, seq, id FROM journal;

CREATE TABLE placed (id INTEGER NOT NULL) STRICT;
INSERT INTO placed (id) SELECT ifnull(max(id), 0) FROM journal;

CREATE VIEW record AS
  SELECT p.ref, p.seq, at, event, actor, role, practice, plan, rules, what, body, hash
    FROM place p CROSS JOIN journal j ON j.id = p.id
  UNION ALL
  SELECT ref, seq, at, event, actor, role, practice, plan, rules, what, body, hash
    FROM journal WHERE id > (SELECT id FROM placed);

-- An item's id begins with its shard, in two digits, and then with its time.
CREATE TABLE outbox_2 (
  seq        INTEGER PRIMARY KEY,
  id         TEXT NOT NULL,
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
INSERT INTO outbox_2 SELECT * FROM outbox ORDER BY seq;
DROP TABLE outbox;
ALTER TABLE outbox_2 RENAME TO outbox;
CREATE UNIQUE INDEX outbox_id ON outbox (substr(id, 3), id);
CREATE INDEX outbox_go ON outbox (lane, seq) WHERE ready = 0;
CREATE INDEX outbox_wait ON outbox (ready, lane) WHERE ready > 0;
CREATE INDEX outbox_line ON outbox (ref, queue, lane, seq) WHERE state = 0;
CREATE INDEX outbox_late ON outbox (not_after, lane, id) WHERE not_after > 0 AND state = 0 AND held = 0;
CREATE INDEX outbox_doubt ON outbox (ordered) WHERE state = 6;
