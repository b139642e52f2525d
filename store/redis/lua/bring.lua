-- Gives the events that were seen the key that this form has for them. In their
-- old one lies a text, on which every commit of a program of the older form fails.
local old = P .. 'seen'
if call('TYPE', old).ok == 'hash' then call('RENAME', old, P .. 'events') end
call('SET', old, 'form 2')
return 'ok'
