package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// codeTries is how many wrong staff codes are typed while codes wait before the
// practice is told. The codes stay: strangers could otherwise lock everybody new
// out. What keeps guessing hopeless is the code itself, 60 random bits that count
// once within a quarter of an hour, and five tries an hour in each chat: a million
// chats that try all theirs find one of ten with a chance of less than one in 10^10.
const codeTries = 20

// NextPractice says what happens next to the practice as a whole: its people
// and codes, its settings and rota, holds, restores and the group.
func NextPractice(pr practice.Practice, e flows.Event) (practice.Practice, []flows.Effect) {
	o := office{pr: pr, e: &e}
	o.pr.Staff = slices.Clone(pr.Staff)
	o.pr.Codes = slices.Clone(pr.Codes)
	switch b := e.Body.(type) {
	case flows.Settings:
		o.settings(b)
	case flows.StaffChange:
		o.change(b)
	case flows.StaffJoin:
		o.join(b)
	case flows.GroupMoved:
		if b.From == o.pr.Group && b.From != 0 && b.To < 0 {
			o.pr.Group = b.To
			o.log("desk.group.moved")
			o.everyone(message.Say("desk.group.moved"))
		}
	case flows.Bounce:
		o.reach(b.Chat, true)
	case flows.Reached:
		o.reach(b.Chat, false)
	case flows.Manage:
		o.manage(b)
	case flows.Due:
		o.due(b)
	case flows.Restored:
		o.restored(b)
	}
	return o.pr, o.out
}

// office is one event of the practice being handled.
type office struct {
	pr  practice.Practice
	e   *flows.Event
	out []flows.Effect
}

func (o *office) log(what string, args ...message.Arg) {
	o.out = append(o.out, flows.Log{What: what, Args: args})
}

func (o *office) tell(chat int64, b flows.Body) {
	o.out = append(o.out, flows.Tell{To: flows.Target{Chat: chat}, Body: b})
}

// everyone sends lines to the group, or where there is none to each person.
func (o *office) everyone(lines ...message.Line) { o.everyoneBut(0, lines...) }

func (o *office) everyoneBut(but int64, lines ...message.Line) {
	send := func(chat int64, lang string) {
		o.out = append(o.out, flows.Send{Chat: chat, Lang: lang, Lane: flows.LaneStaff, Msg: message.Message{Lines: lines}})
	}
	if o.pr.Group != 0 {
		send(o.pr.Group, o.pr.GroupLang)
	}
	for _, s := range o.pr.Staff {
		if s.Chat != 0 && s.Chat != but && !s.Removed && !s.Unreach {
			send(s.Chat, s.Lang)
		}
	}
}

// settings takes what the file says and keeps what it does not: people, codes,
// group, holds and restores. The rota's timers are set anew.
func (o *office) settings(b flows.Settings) {
	old, next := o.pr, b.Practice
	next.Rev, next.Staff, next.Codes, next.Group = old.Rev, old.Staff, old.Codes, old.Group
	next.Holder = old.Holder
	next.HoldN, next.Own, next.Covers = old.HoldN, old.Own, old.Covers
	next.Held, next.Epoch, next.Released, next.Rival = old.Held, old.Epoch, old.Released, old.Rival
	next.GapFrom, next.GapTo, next.Halted, next.Round, next.Numbers = old.GapFrom, old.GapTo, old.Halted, old.Round, old.Numbers
	if next.BotName == "" {
		next.BotName = old.BotName
	}
	for i := len(next.Rota); i < len(old.Rota); i++ { // the others are replaced below
		o.out = append(o.out, flows.ClearTimer{Name: rotaName(i, true)}, flows.ClearTimer{Name: rotaName(i, false)})
	}
	o.pr = next
	for i := range next.Rota {
		o.shift(i, true)
		o.shift(i, false)
	}
	for i := range o.pr.Staff {
		s := &o.pr.Staff[i]
		s.OffRota = slices.Contains(b.Off, s.Label) && slices.ContainsFunc(next.Rota,
			func(r practice.Shift) bool { return r.Staff == s.Label })
	}
	o.covers()
	o.planDigest()
	o.log("desk.settings")
}

