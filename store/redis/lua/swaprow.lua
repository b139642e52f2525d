-- Replaces rows that are still what was read. ARGV: 'hash' or 'list', the key behind
-- the prefix, and then the field or place, what was read and what takes its place, for each.
local key = P .. ARGV[2]
for i = 3, #ARGV, 3 do
  if ARGV[1] == 'hash' then
    if call('HGET', key, ARGV[i]) == ARGV[i + 1] then call('HSET', key, ARGV[i], ARGV[i + 2]) end
  elseif call('LINDEX', key, ARGV[i]) == ARGV[i + 1] then
    call('LSET', key, ARGV[i], ARGV[i + 2])
  end
end
return 'ok'
