package desk

import (
	"strconv"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
)

// summary shows what will be ordered, for a yes or for the label typed again.
func (t *turn) summary() {
	f := &t.c.Form
	a := acts[max(actIndex(f.Op), 0)]
	second := a.second || f.Op == opPlan && looser(f.Brief.Enrolment.Plan, f.Filled.Enrolment.Plan)
	if f.Op != opAll && f.Op != opSweep && !a.sure && !second {
		t.ordered()
		return
	}
	lines := t.sumLines()
	ways := []message.Button{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")}
	if f.Looked { // it is taken as it is, or not at all
		ways = ways[1:]
	}
	if second {
		f.Stage = Checking
		t.send(message.Message{Lines: append(lines, message.Say("desk.sum.label")), Inline: [][]message.Button{ways}})
		return
	}
	f.Stage = Summing
	t.send(message.Message{Lines: append(lines, message.Say("desk.sum.sure")),
		Inline: [][]message.Button{append([]message.Button{t.tap("desk.b.yes", "yes")}, ways...)}})
}

// looser reports whether a plan lets more happen than the old one: that is what
// needs the second identifier.
func looser(old, new chart.Plan) bool {
	o, n := old.Limits, new.Limits
	return n.Ceiling > o.Ceiling || n.Settle < o.Settle || n.Interval < o.Interval || n.RestMornings < o.RestMornings ||
		n.Pace > o.Pace ||
		n.Target < o.Target || n.Loud > o.Loud || n.WornMinutes < o.WornMinutes || n.ContactDays > o.ContactDays ||
		new.Ends > old.Ends ||
		n.Timetable && (!o.Timetable || n.TimetableTop > o.TimetableTop) || o.ReleaseByHand && !n.ReleaseByHand ||
		o.WeeklyNeeded && !n.WeeklyNeeded ||
		o.DrivingNightly && !n.DrivingNightly
}

// sumLines tells what will be ordered.
func (t *turn) sumLines() []message.Line {
	f := &t.c.Form
	if f.Op == opAll {
		lines := []message.Line{message.Say("desk.sum.all." + f.Order.Text)}
		if f.Order.Flag != "" {
			lines = append(lines, message.Say("desk.sum.text", message.ArgS("text", f.Order.Flag)))
		}
		return lines
	}
	if f.Op == opSweep {
		return []message.Line{message.Say("desk.sum.sweep", message.ArgK("list", "desk.list."+f.Order.Flag+".name"))}
	}
	e, o := &f.Filled.Enrolment, &f.Order
	lines := []message.Line{message.Say("desk.sum.head", message.ArgK("what", opKey(f.Op)),
		message.ArgS("label", f.Brief.Enrolment.Label))}
	if f.Op == opSteady {
		if f.Brief.Proof != nil {
			lines = append(lines, testLines(f.Brief.Proof)...)
		}
		lines = append(lines, flows.Waiting(f.Brief.Escs, flows.WhyTest)...)
	}
	if f.Op == opSteady && len(f.Brief.Doubts) > 0 {
		lines = append(append(lines, message.Say("desk.sum.doubts")), f.Brief.Doubts...)
	}
	if o.Flag != "" {
		lines = append(lines, message.Say("desk.sum.flag", message.ArgK("flag", flagKey(o.Flag))))
	}
	if o.Has {
		lines = append(lines, message.Say("desk.sum.setting", settingArgs(e, o.To)...))
		if f.Op == opVisit || f.Op == opRelease {
			lines = append(lines, message.Say("desk.sum.was", settingArgs(e, f.Brief.Left)...))
		}
	}
	if o.Until != 0 {
		lines = append(lines, message.Say("desk.sum.until", message.ArgD("until", o.Until)))
	}
	if o.Zone != "" {
		lines = append(lines, message.Say("desk.sum.zone", message.ArgS("zone", o.Zone)))
	}
	if o.Evening > 0 {
		lines = append(lines, message.Say("desk.sum.evening", message.ArgC("time", o.Evening-1)))
	}
	if o.Morning > 0 {
		lines = append(lines, message.Say("desk.sum.morning", message.ArgC("time", o.Morning-1)))
	}
	if o.Lang != "" {
		lines = append(lines, message.Say("desk.sum.lang", message.ArgK("lang", "desk.lang."+o.Lang)))
	}
	if x := o.Test; x != nil {
		lines = append(lines, testLines(x)...)
	}
	if o.Entry != nil {
		for _, e := range append([]chart.Entry{*o.Entry}, o.More...) {
			lines = append(lines, entryLines(&e, entryOn(f.Brief.Nights, e.Night))...)
		}
	}
	if f.Op == opPlan {
		lines = append(append(lines, planChanges(&f.Brief.Enrolment, e)...), f.Brief.Ahead...)
	}
	if o.Text != "" {
		lines = append(lines, message.Say("desk.sum.text", message.ArgS("text", o.Text)))
	}
	return lines
}

// settingArgs gives a setting as a number, in mm from the habitual bite and in
// % with the zero stated, and the practice's own label where there is one.
func settingArgs(e *chart.Enrolment, n chart.Steps) []message.Arg {
	place := e.Baseline.Start + chart.Micrometres(n)*e.Appliance.Step
	name := strconv.Itoa(int(n))
	if n >= 0 && int(n) < len(e.Appliance.Labels) {
		name += " (" + e.Appliance.Labels[n] + ")"
	}
	return []message.Arg{message.ArgS("n", name), message.ArgUM("place", place),
		message.ArgP("share", chart.ShareOf(&e.Baseline, place)), message.ArgK("zero", zeroKey(e.Baseline.Zero))}
}

func zeroKey(z chart.Zero) string {
	return "enrol.zero." + [...]string{"unset", "habitual", "retruded"}[min(z, chart.ZeroRetruded)]
}

// planChanges names every limit that differs, old and new.
func planChanges(old, new *chart.Enrolment) []message.Line {
	return changesOf(old, new, func(f enrol.FormField) bool { return f.Part == enrol.PartLimits || f.Part == enrol.PartPlan })
}

// changes names every blank that differs.
func changes(old, new *chart.Enrolment) []message.Line {
	return changesOf(old, new, func(enrol.FormField) bool { return true })
}

func changesOf(old, new *chart.Enrolment, in func(enrol.FormField) bool) (out []message.Line) {
	fields := enrol.FormFields()
	for _, i := range enrol.Order(fields) {
		f := fields[i]
		if a, b := f.Text(old), f.Text(new); !in(f) || a == b || !f.Asked(new) && !f.Asked(old) {
			continue
		}
		args := []message.Arg{message.ArgK("field", "enrol.f."+f.Key), valueArg(f, old, "was"), valueArg(f, new, "now")}
		key := "desk.sum.change"
		if n, steps := placeOf(f, new); steps { // a count of steps says little of how far that is
			was, _ := f.Get(old)
			key = "desk.sum.change.place"
			args = append(args, placeArgs(old, chart.Steps(was), "was")...)
			args = append(append(args, placeArgs(new, n, "now")...), message.ArgK("zero", zeroKey(new.Baseline.Zero)))
		}
		out = append(out, message.Say(key, args...))
	}
	return out
}

// placeOf is the setting that a blank holds, where that is a place on the appliance.
func placeOf(f enrol.FormField, e *chart.Enrolment) (chart.Steps, bool) {
	n, known := f.Get(e)
	return chart.Steps(n), known && f.Kind == enrol.FormSetting && e.Appliance.Step > 0 && e.Baseline.Zero != chart.ZeroUnset
}

// placeArgs say where a setting stands, in mm and % of the range.
func placeArgs(e *chart.Enrolment, n chart.Steps, name string) []message.Arg {
	place := e.Baseline.Start + chart.Micrometres(n)*e.Appliance.Step
	return []message.Arg{message.ArgUM(name+"place", place), message.ArgP(name+"share", chart.ShareOf(&e.Baseline, place))}
}

// valueArg gives what is kept in a blank, to be shown.
func valueArg(f enrol.FormField, e *chart.Enrolment, name string) message.Arg {
	return f.Shown(e, name)
}
