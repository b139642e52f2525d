-- Ends a lease. ARGV: token, id, attempt, outcome, message, until, written, at,
-- and, with a text, the journal's head that was read, the new one and the record.
local token, id = ARGV[1], ARGV[2]
local it = get(id, 'leased', 'attempt', 'state', 'withdrawn', 'lane', 'line', 'key', 'ordered', 'written', 'ref', 'token')
if it[11] == token then return 'ok' end -- our own, its answer lost
if it[1] ~= '1' or (ARGV[3] ~= '0' and ARGV[3] ~= it[2]) then return 'none' end
if ARGV[9] then
  if not fits(it[10], ARGV[9]) then return 'again' end
  call('HSET', P .. 'agg:' .. it[10], 'journal', ARGV[10])
  call('RPUSH', P .. 'journal:' .. it[10], ARGV[11])
end
local lane, line, key, outcome, at = it[5], it[6], it[7], ARGV[4], ARGV[8]
if it[3] == '4' then
  call('ZREM', P .. 'told', lane .. id)
  set(id, 'held', '0', 'leased', '0', 'token', token)
  call('ZADD', P .. 'done', at, id)
  return 'ok'
end
if outcome == '0' then
  set(id, 'written', ARGV[7], 'before', ARGV[6], 'held', '0', 'leased', '0', 'token', token)
  if it[4] == '1' then
    finish(id, lane, line, key, '5', at, it[8])
  else
    call('ZREM', P .. 'wait', id)
    call('ZREM', P .. 'go', id)
    local after = get(id, 'after')[1]
    if after ~= '0' then call('ZADD', P .. 'late', after, lane .. id) end
  end
else
  local written = (it[9] == '1' or ARGV[7] == '1') and '1' or '0'
  finish(id, lane, line, key, outcome, at, it[8], 'written', written, 'message', ARGV[5], 'token', token)
end
free(line, tonumber(at))
return 'ok'
