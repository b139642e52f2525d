-- Forgets settled items from before an instant, some at a time. ARGV: that
-- instant, how many at most. Returns how many it forgot.
local ids = call('ZRANGEBYSCORE', P .. 'done', '-inf', '(' .. ARGV[1], 'LIMIT', 0, ARGV[2])
for _, id in ipairs(ids) do
  call('ZREM', P .. 'done', id)
  call('ZREM', P .. 'doubt', id)
  call('DEL', P .. 'item:' .. id)
end
return #ids
