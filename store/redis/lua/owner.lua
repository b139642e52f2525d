-- Reads what a record of an item's text needs. ARGV: id.
local it = get(ARGV[1], 'd', 'ref')
if not it[1] then return {} end
return {it[1], it[2], call('HGET', P .. 'agg:' .. it[2], 'journal') or ''}