// change is the owner's: people come, go, or get new codes. A removed person
// stays on the list, so that an old button can say so.
func (o *office) change(b flows.StaffChange) {
	at := slices.IndexFunc(o.pr.Staff, func(s practice.Staff) bool { return s.ID == b.Staff.ID && s.ID != "" })
	switch b.Op {
	case flows.StaffAdd:
		if at >= 0 || b.Staff.ID == "" || b.Staff.Role != practice.Assistant && b.Staff.Role != practice.Clinician {
			return
		}
		s := b.Staff
		s.Chat, s.Removed, s.Unreach, s.PIN, s.Locked = 0, false, false, "", false
		o.pr.Staff = append(o.pr.Staff, s)
		o.newCode(b.Code, s.ID)
	case flows.StaffCode:
		if at >= 0 && !o.pr.Staff[at].Removed {
			o.newCode(b.Code, b.Staff.ID)
		}
	case flows.StaffGroup:
		o.newCode(b.Code, "")
	case flows.StaffVoid:
		o.voidCode(b.Code.Hash)
	case flows.StaffPIN:
		if at >= 0 && !o.pr.Staff[at].Removed {
			o.noPIN(&o.pr.Staff[at])
		}
	case flows.StaffRemove:
		if at < 0 || o.pr.Staff[at].Removed {
			return
		}
		s := &o.pr.Staff[at]
		s.Removed = true
		o.pr.Codes = slices.DeleteFunc(o.pr.Codes, func(c practice.Code) bool { return c.Staff == s.ID })
		if s.Chat != 0 {
			o.tell(s.Chat, flows.StaffBound{Staff: s.ID, Freed: true})
		}
		o.log("desk.staff.removed", message.ArgS("who", s.ID))
		o.everyoneBut(s.Chat, message.Say("desk.staff.left", message.ArgS("who", s.Label)))
		o.out = append(o.out, flows.Tell{To: flows.Target{Open: true}, Body: flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: s.ID}}})
		o.rota()
		o.uncovered(s.ID)
		if gaps := gapLines(o.pr.Gaps(o.e.Office.Date, o.e.Office.Date+mostGapDays)); len(gaps) > 0 { // who covers is alone now
			o.everyone(gaps...)
		}
	}
}

func (o *office) newCode(c practice.Code, staff string) {
	if c.Hash == "" {
		return
	}
	c.Staff, c.Tries = staff, 0
	o.pr.Codes = slices.DeleteFunc(o.pr.Codes, func(old practice.Code) bool {
		return old.Staff == staff || old.Ends <= o.e.At.Unix()
	})
	o.pr.Codes = append(o.pr.Codes, c)
	o.log("desk.staff.code", message.ArgS("who", staff))
}

// voidCode takes back a code that was seen where it does not belong, and says
// so: the owner makes a new one.
func (o *office) voidCode(hash string) {
	at := slices.IndexFunc(o.pr.Codes, func(c practice.Code) bool { return c.Hash == hash && hash != "" })
	if at < 0 {
		return
	}
	line := message.Say("desk.code.void.group")
	if who, ok := o.pr.ByID(o.pr.Codes[at].Staff); ok {
		line = message.Say("desk.code.void", message.ArgS("who", who.Label))
	}
	o.pr.Codes = slices.Delete(o.pr.Codes, at, at+1)
	o.log("desk.code.void")
	o.everyone(line)
}

