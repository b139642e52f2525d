-- Notes that a leased item's request is about to be written. ARGV: id.
local it = get(ARGV[1], 'state', 'held')
if it[1] ~= '0' or it[2] == '0' then return 'none' end
set(ARGV[1], 'written', '1')
return 'ok'
