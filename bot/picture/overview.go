package picture

import (
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/locales"
)

// Stand is where one patient stands.
type Stand struct {
	Label   string
	State   chart.State // on the path, also beneath a pause or a flag
	Waits   int         // escalations that nobody has taken
	Stopped bool
	Paused  bool
	Silent  int // silent nights in a row
}

// StandOf tells it of a patient.
func StandOf(p *flows.Patient) Stand {
	s := Stand{Label: p.Label, State: p.Course.OnPath(), Stopped: p.Course.State == chart.Stopped,
		Paused: p.Course.State == chart.Paused, Silent: int(p.Talk.Silent)}
	if p.Course.State < chart.Settling || p.Course.State == chart.Ended {
		s.State = p.Course.State
	}
	for i := range p.Escalations {
		if p.Escalations[i].AckBy == "" {
			s.Waits++
		}
	}
	return s
}

// silentNights is from how many nights on somebody is drawn as silent.
const silentNights = 2

// Practice is who stands where on the path.
type Practice struct{ Patients []Stand }

// Draw lays it out, a row a state: a mark for each patient, and the labels of
// those for whom something waits.
func (p *Practice) Draw(words *locales.Words, lang string, width int) *Sheet {
	s, v := newSheet(width), voice{words, lang}
	s.Lang, s.Title = lang, v.say("picture.practice")
	s.head(12, 24, s.Title)
	waits, silent := 0, 0
	at := map[chart.State][]Stand{}
	for _, x := range p.Patients {
		at[x.State] = append(at[x.State], x)
		if x.Waits > 0 {
			waits++
		}
		if x.Silent >= silentNights {
			silent++
		}
	}
	s.Told = v.say("picture.practice.told", message.ArgN("n", len(p.Patients)), message.ArgN("waits", waits),
		message.ArgN("silent", silent))
	y := 46.0
	for _, line := range lines(s.Told, textSize, s.Width-24) {
		s.say(inkSoft, textSize, 12, y, 'l', line)
		y += lineStep
	}
	y += 6
	for state := chart.Invited; state <= chart.Ended; state++ {
		if state == chart.Paused || state == chart.Stopped {
			continue
		}
		y = p.row(s, v, state, at[state], y)
	}
	l := legend{s: s, x: 12, y: y + 20}
	for _, x := range []struct {
		key string
		of  Stand
	}{{"picture.well", Stand{}}, {"picture.waits", Stand{Waits: 1}}, {"picture.stopped", Stand{Stopped: true}},
		{"picture.silent", Stand{Silent: silentNights}}, {"picture.paused", Stand{Paused: true}}} {
		l.item(v.say(x.key), func(lx, ly float64) { x.of.mark(s, lx, ly) })
	}
	s.Height = l.y + lineStep
	return s
}

func (p *Practice) row(s *Sheet, v voice, state chart.State, all []Stand, y float64) float64 {
	s.line(inkRule, 1, false, point{12, y}, point{s.Width - 12, y})
	y += 18
	s.say(inkText, textSize, 12, y, 'l', v.say("picture.state."+state.String()))
	s.say(inkText, textSize, 152, y, 'r', whole(float64(len(all))))
	x := 172.0
	for _, one := range all {
		if x > s.Width-18 {
			x, y = 172, y+16
		}
		one.mark(s, x, y-4)
		x += 14
	}
	named := ""
	for _, one := range all {
		if one.Waits > 0 || one.Stopped {
			if named != "" {
				named += ", "
			}
			named += one.Label
		}
	}
	if named != "" {
		for _, line := range lines(named, textSize, s.Width-184) {
			y += lineStep
			s.say(inkFlag, textSize, 166, y, 'l', line)
		}
	}
	return y + 10
}

// mark is the most urgent of what can be said of somebody.
func (x Stand) mark(s *Sheet, at, y float64) {
	switch {
	case x.Stopped:
		s.rect(inkFlag, at-5, y-5, 10, 10, false)
	case x.Waits > 0:
		s.triangle(inkFlag, at, y, 5, false)
	case x.Paused:
		s.rect(inkSoft, at-4, y-5, 3, 10, false)
		s.rect(inkSoft, at+1, y-5, 3, 10, false)
	case x.Silent >= silentNights:
		s.disc(inkText, at, y, 4, true)
	default:
		s.disc(inkPlace, at, y, 4, false)
	}
}
