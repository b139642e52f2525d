package desk

import "duskdawn/flows"

// staffBound takes the practice's answer to a staff code.
func (t *turn) staffBound(b flows.StaffBound) {
	t.c.Code = ""
	switch {
	case b.Refused:
		t.sayKey("desk.code.unknown")
	case b.Freed:
		if t.c.Staff == b.Staff {
			t.c.Staff, t.c.Since, t.c.Form, t.c.Drafts = "", 0, Form{}, nil
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
		t.c.Staff, t.c.Since, t.c.Tries, t.c.Told = b.Staff, t.e.Office.Date, nil, 0
		t.c.Gen++
		who, _ := t.pr.ByID(b.Staff)
		t.who = who
		if who.Lang != "" {
			t.c.Lang = who.Lang
		}
		t.send(flows.Message{Lines: []flows.Line{
			flows.Say("desk.welcome", flows.ArgS("who", who.Label), flows.ArgK("role", roleKey(b.Role)), flows.ArgS("practice", t.pr.Name)),
			flows.Say("desk.help"),
		}, Inline: menu()})
	}
}

func roleKey(r flows.Role) string { return "desk.role." + r.String() }
