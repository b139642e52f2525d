-- Claims timers. ARGV: token, now, end of the hold, how many. The answer is kept
-- a minute under the token, for whoever did not get it.
local receipt = P .. 'receipt:' .. ARGV[1]
local kept = call('GET', receipt)
if kept then return cmsgpack.unpack(kept) end
local out = {}
for _, m in ipairs(call('ZRANGEBYSCORE', P .. 'due', '-inf', ARGV[2], 'LIMIT', 0, ARGV[4])) do
  local cut = string.find(m, '\0', 1, true)
  out[#out + 1] = m
  out[#out + 1] = call('HGET', P .. 'timers:' .. string.sub(m, 1, cut - 1), string.sub(m, cut + 1))
  call('ZADD', P .. 'due', ARGV[3], m)
end
if #out > 0 then call('SET', receipt, cmsgpack.pack(out), 'PX', 60000) end
return out
