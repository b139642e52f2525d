-- Counts what waits: lane, how many and the oldest's instant, one lane after the
-- other. What may go is counted by its score; what is leased or looked at later
-- is few.
local n, oldest = {}, {}
local function add(lane, count, ordered)
  if count == 0 then return end
  n[lane] = (n[lane] or 0) + count
  if not oldest[lane] or tonumber(ordered) < tonumber(oldest[lane]) then oldest[lane] = ordered end
end
for lane = 0, 7 do
  local from, to = num(lane * LANE), num((lane + 1) * LANE - 1)
  local first = call('ZRANGEBYSCORE', P .. 'go', from, to, 'LIMIT', 0, 1)[1]
  if first then add(lane, call('ZCOUNT', P .. 'go', from, to), get(first, 'ordered')[1]) end
end
for _, id in ipairs(call('ZRANGE', P .. 'wait', 0, -1)) do
  local it = get(id, 'lane', 'ordered')
  add(tonumber(it[1]), 1, it[2])
end
local out = {}
for lane, count in pairs(n) do
  out[#out + 1] = lane
  out[#out + 1] = count
  out[#out + 1] = oldest[lane]
end
return out
