package desk

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Who covers a holiday, or somebody's leave, is set from the chat by a clinician: on
// those days one person has the duty, and who is covered, or everybody else, has not.

const (
	opCover    = "cover" // the form of it
	coverName  = "cover" // the timer at which days begin and end
	mostCovers = 12
)

func (t *turn) askCover() {
	if !t.may(practice.Clinician, opCover) {
		return
	}
	t.c.Form = Form{Op: opCover, Nonce: t.nonce(), Stage: Asking, Since: t.now(), Cover: &practice.Cover{}}
	t.question()
}

// coverQuestion asks for the days, who is on duty, and for whom; before that it shows
// what is set, each to be ended.
func (t *turn) coverQuestion() {
	f := &t.c.Form
	cancel := []message.Button{t.tap("desk.b.cancel", "x")}
	var m message.Message
	people := func(not string) {
		for i, s := range t.pr.Staff {
			if !s.Removed && s.Chat != 0 && s.ID != not {
				m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.template", message.ArgS("name", s.Label)), "s"+strconv.Itoa(i))})
			}
		}
	}
	switch f.At {
	case 0:
		for _, c := range t.pr.Covers {
			m.Lines = append(m.Lines, coverLine(t.pr, &c))
			m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.uncover", message.ArgD("day", c.From)), coverArg(c))})
		}
		m.Lines = append(m.Lines, message.Say("desk.cover.days"))
	case 1:
		m.Lines = append(m.Lines, message.Say("desk.cover.who"))
		people("")
	case 2:
		m.Lines = append(m.Lines, message.Say("desk.cover.for"))
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.everybody", "all")})
		people(f.Cover.Who)
	case 3:
		f.Stage = Summing
		m.Lines = append(append(append(m.Lines, coverLine(t.pr, f.Cover)), t.coverGaps()...), message.Say("desk.sum.sure"))
		cancel = append([]message.Button{t.tap("desk.b.yes", "yes")}, cancel...)
	default:
		f.Stage = Summing
		m.Lines = append(append(m.Lines, t.coverGaps()...), message.Say("desk.cover.gaps"))
		cancel = append([]message.Button{t.tap("desk.b.anyway", "yes"), t.tap("desk.b.back", "back")}, cancel...)
	}
	m.Inline = append(m.Inline, cancel)
	t.send(m)
}

// coverArg names a cover on its button: the list may have changed when it is pressed.
func coverArg(c practice.Cover) string {
	n := uint32(c.From)*31 + uint32(c.To)
	for _, b := range []byte(c.Who + " " + c.For) {
		n = n*31 + uint32(b)
	}
	return "u" + strconv.FormatUint(uint64(n), 36)
}

func coverLine(pr *practice.Practice, c *practice.Cover) message.Line {
	who, _ := pr.ByID(c.Who)
	args := []message.Arg{message.ArgD("from", c.From), message.ArgD("to", c.To), message.ArgS("who", who.Label)}
	if off, known := pr.ByID(c.For); known {
		return message.Say("desk.cover.line.for", append(args, message.ArgS("for", off.Label))...)
	}
	return message.Say("desk.cover.line", args...)
}

// coverSaid takes the days: one, or the first and the last.
func (t *turn) coverSaid(text string) {
	f := &t.c.Form
	if f.At != 0 {
		t.question()
		return
	}
	if len(t.pr.Covers) >= mostCovers {
		t.say(tooManyCovers())
		return
	}
	var days []civil.Date
	for word := range strings.FieldsSeq(text) {
		d, err := civil.ParseDate(strings.Trim(word, ",;."))
		if err != nil && strings.ContainsAny(word, "0123456789") { // a day that is none
			days = nil
			break
		}
		if err == nil {
			days = append(days, d)
		}
	}
	if n := len(days); n < 1 || n > 2 || days[0] < t.e.Office.Date || days[n-1] < days[0] || days[n-1]-days[0] > 60 {
		t.wrong(enrol.Problem{Key: "desk.bad.days"})
		return
	}
	c := *f.Cover
	c.From, c.To = days[0], days[len(days)-1]
	f.Cover, f.At = &c, 1
	t.question()
}

