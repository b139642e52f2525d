package cohort

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// Sentence is something that may be typed: what it tells of the night before, as a
// person labelled it, and what the program understands, where nobody else reads it.
type Sentence struct {
	Tells   []reading.Token
	Reading reading.Reading
	Text    string
}

// Speech is what virtual patients have to say, by what it is.
type Speech struct {
	Diary []Sentence // tells of the night: said by whom it is true of
	Vague []Sentence // of a diary, too, but tells nothing that could be written down
	Small []Sentence // small talk
}

// Of what is typed, in twenty-firsts: a third is small talk; of the rest a seventh is
// vague, as of the diary sentences that we have.
const (
	smallParts = 7
	vagueParts = 2
	parts      = 21
)

// Say chooses by n what somebody says: a sentence all of whose answers are true of the
// night lived, each such one alike often; small talk where there is none.
func (s *Speech) Say(n int, l *Lived) *Sentence {
	kind, n := n%parts, n/parts
	if kind >= smallParts+vagueParts {
		var fit []int
		for i := range s.Diary {
			if l.True(s.Diary[i].Tells) {
				fit = append(fit, i)
			}
		}
		if len(fit) > 0 {
			return &s.Diary[fit[n%len(fit)]]
		}
	}
	if kind >= smallParts && kind < smallParts+vagueParts && len(s.Vague) > 0 {
		return &s.Vague[n%len(s.Vague)]
	}
	return &s.Small[n%len(s.Small)]
}

// Lived is the night that a virtual patient has behind it, as it would tell of it now.
type Lived struct{ pl *Player }

// True reports whether it would give each of these answers, and there is one.
func (l *Lived) True(answers []reading.Token) bool {
	for _, a := range answers {
		if !a.Value.Known() || !l.agrees(a.Field, a.Value.N()) {
			return false
		}
	}
	return len(answers) > 0
}

// How near a number must come to what was lived.
const (
	nearSnoring = 1
	nearMinutes = 5  // of the bite and its guide
	nearPart    = 30 // of a night worn in part
	nearNight   = 60 // of a night worn to its end
)

// agrees reports whether an answer is true of the night before.
func (l *Lived) agrees(f chart.Field, n int) bool {
	pl := l.pl
	m, who, worn := &pl.morning, &pl.who, pl.morning.worn != chart.WornNo
	if pl.night <= pl.trial.fitted() {
		return false // nothing is lived yet
	}
	switch f {
	case chart.Worn:
		return n == m.worn
	case chart.WornMinutes:
		return m.worn == chart.WornPart && within(n, m.minutes, nearPart) || m.worn == chart.WornAll && within(n, int(who.hours*60), nearNight)
	case chart.NotWorn:
		return n == m.why
	case chart.Snoring:
		return worn && m.heard && within(n, m.snoring, nearSnoring)
	case chart.Reporter:
		return m.heard && n == chart.ReporterPartner || !m.heard && n == chart.ReporterNobody
	case chart.Pain:
		return n == m.pain
	case chart.Woken:
		return n == chart.No && m.pain < wokenFrom
	case chart.Where:
		return m.pain > 0 && n == who.site
	case chart.Gone:
		return m.pain > 0 && n == pl.goneByNow()
	case chart.Guide:
		return worn && n == yesNo(m.guide)
	case chart.GuideMinutes:
		return worn && m.guide && within(n, int(pl.p.Appliance.GuideMin), nearMinutes)
	case chart.Bite:
		return worn && n == pl.meets()
	case chart.BiteMinutes:
		return worn && within(n, m.bite, nearMinutes)
	case chart.Nose:
		return n == chart.Yes
	case chart.Sleepiness:
		low := pl.sleepiness()
		return n >= clampInt(low, 0, 10) && n <= clampInt(low+1, 0, 10)
	case chart.Driving, chart.Wrong:
		return n == chart.No
	case chart.Headache:
		return n == yesNo(pl.mostly(who.headaches))
	case chart.Pauses:
		return n == yesNo(pl.mostly(who.pauses))
	case chart.SettingLeft:
		return n == int(pl.stands)
	case chart.SettingRight:
		return pl.p.Appliance.TwoSided && n == int(pl.stands+pl.p.Appliance.Offset)
	}
	return false
}

func within(a, b, by int) bool { return a-b <= by && b-a <= by }

// goneByNow is when the pain went, as far as it has at this time of the day.
func (pl *Player) goneByNow() int {
	over := map[int]civil.Clock{chart.GoneMorning: 0, chart.GoneMidday: 12 * 60, chart.GoneAfternoon: 17 * 60}[pl.morning.gone]
	if pl.now < at(civil.Wall{Date: pl.night, Clock: over}) {
		return chart.GoneNo
	}
	return pl.morning.gone
}

// mostly reports whether a symptom that was there before the treatment is still told
// of more often than not.
func (pl *Player) mostly(before bool) bool { return before && pl.who.desaturations(pl.mm()) > 0.5 }
