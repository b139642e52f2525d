-- Makes a leased item whose row cannot be read Expired, held until its owner was
-- told. ARGV: id, the end of that hold, now.
local id = ARGV[1]
local it = get(id, 'state', 'held', 'lane', 'line', 'key')
if it[1] ~= '0' or it[2] == '0' then return 'none' end
leave(id, it[3], it[4], it[5])
set(id, 'state', '4', 'held', ARGV[2], 'leased', '1')
call('ZADD', P .. 'told', ARGV[2], it[3] .. id)
free(it[4], tonumber(ARGV[3]))
return 'ok'
