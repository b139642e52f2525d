-- What the flood limiter remembers lies in envelopes like every other row.

UPDATE flood SET state = envelope(state, 'flood', queue);
