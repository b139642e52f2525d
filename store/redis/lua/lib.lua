-- What the scripts share. KEYS[1] is the shard's prefix, hash tag and all: every
-- key is made from it, so that a script stays in one slot.
--
-- item:<id>    a hash; d is the item as ordered, the rest is what changes
-- line:<line>  sorted set of what waits in one line (of what one aggregate
--              orders for one queue), by lane and then order: the score
-- key:<ref key>  set of what waits and can be withdrawn under a key
-- go           sorted set of what may go now, by score
-- wait         sorted set of what is to be looked at later, by time
-- late         sorted set of what will be too late, by time; members begin with the lane
-- told         sorted set of what is Expired and held until its owner was told; the same
-- done, doubt  sorted sets of what is settled, by time, and of what is in doubt
local P = KEYS[1]
local LANE = 562949953421312 -- 2^49
local call = redis.call

-- num writes a whole number in full; Lua's own way stops at 14 digits.
local function num(n) return string.format('%.0f', n) end

local function get(id, ...) return call('HMGET', P .. 'item:' .. id, ...) end
local function set(id, ...) call('HSET', P .. 'item:' .. id, ...) end

-- heads lists the oldest that waits in each lane of a line, lowest lane first.
-- What is leased is always one of them.
local function heads(line)
  local out, from = {}, '-inf'
  while true do
    local r = call('ZRANGEBYSCORE', P .. 'line:' .. line, from, '+inf', 'WITHSCORES', 'LIMIT', 0, 1)
    if #r == 0 then return out end
    local lane = math.floor(tonumber(r[2]) / LANE)
    out[#out + 1] = {id = r[1], score = r[2], lane = lane}
    from = num((lane + 1) * LANE)
  end
end

-- free lets a line's heads go on, where none of them is leased.
local function free(line, now)
  local hs = heads(line)
  for _, h in ipairs(hs) do
    if get(h.id, 'held')[1] ~= '0' then return end
  end
  for _, h in ipairs(hs) do
    local before = get(h.id, 'before')[1]
    if before ~= '0' and tonumber(before) > now then
      call('ZADD', P .. 'wait', before, h.id)
    else
      call('ZREM', P .. 'wait', h.id)
      call('ZADD', P .. 'go', h.score, h.id)
    end
  end
end

-- leave takes an item out of everything that waits.
local function leave(id, lane, line, key)
  call('ZREM', P .. 'line:' .. line, id)
  call('ZREM', P .. 'go', id)
  call('ZREM', P .. 'wait', id)
  call('ZREM', P .. 'late', lane .. id)
  call('SREM', P .. 'key:' .. key, id)
end

-- finish settles an item; more of its fields can be set with that.
local function finish(id, lane, line, key, state, at, ordered, ...)
  leave(id, lane, line, key)
  set(id, 'state', state, 'held', '0', 'leased', '0', ...)
  call('ZADD', P .. 'done', at, id)
  if state == '6' then call('ZADD', P .. 'doubt', ordered, id) end
end

-- fits tells whether a journal is still at the head that was read.
local function fits(ref, head)
  return (call('HGET', P .. 'agg:' .. ref, 'journal') or '') == head
end
