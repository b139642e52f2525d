package desk

import (
	"slices"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// manage holds or resumes everything, and takes what the owner and the program
// report of the installation.
func (o *office) manage(b flows.Manage) {
	switch b.Op {
	case flows.ManageHold, flows.ManageResume:
		o.hold(b)
	case flows.ManageUsual:
		o.usual(b)
	case flows.ManageCover, flows.ManageUncover:
		o.cover(b)
	case flows.ManagePIN, flows.ManagePINOut:
		o.pin(b)
	case flows.ManageRelease:
		if b.Actor.ID == practice.OwnerID && o.pr.Frozen() {
			o.release()
		}
	case flows.ManageHalt, flows.ManageLift:
		if halt := b.Op == flows.ManageHalt; b.Actor.ID == practice.OwnerID && o.pr.Halted != halt {
			o.pr.Halted = halt
			o.announce(map[bool]string{true: "desk.halted", false: "desk.lifted"}[halt])
		}
	case flows.ManageRival:
		if !o.pr.Rival {
			o.pr.Rival = true
			o.announce("desk.rival")
		}
	case flows.ManageAlone:
		if o.pr.Rival {
			o.pr.Rival = false
			o.announce("desk.alone")
		}
	case flows.ManageDamaged:
		o.announce("desk.damaged", message.ArgS("label", b.Label))
	case flows.ManageAside:
		if b.Label == "" {
			o.announce("desk.aside.nobody")
		} else {
			o.announce("desk.aside", message.ArgS("label", b.Label))
		}
	case flows.ManageNumber:
		if b.Patient != "" {
			o.pr.Numbers++
			o.out = append(o.out, flows.Tell{To: flows.Target{Patient: b.Patient}, Body: flows.Numbered{Number: o.pr.Numbers}})
		}
	case flows.ManageWords:
		o.words()
	case flows.ManageLang:
		o.changeLanguage(b)
	}
}

// announce logs what happened to the installation, and tells everyone.
func (o *office) announce(key string, args ...message.Arg) { o.announceBut(0, key, args...) }

// announceBut tells everybody but one chat, which has its own answer: the two would come in any order.
func (o *office) announceBut(chat int64, key string, args ...message.Arg) {
	o.log(key, args...)
	o.everyoneBut(chat, message.Say(key, args...))
}

// hold stops everything that nobody asked for, or lets it go on: anyone may
// stop it, a clinician or the owner lets it go on.
func (o *office) hold(b flows.Manage) {
	actor, known := o.pr.ByID(b.Actor.ID)
	owner := b.Actor.ID == practice.OwnerID
	mayHold := owner || known && !actor.Removed
	mayResume := owner || mayHold && actor.Role == practice.Clinician
	by := message.ArgS("who", b.Actor.Name)
	switch {
	case b.Op == flows.ManageHold && mayHold && !o.pr.Held:
		o.pr.Held = true
		o.pr.HoldN++
		o.pr.Holder = practice.Hold{Who: b.Actor.Name, At: o.e.Office, Why: reading.Clip(b.Text, maxWords)}
		if b.Text == "" {
			o.announce("desk.held", by)
		} else {
			o.announce("desk.held.why", by, message.ArgS("text", o.pr.Holder.Why))
		}
	case b.Op == flows.ManageResume && mayResume && o.pr.Held:
		o.pr.Held, o.pr.Holder = false, practice.Hold{}
		o.announce("desk.resumed", by)
	case b.Actor.Chat != 0 && known:
		o.out = append(o.out, flows.Send{Chat: b.Actor.Chat, Lang: actor.Lang, Lane: flows.LaneReply,
			Msg: message.Message{Lines: []message.Line{message.Say("desk.nochange")}}})
	}
}

// release ends the freeze after a restore; everyone is told what time is missing.
func (o *office) release() {
	from, to := o.pr.GapFrom, o.pr.GapTo
	o.pr.Released = o.pr.Epoch
	o.log("desk.released", message.ArgN("epoch", int(o.pr.Epoch)))
	o.everyone(message.Say("desk.released", message.ArgD("from", from.Date), message.ArgC("fromtime", from.Clock),
		message.ArgD("to", to.Date), message.ArgC("totime", to.Clock)), message.Say("desk.released.call"))
}

// changeLanguage changes the language of one person of the staff.
func (o *office) changeLanguage(b flows.Manage) {
	if !slices.Contains(o.pr.Langs, b.Lang) {
		return
	}
	for i := range o.pr.Staff {
		if o.pr.Staff[i].ID == b.Actor.ID {
			o.pr.Staff[i].Lang = b.Lang
		}
	}
}

// restored counts a restore: until the owner has looked nothing goes out that
// nobody asked for, and each patient's setting must be confirmed anew. Staff are
// told with the release.
func (o *office) restored(b flows.Restored) {
	if b.Epoch > 0 && b.Epoch <= o.pr.Epoch {
		return
	}
	if !o.pr.Frozen() { // else it was begun before, and the gap is the longer one
		o.pr.GapFrom = b.Since
	}
	o.pr.GapTo = o.e.Office
	o.pr.Epoch = max(o.pr.Epoch+1, b.Epoch)
	o.log("desk.restored", message.ArgN("epoch", int(o.pr.Epoch)))
}
