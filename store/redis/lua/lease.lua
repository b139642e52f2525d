-- Leases items. ARGV: token, now, end of the hold, the highest lane, how many to
-- list as expired, how many to lease, the last score that may be leased, 1
-- to say only the scores of those that would be, and the lowest lane to lease from. The answer is kept a minute under the token, for whoever did not get it.
local receipt = P .. 'receipt:' .. ARGV[1]
local kept = call('GET', receipt)
if kept then return cmsgpack.unpack(kept) end
local nowText, untilText, most = ARGV[2], ARGV[3], tonumber(ARGV[4])
local now, late, room, last = tonumber(nowText), tonumber(ARGV[5]), tonumber(ARGV[6]), tonumber(ARGV[7])
local look = ARGV[8] == '1'
local expired, out = {}, {}

local function give(list, id, since)
  local it = get(id, 'd', 'seq', 'attempt', 'written', 'before', 'lane', 'line', 'key')
  list[#list + 1] = {since, it[1], it[2], it[3], it[4], it[5], id, it[6], it[7], it[8]}
end

-- Leases that ran out end; what waited for its time may go.
local lines = {}
for _, id in ipairs(call('ZRANGEBYSCORE', P .. 'wait', '-inf', nowText)) do
  local it = get(id, 'held', 'withdrawn', 'lane', 'line', 'key', 'seq', 'ordered')
  call('ZREM', P .. 'wait', id)
  if it[1] == '0' then
    call('ZADD', P .. 'go', num(tonumber(it[3]) * LANE + tonumber(it[6])), id)
  else
    lines[it[4]] = true
    set(id, 'held', '0')
    if it[2] == '1' then
      finish(id, it[3], it[4], it[5], '5', nowText, it[7])
    else
      local after = get(id, 'after')[1]
      if after ~= '0' then call('ZADD', P .. 'late', after, it[3] .. id) end
    end
  end
end
for line in pairs(lines) do free(line, now) end

-- What is too late is held until its owner was told.
local function overdue(set, max, f)
  local at = 0
  while #expired < late do
    local ms = call('ZRANGEBYSCORE', P .. set, '-inf', max, 'LIMIT', at, 100)
    if #ms == 0 then return end
    for _, m in ipairs(ms) do
      if tonumber(string.sub(m, 1, 1)) <= most and #expired < late then
        f(m, string.sub(m, 2))
      else
        at = at + 1
      end
    end
  end
end
overdue('late', '(' .. nowText, function(m, id)
  local it = get(id, 'line', 'key')
  leave(id, string.sub(m, 1, 1), it[1], it[2])
  set(id, 'state', '4', 'held', untilText, 'leased', '1')
  call('ZADD', P .. 'told', untilText, m)
  free(it[1], now)
  give(expired, id, '0')
end)
overdue('told', nowText, function(m, id)
  give(expired, id, call('ZSCORE', P .. 'told', m))
  set(id, 'held', untilText, 'leased', '1')
  call('ZADD', P .. 'told', untilText, m)
end)

-- The rest goes out by lane and order, one of each line.
local skip, bottom, top = 0, num(tonumber(ARGV[9]) * LANE), math.min(last, (most + 1) * LANE - 1)
while #out < room do
  local r = call('ZRANGEBYSCORE', P .. 'go', bottom, num(top), 'WITHSCORES', 'LIMIT', skip, 1)
  if #r == 0 then break end
  local id = r[1]
  local it = get(id, 'after', 'line', 'attempt', 'lane')
  if it[1] ~= '0' and tonumber(it[1]) < now then
    skip = skip + 1 -- left for the next call, which will list it
  elseif look then
    skip = skip + 1
    out[#out + 1] = r[2]
  else
    set(id, 'held', untilText, 'leased', '1', 'attempt', num(tonumber(it[3]) + 1))
    for _, h in ipairs(heads(it[2])) do -- the line's other lanes wait for it
      call('ZREM', P .. 'go', h.id)
      call('ZREM', P .. 'wait', h.id)
    end
    call('ZADD', P .. 'wait', untilText, id)
    call('ZREM', P .. 'late', it[4] .. id)
    give(out, id, '0')
  end
end
local answer = {expired, out}
if not look and #expired + #out > 0 then call('SET', receipt, cmsgpack.pack(answer), 'PX', 60000) end
return answer
