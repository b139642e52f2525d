-- Replaces flood buckets, if they are still what was read. ARGV: token, and then
-- queue, what was read and what takes its place, for each. A receipt is kept a
-- minute under the token: another's bucket may look the same as ours.
local receipt = P .. 'receipt:' .. ARGV[1]
if call('EXISTS', receipt) == 1 then return 1 end
for i = 2, #ARGV, 3 do
  if (call('HGET', P .. 'flood', ARGV[i]) or '') ~= ARGV[i + 1] then return 0 end
end
for i = 2, #ARGV, 3 do call('HSET', P .. 'flood', ARGV[i], ARGV[i + 2]) end
call('SET', receipt, '', 'PX', 60000)
return 1
