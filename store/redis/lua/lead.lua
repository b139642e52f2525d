-- Takes, renews or gives up a lease by the server's clock. ARGV: what, who,
-- milliseconds, token. That it was given up is kept a minute under the token.
local key, receipt = P .. 'lead:' .. ARGV[1], P .. 'receipt:' .. ARGV[4]
if call('EXISTS', receipt) == 1 then return 1 end
local who = call('GET', key)
if who and who ~= ARGV[2] then return 0 end
if ARGV[3] == '0' then
  if not who then return 0 end
  call('DEL', key)
  call('SET', receipt, '', 'PX', 60000)
  return 1
end
call('SET', key, ARGV[2], 'PX', ARGV[3])
return 1
