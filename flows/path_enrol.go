package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// CodeMinutes is how long an enrolment code may be used.
const CodeMinutes = 15

// enrol makes a patient of a signed enrolment. Nothing starts until the patient
// has agreed and staff have confirmed that it is the right person.
func (t *turn) enrol(b Enrol) {
	who, ok := t.signer(b.Actor)
	switch {
	case !ok:
		t.log("order.refused", message.ArgS("op", "enrol"), message.ArgS("by", b.Actor.ID))
		t.answerTo(b.Chat, who, message.Say("order.refused.role", message.ArgK("role", "desk.role.clinician")))
		return
	case t.p.Course.State != chart.NoState:
		t.answerTo(b.Chat, who, message.Say("enrolled.already", message.ArgS("label", t.p.Label)))
		return
	}
	e := b.Enrolment
	if problems := enrol.Check(e); enrol.Refused(problems) {
		lines := []message.Line{message.Say("enrolled.refused")}
		for _, p := range problems {
			if !p.Soft {
				lines = append(lines, p.Say())
			}
		}
		t.answerTo(b.Chat, who, lines...)
		return
	}
	t.p.Label, t.p.Lang, t.p.Zone, t.p.Phone, t.p.Physician = e.Label, e.Lang, e.Zone, e.Phone, e.Physician
	t.p.Appliance, t.p.Baseline, t.p.Plan, t.p.Checklist = e.Appliance, e.Baseline, e.Plan, e.Checklist
	t.p.Plan.Rev, t.p.Plan.By, t.p.Plan.ByName, t.p.Plan.On = 1, who.ID, who.Label, t.e.Office.Date
	t.p.Course.State, t.p.Epoch = chart.Invited, t.pr.Epoch
	t.own(Own{Kind: "label", Value: e.Label})
	t.askHeadline()
	t.log("enrolled", message.ArgS("by", who.ID), message.ArgN("plan", 1))
	now := e
	now.Plan.Rev, now.Plan.On = 0, t.e.Office.Date
	done := append([]message.Line{message.Say("enrolled.done", message.ArgS("label", e.Label))}, enrol.Summarise(now).Say(&e)...)
	by, asked := t.pr.ByChat(b.Link)
	switch {
	case b.Host:
		t.takeCode(b.Code)
		person, limits := enrol.Sheet(&e, t.pr, t.e.Office.Date)
		t.answerTo(b.Chat, who, append([]message.Line{message.Say("enrolled.host", message.ArgS("label", e.Label))}, person...)...)
		t.answerTo(b.Chat, who, append(append(done[1:], limits...), message.Say("enrolled.host.wrong"))...)
	case asked && !by.Removed && b.Link != b.Chat:
		t.answerTo(b.Chat, who, append(done, message.Say("enrolled.linked", message.ArgS("who", by.Label)))...)
		t.invite(b.Code, b.Link, by, []message.Line{message.Say("enrolled.signed", message.ArgS("label", e.Label),
			message.ArgS("who", who.Label))})
	default:
		t.invite(b.Code, b.Chat, who, done)
	}
	t.office("unused", t.pr.NextMorning(t.e.Office))
}

// signer is the clinician who signs, as the practice knows that person now; or
// the owner, on the host's command line.
func (t *turn) signer(a Actor) (practice.Staff, bool) {
	if a.ID == practice.OwnerID {
		return practice.Staff{ID: a.ID, Label: a.Name, Role: practice.Owner}, true
	}
	s, ok := t.pr.ByID(a.ID)
	return s, ok && !s.Removed && s.Role == practice.Clinician
}

// invite takes a code and answers staff with a picture of the link and the code
// to type.
func (t *turn) invite(code string, chat int64, who practice.Staff, lines []message.Line) {
	if !t.takeCode(code) {
		return
	}
	lines = append(lines, message.Say("enrolled.link", message.ArgS("code", inFours(code)),
		message.ArgN("count", CodeMinutes)), message.Say("enrolled.waits"))
	m := message.Message{Lines: lines, Subject: t.p.ID}
	if t.pr.BotName != "" {
		m.Media, m.MediaOf = "qr", JoinLink(t.pr.BotName, code)
		m.Lines = append(m.Lines, message.Say("enrolled.url", message.ArgS("link", m.MediaOf)))
	}
	t.send(Send{Chat: chat, Lang: who.Lang, Lane: LaneReply, Msg: m})
}

// takeCode makes a code the patient's; false where there is none.
func (t *turn) takeCode(code string) bool {
	t.dropCode()
	if code == "" {
		t.p.CodeEnd = 0
		return false
	}
	t.p.Code, t.p.CodeEnd = code, t.now()+CodeMinutes*60
	t.own(Own{Kind: "code", Value: code})
	return true
}

// dropCode gives up a code that may not be used any more.
func (t *turn) dropCode() {
	if t.p.Code != "" {
		t.own(Own{Kind: "code", Value: t.p.Code, Drop: true})
		t.p.Used, t.p.Code, t.p.CodeEnd = t.p.Code, "", 0
	}
}

// JoinLink is the link that opens the bot with a code.
func JoinLink(bot, code string) string { return "https://t.me/" + bot + "?start=" + code }

// inFours writes a code in groups of four, to be read out.
func inFours(code string) string {
	var b []byte
	for i := 0; i < len(code); i++ {
		if i > 2 && (i-2)%4 == 0 || i == 2 {
			b = append(b, ' ')
		}
		b = append(b, code[i])
	}
	return string(b)
}