// join takes a code once, before it ends. Wrong ones are counted with those that
// wait.
func (o *office) join(b flows.StaffJoin) {
	now := o.e.At.Unix()
	at := slices.IndexFunc(o.pr.Codes, func(c practice.Code) bool { return c.Hash == b.Code && b.Code != "" })
	if at < 0 {
		guessed := false
		for i := range o.pr.Codes {
			if c := &o.pr.Codes[i]; c.Ends > now && c.Tries < codeTries {
				c.Tries++
				guessed = guessed || c.Tries == codeTries
			}
		}
		if guessed {
			o.log("desk.code.guessed")
			o.everyone(message.Say("desk.code.guessed", message.ArgN("n", codeTries)))
		}
		o.refuse(b.Chat, "unknown")
		return
	}
	code := o.pr.Codes[at]
	if code.Ends <= now {
		o.pr.Codes = slices.Delete(o.pr.Codes, at, at+1)
		o.refuse(b.Chat, "ended")
		return
	}
	if (code.Staff == "") != b.Group || b.Group != (b.Chat < 0) {
		o.voidCode(b.Code) // a person's code in a group, or the group's in a private chat: others have seen it
		o.refuse(b.Chat, "place")
		return
	}
	if b.Group {
		o.pr.Codes = slices.Delete(o.pr.Codes, at, at+1)
		o.pr.Group = b.Chat
		if o.pr.GroupLang == "" {
			o.pr.GroupLang = o.pr.Lang
		}
		o.tell(b.Chat, flows.StaffBound{})
		o.log("desk.group.bound")
		return
	}
	i := slices.IndexFunc(o.pr.Staff, func(s practice.Staff) bool { return s.ID == code.Staff && !s.Removed })
	o.pr.Codes = slices.Delete(o.pr.Codes, at, at+1)
	if i < 0 {
		o.refuse(b.Chat, "removed")
		return
	}
	for j := range o.pr.Staff { // a chat is one person's
		if j != i && o.pr.Staff[j].Chat == b.Chat {
			o.pr.Staff[j].Chat = 0
		}
	}
	s := &o.pr.Staff[i]
	if s.Chat != 0 && s.Chat != b.Chat {
		o.tell(s.Chat, flows.StaffBound{Staff: s.ID, Freed: true})
	}
	s.Chat, s.Unreach = b.Chat, false
	if s.Lang == "" { // unless the owner chose one
		s.Lang = b.Lang
	}
	o.tell(b.Chat, flows.StaffBound{Staff: s.ID, Role: s.Role})
	o.log("desk.staff.bound", message.ArgS("who", s.ID))
}

func (o *office) refuse(chat int64, why string) {
	o.tell(chat, flows.StaffBound{Refused: true})
	o.log("desk.code.refused", message.ArgS("why", why))
}

// reach marks a person whose chat bounced, and tells the others: a duty phone
// that cannot be reached is a danger of its own.
func (o *office) reach(chat int64, out bool) {
	for i := range o.pr.Staff {
		s := &o.pr.Staff[i]
		if s.Chat != chat || chat == 0 || s.Removed || s.Unreach == out {
			continue
		}
		s.Unreach = out
		key := "desk.staff.back"
		if out {
			key = "desk.staff.unreached"
		}
		o.log(key, message.ArgS("who", s.ID))
		o.everyone(message.Say(key, message.ArgS("who", s.Label)))
	}
}

// due turns the rota: who is on duty changes, and the next time is set.
func (o *office) due(d flows.Due) {
	switch d.Name {
	case digestName:
		o.digest()
		return
	case roundName:
		o.round()
		return
	}
	o.rota()
	for i, r := range o.pr.Rota {
		for _, begins := range []bool{true, false} {
			if d.Name != rotaName(i, begins) {
				continue
			}
			for j := range o.pr.Staff {
				if o.pr.Staff[j].Label == r.Staff && !o.pr.Staff[j].Removed {
					o.pr.Staff[j].OffRota = !begins
				}
			}
			o.shift(i, begins)
		}
	}
	o.covers()
}

func (o *office) shift(i int, begins bool) {
	spec := o.pr.Rota[i].To
	if begins {
		spec = o.pr.Rota[i].From
	}
	o.out = append(o.out, flows.SetTimer{Name: rotaName(i, begins), Cron: spec, Office: true})
}

func rotaName(i int, begins bool) string {
	name := "rota." + string([]byte{'0' + byte(i/100%10), '0' + byte(i/10%10), '0' + byte(i%10)})
	if begins {
		return name + ".on"
	}
	return name + ".off"
}
