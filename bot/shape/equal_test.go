package shape

import "regexp"

// same is a kind of mutant that no test can tell from the program, and why.
type same struct {
	name *regexp.Regexp
	why  string
}

var equals = []same{
	{regexp.MustCompile(`\): (250|254|9999) [+-] 1$`), "a cap that keeps a counter from running over, far beyond every bound it is compared with"},
	{regexp.MustCompile(`^escalation_after\.go morningAfter: min\(k\.Unheard\+1, 999\)`), "a cap that keeps a counter from running over, far beyond every bound it is compared with"},
	{regexp.MustCompile(`swelling\.airway: reading\.FGum \| reading\.FSwelling \| reading\.FSwallow not heard$`), "swelling with trouble swallowing is a combination by itself, with the gum or without"},
	{regexp.MustCompile(`^chart/advice\.go MostRules: MostRules \+ 1$`), "a set has no bit beyond its last rule"},
	{regexp.MustCompile(`^outcome/outcome\.go (Alleviation: part|Change: d) < 0: 0`), "both are multiples of 2,000, and 0 rounds to 0 either way"},
	{regexp.MustCompile(`^pacing/rulesstep\.go downwards: at >= 0: 0 - 1`), "it sums where four were heard from the start on, and is full before it comes under 0"},
	{regexp.MustCompile(`^pacing/rulesstep\.go (p17|persists): step <= 0: 0 \+ 1`), "the form takes steps from 0.1 mm"},
	{regexp.MustCompile(`^pacing/rulesstep\.go p17: NoGain\+step-1: 1 \+ 1`), "2,999 is a prime number: only a step of 1 micrometre or of 2.999 mm tells it from 3,000"},
	{regexp.MustCompile(`^pacing/rules\.go judge: uint8\(3\): 3 \+ 1`), "no row is asked behind those of 2"},
	{regexp.MustCompile(`^pacing/snorescores\.go (keepScore|scores): at (< 0: 0 - 1|> 255: 255 \+ 1)$`), "what keeps a score and what reads it both refuse it"},
	{regexp.MustCompile(`^pacing/snorescores\.go keepScore: (h < c\.Heard\[place\]|old > key) turned`), "no two places hold one key"},
	{regexp.MustCompile(`^pacing/window\.go index: night <= newest-civil\.Date\(c\.N\) turned`), "the place of that night comes out as -1 either way"},
	{regexp.MustCompile(`^pacing/window\.go top: max\(min\(`), "the form takes ceilings and travels from 1 on"},
	{regexp.MustCompile(`^pacing/answer\.go Answer: field >= chart\.NumFields turned`), "such a field has no scale but 0, and no place to be kept"},
	{regexp.MustCompile(`^pacing/guard\.go guard: a\.To >= 1: 1 - 1`), "one further than where it stands is 1 or more"},
	{regexp.MustCompile(`^pacing/assessment\.go moved: i < 0`), "the night has its entry by then"},
	{regexp.MustCompile(`^pacing/rules\.go p06: max\(v\.s\.Advised, 0\): 0 - 1`), "a way back never names a setting under the start"},
	{regexp.MustCompile(`^pacing/ruleeffects\.go limit: limit < c\.Limit turned`), "it sets the limit to what it is"},
	{regexp.MustCompile(`^pacing/ruleeffects\.go (held|restLong): n >= 0: 0 - 1`), "one night short is no whole week"},
	{regexp.MustCompile(`^pacing/ruleeffects\.go limit: max\(v\.s\.Low, 1\): 1 - 1`), "what may stand at the start may stand at 1, and no limit is under the start"},
	{regexp.MustCompile(`^pacing/pacing\.go Advise: c\.Advices > 0: 0 - 1`), "before the first advice its night is 0, and no night comes before 1970"},
	{regexp.MustCompile(`^pacing/clinician\.go Order: to (<|>) c\.Left turned`), "an order to where it stands was refused before"},
	{regexp.MustCompile(`^escalation_urgent\.go ringUrgent: past <= 0: 0 \+ 1`), "the first two pauses are as long"},
	{regexp.MustCompile(`^escalation_urgent\.go ringAgain: wait < int64\(pause\) turned`), "the pause is over at the minute of the opening"},
	{regexp.MustCompile(`^escalation_urgent\.go ringAgain: left > 0: 0 - 1 #2`), "a call that may be made now was made a line before"},
	{regexp.MustCompile(`^escalation_urgent\.go ringUrgent: int64\(urgentRings\[0\]\)\*60: 60 - 1`), "rings lie whole minutes after the deadline"},
	{regexp.MustCompile(`^escalation_ring\.go ring: esc\.Rings > 1: 1 - 1`), "the first ring never goes to everyone at once as one that is told again"},
	{regexp.MustCompile(`^relapse/relapse\.go const: (Most|Weeks) [+-] 1`), "the length of a list, which is set where it is declared"},
	{regexp.MustCompile(`^chart/position\.go ShareOf: twice < 0: 0 \+ 1`), "0 is a whole multiple, from which nothing is taken"},
	{regexp.MustCompile(`^pacing/assessment\.go onPath: v\.c\.State <= chart\.Recall turned`), "only a rest or a settling that is over differs from the path"},
	{regexp.MustCompile(`^pacing/assessment\.go count: (e\.Night < v\.night-1 turned|v\.night-1: 1 - 1)`), "last night's sore morning has spoken before one told late is asked for"},
	{regexp.MustCompile(`^pacing/window\.go AllTold: end > 0: 0 \+ 1`), "a single night that is to come was not told, counted or not"},
	{regexp.MustCompile(`^pacing/assessment\.go assess: night-1: 1 - 1`), "no night before the first has an entry"},
	{regexp.MustCompile(`^escalation_open\.go fitQuotes: max\(len\(t\.p\.Escalations\), 1\): 1 \+ 1`), "one quote alone is never too much to keep"},
}

// equal tells why no test can tell a mutant from the program.
func equal(m mutant) (why string, ok bool) {
	for _, s := range equals {
		if s.name.MatchString(m.name) {
			return s.why, true
		}
	}
	return "", false
}
