package desk

import (
	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// staffBound takes the practice's answer to a staff code.
func (t *turn) staffBound(b flows.StaffBound) {
	t.c.Code = ""
	switch {
	case b.NoPIN:
		if t.c.Staff == b.Staff {
			t.c.Pins = 0
			if t.c.Form.Stage == Proving {
				t.c.Form.Stage, t.c.Form.Secret = Summing, ""
			}
			t.sayKey("desk.pin.reset")
		}
	case b.Refused:
		t.sayKey("desk.code.unknown")
	case b.Freed:
		if t.c.Staff == b.Staff {
			t.vacate()
			t.c.Staff, t.c.Since = "", 0
			t.c.Gen++
			t.sayKey("desk.freed")
		}
	case t.c.Group():
		if t.pr.GroupLang != "" {
			t.c.Lang = t.pr.GroupLang
		}
		t.c.Since, t.c.Tries = t.e.Office.Date, nil
		t.sayKey("desk.group.bound")
	case b.Staff != "":
		if t.c.Staff != "" && t.c.Staff != b.Staff {
			t.vacate()
		}
		t.c.Staff, t.c.Since, t.c.Tries, t.c.Told, t.c.Pins = b.Staff, t.e.Office.Date, nil, 0, 0
		t.c.Gen++
		who, _ := t.pr.ByID(b.Staff)
		t.who = who
		if who.Lang != "" {
			t.c.Lang = who.Lang
		}
		t.send(message.Message{Lines: []message.Line{
			message.Say("desk.welcome", message.ArgS("who", who.Label), message.ArgK("role", roleKey(b.Role)),
				message.ArgS("practice", t.pr.Name)),
			message.Say("desk.help"),
		}, Inline: menu(b.Role)})
	}
}

func roleKey(r practice.Role) string { return "desk.role." + r.String() }
