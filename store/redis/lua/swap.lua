-- Replaces flood buckets, if they are still what was read. ARGV: queue, what was
-- read and what takes its place, for each.
for i = 1, #ARGV, 3 do
  local now = call('HGET', P .. 'flood', ARGV[i]) or ''
  if now ~= ARGV[i + 1] and now ~= ARGV[i + 2] then return 0 end
end
for i = 1, #ARGV, 3 do call('HSET', P .. 'flood', ARGV[i], ARGV[i + 2]) end
return 1
