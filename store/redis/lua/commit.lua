-- One commit. ARGV: ref, event, token, at, revision that was read, the journal's
-- head that was read, what may be handed over (the end of the leases, how many at
-- most, and ids and queues in their order), and then the change, each list behind
-- its length. The answer is 'ok', or a list of it and what was handed over.
local i = 0
local function arg() i = i + 1; return ARGV[i] end
local function each(f) for _ = 1, tonumber(arg()) do f() end end

local ref, event, token, at, rev, head = arg(), arg(), arg(), tonumber(arg()), arg(), arg()
local upto, most = arg(), tonumber(arg())
local eligible = {}
each(function() eligible[#eligible + 1] = {id = arg(), queue = arg()} end)

-- answer gives what was handed over, with the places that the items were given.
local function answer(place)
  local out = {'ok'}
  for _, e in ipairs(eligible) do
    local seq = place(e.id)
    if seq then
      out[#out + 1] = e.id
      out[#out + 1] = seq
    end
  end
  if #out == 1 then return 'ok' end
  return out
end

local seen = call('HGET', P .. 'events', ref .. '\0' .. event)
if seen then
  if string.sub(seen, 1, #token) ~= token then return 'seen' end
  return answer(function(id) -- our own, its answer lost
    local it = get(id, 'held', 'attempt', 'state', 'seq')
    return it[1] == upto and it[2] == '1' and it[3] == '0' and it[4]
  end)
end
local agg = P .. 'agg:' .. ref
local now = call('HMGET', agg, 'rev', 'journal')
if (now[1] or '0') ~= rev or (now[2] or '') ~= head then return 'again' end

-- What could be refused comes first: a script that fails half way keeps its half.
local own, disown = {}, {}
each(function() disown[#disown + 1] = arg() end)
each(function() own[#own + 1] = arg() end)
for _, k in ipairs(own) do
  local owner = call('HGET', P .. 'own', k)
  if owner and owner ~= ref then return 'taken' end
end

call('HSET', P .. 'events', ref .. '\0' .. event, token .. num(at))
for _, k in ipairs(disown) do
  if call('HGET', P .. 'own', k) == ref then call('HDEL', P .. 'own', k) end
end
for _, k in ipairs(own) do call('HSET', P .. 'own', k, ref) end
each(function() -- the body, once or not at all
  call('HSET', agg, 'rev', num(tonumber(rev) + 1), 'body', arg())
end)
each(function() -- the summary
  local blob, label, open, deadline = arg(), arg(), arg(), arg()
  local old = call('HGET', P .. 'labels', ref)
  if old and old ~= label then call('ZREM', P .. 'label', old .. '\0' .. ref) end
  call('HSET', P .. 'labels', ref, label)
  call('ZADD', P .. 'label', 0, label .. '\0' .. ref)
  call('HSET', P .. 'sum', ref, blob)
  if open == '1' then call('ZADD', P .. 'open', deadline, ref) else call('ZREM', P .. 'open', ref) end
end)
each(function() -- the diary
  local night, blob = arg(), arg()
  local r = call('HINCRBY', P .. 'nights:' .. ref, night, 1)
  call('RPUSH', P .. 'diary:' .. ref, r .. ' ' .. blob)
end)
local newest
each(function() newest = arg(); call('RPUSH', P .. 'journal:' .. ref, arg()) end)
if newest then call('HSET', agg, 'journal', newest) end
each(function() -- timers to clear
  local name = arg()
  call('HDEL', P .. 'timers:' .. ref, name)
  call('ZREM', P .. 'due', ref .. '\0' .. name)
end)
each(function() -- timers to set
  local name, next, blob = arg(), arg(), arg()
  call('HSET', P .. 'timers:' .. ref, name, blob)
  call('ZADD', P .. 'due', next, ref .. '\0' .. name)
end)
each(function() -- item keys to withdraw
  local key = ref .. '\0' .. arg()
  local lines = {}
  for _, id in ipairs(call('SMEMBERS', P .. 'key:' .. key)) do
    local it = get(id, 'held', 'lane', 'line', 'ordered')
    if it[1] ~= '0' then
      set(id, 'withdrawn', '1')
    else
      finish(id, it[2], it[3], key, '5', num(at), it[4])
      lines[it[3]] = true
    end
  end
  for line in pairs(lines) do free(line, at) end
end)
local hand, busy = {}, {} -- items to hand over (their places, once they have one), and their queues
for _, e in ipairs(eligible) do
  local waits = call('EXISTS', P .. 'line:' .. ref .. '\0' .. e.queue, P .. 'item:' .. e.id)
  if waits == 0 and most > 0 then
    hand[e.id], busy[e.queue] = true, true
    most = most - 1
  end
end
each(function() -- items
  local id, lane, queue, key, before, after, blob = arg(), arg(), arg(), arg(), arg(), arg(), arg()
  if not hand[id] and call('EXISTS', P .. 'item:' .. id) == 1 then return end
  -- The order of commit, near enough the time to compare between shards.
  local seq = math.max(tonumber(call('GET', P .. 'seq') or '0') + 1, math.floor(at / 1000) * 16)
  call('SET', P .. 'seq', num(seq))
  local line, score, ready = ref .. '\0' .. queue, num(tonumber(lane) * LANE + seq), not busy[queue]
  local held, leased = '0', '0'
  if hand[id] then held, leased, hand[id] = upto, '1', num(seq) end
  key = ref .. '\0' .. key
  if ready and not hand[id] then
    for _, h in ipairs(heads(line)) do
      if h.lane == tonumber(lane) or get(h.id, 'held')[1] ~= '0' then ready = false end
    end
  end
  set(id, 'd', blob, 'ref', ref, 'lane', lane, 'line', line, 'key', key, 'seq', num(seq), 'before', before, 'after', after,
    'ordered', num(at), 'state', '0', 'held', held, 'leased', leased, 'attempt', leased, 'written', '0', 'withdrawn', '0')
  call('ZADD', P .. 'line:' .. line, score, id)
  call('SADD', P .. 'key:' .. key, id)
  if hand[id] then call('ZADD', P .. 'wait', upto, id) return end
  if after ~= '0' then call('ZADD', P .. 'late', after, lane .. id) end
  if not ready then return end
  if before == '0' then call('ZADD', P .. 'go', score, id) else call('ZADD', P .. 'wait', before, id) end
end)
return answer(function(id) return hand[id] end)