func (t *turn) coverTap(arg string) {
	f := &t.c.Form
	n, err := strconv.Atoi(arg[min(1, len(arg)):])
	c := *f.Cover
	switch {
	case f.Stage == Summing && arg == "yes" && f.At == 3 && len(t.coverGaps()) > 0: // asked a second time
		f.At++
		t.question()
	case f.Stage == Summing && arg == "yes":
		t.coverDone(flows.ManageCover, c)
	case f.At == 0 && strings.HasPrefix(arg, "u"):
		at := slices.IndexFunc(t.pr.Covers, func(c practice.Cover) bool { return coverArg(c) == arg })
		if at < 0 {
			t.sayKey("desk.cover.gone")
			t.question()
			return
		}
		t.coverDone(flows.ManageUncover, t.pr.Covers[at])
	case f.At == 2 && arg == "all":
		c.For = "" // whoever was named before going back
		f.Cover = &c
		f.At++
		t.question()
	case (f.At == 1 || f.At == 2) && strings.HasPrefix(arg, "s") && err == nil && n >= 0 && n < len(t.pr.Staff):
		if t.pr.Staff[n].Removed { // meanwhile
			t.question()
			return
		}
		if f.At == 1 {
			c.Who = t.pr.Staff[n].ID
		} else {
			c.For = t.pr.Staff[n].ID
		}
		f.Cover = &c
		f.At++
		t.question()
	default:
		t.sayKey("desk.form.gone")
	}
}

func (t *turn) coverDone(op flows.ManageOp, c practice.Cover) {
	t.c.Form = Form{}
	if t.may(practice.Clinician, opCover) {
		t.tell(flows.Target{Practice: true}, flows.Manage{Op: op, Actor: t.actor(), Cover: &c})
	}
}

// cover keeps who covers which days, or ends it, and tells everybody.
func (o *office) cover(b flows.Manage) {
	actor, known := o.pr.ByID(b.Actor.ID)
	if !known || actor.Removed || actor.Role != practice.Clinician || b.Cover == nil {
		return
	}
	o.rota()
	c := *b.Cover
	who, here := o.pr.ByID(c.Who)
	at := slices.Index(o.pr.Covers, c)
	kept := slices.Clone(o.pr.Covers)
	key := "desk.cover.set"
	var wrong message.Line
	switch {
	case b.Op == flows.ManageUncover && at < 0:
		wrong = message.Say("desk.cover.gone")
	case b.Op == flows.ManageUncover:
		kept, key = slices.Delete(kept, at, at+1), "desk.cover.ended"
	case at >= 0:
		wrong = message.Say("desk.cover.same")
	case len(kept) >= mostCovers:
		wrong = tooManyCovers()
	case !here || who.Removed || c.To < c.From || c.To < o.e.Office.Date: // left, or went by, while the form was open
		wrong = message.Say("desk.cover.over")
	default:
		kept = append(kept, c)
	}
	if wrong.Key != "" {
		o.out = append(o.out, flows.Send{Chat: actor.Chat, Lang: actor.Lang, Lane: flows.LaneReply, Msg: message.Message{Lines: []message.Line{wrong}}})
		return
	}
	o.pr.Covers = kept
	o.covers()
	o.log(key, message.ArgS("by", actor.ID), message.ArgD("from", c.From), message.ArgD("to", c.To), message.ArgS("who", c.Who))
	lines := []message.Line{message.Say(key, message.ArgS("who", actor.Label)), coverLine(&o.pr, &c)}
	if b.Op == flows.ManageCover {
		lines = append(lines, gapLines(o.pr.Gaps(c.From, c.To))...)
	}
	o.everyone(lines...)
}

func tooManyCovers() message.Line {
	return message.Say("desk.cover.many", message.ArgN("most", mostCovers))
}

// uncovered ends what somebody who has left was to cover: else nobody had the duty.
func (o *office) uncovered(id string) {
	for i := len(o.pr.Covers) - 1; i >= 0; i-- {
		if c := o.pr.Covers[i]; c.Who == id {
			o.pr.Covers = slices.Delete(slices.Clone(o.pr.Covers), i, i+1)
			o.everyone(message.Say("desk.cover.left"), coverLine(&o.pr, &c))
		}
	}
	o.covers()
}

// rota takes note of whom the rota has off now, which is who is off duty where nobody
// covers anything.
func (o *office) rota() {
	for i := range o.pr.Staff {
		if s := &o.pr.Staff[i]; len(o.pr.Covers) == 0 {
			s.OffRota = s.OffDuty
		}
	}
}

// covers puts everybody on or off duty as it is today, forgets what is over, and comes
// back when the next day of it begins.
func (o *office) covers() {
	today := o.e.Office.Date
	o.pr.Covers = slices.DeleteFunc(slices.Clone(o.pr.Covers), func(c practice.Cover) bool { return c.To < today })
	o.pr.Duty(today)
	next := civil.Date(0)
	for _, c := range o.pr.Covers {
		for _, d := range [...]civil.Date{c.From, c.To + 1} {
			if d > today && (next == 0 || d < next) {
				next = d
			}
		}
	}
	if next != 0 {
		o.out = append(o.out, flows.SetTimer{Name: coverName, At: civil.Wall{Date: next}, Office: true})
	}
}
