-- Takes, renews or gives up a lease by the server's clock. ARGV: what, who, milliseconds.
local key = P .. 'lead:' .. ARGV[1]
local who = call('GET', key)
if who and who ~= ARGV[2] then return 0 end
if ARGV[3] == '0' then return call('DEL', key) end
call('SET', key, ARGV[2], 'PX', ARGV[3])
return 1
