-- Every body lies in an envelope, bound to what stands beside it (store/envelope.go).
-- envelope is the program's own function: a body, the row's kind, and its place.

UPDATE meta      SET value = envelope(value, 'secret') WHERE key = 'secret';
UPDATE aggregate SET body = envelope(body, 'body', ref, rev);
UPDATE diary     SET body = envelope(body, 'diary', ref, night, source, at);
UPDATE journal   SET body = envelope(body, 'journal', ref, seq);
UPDATE due       SET body = envelope(body, 'timer', ref, name, at, wall, zone, basis);
UPDATE held      SET body = envelope(body, 'timer', ref, name, at, wall, zone, basis);
UPDATE outbox    SET body = envelope(body, 'item', id, ref, queue, lane, key, lang, plan, advice, not_after, once, ordered);
UPDATE aside     SET raw = envelope(raw, 'aside', id, class, at);
