package locales

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"

	"pgregory.net/rapid"
)

// said is one way to say an answer: the text, with %d for the number, and the
// answer. A number is drawn from 0 to most.
type said struct {
	text  string
	most  int
	field chart.Field
	value int // used where the text has no number
}

// ways lists how people type the parts of a day.
func ways(lang string) [][]said {
	if lang == "es" {
		return [][]said{
			{{"ronquido %d", 10, chart.Snoring, 0}, {"Ronquidos: %d", 10, chart.Snoring, 0}, {"ronqué %d", 10, chart.Snoring, 0}, {"ronque %d", 10, chart.Snoring, 0}, {"sin ronquidos", 0, chart.Snoring, 0}, {"no ronqué", 0, chart.Snoring, 0}},
			{{"dolor %d", 10, chart.Pain, 0}, {"DOLOR %d", 10, chart.Pain, 0}, {"me duele %d", 10, chart.Pain, 0}, {"molestia %d", 10, chart.Pain, 0}, {"sin dolor", 0, chart.Pain, 0}, {"nada de dolor", 0, chart.Pain, 0}, {"no me duele", 0, chart.Pain, 0}},
			{{"%d h", 24, chart.WornMinutes, -60}, {"%dh", 24, chart.WornMinutes, -60}, {"usado %d horas", 24, chart.WornMinutes, -60}, {"toda la noche", 0, chart.Worn, chart.WornAll}, {"lo usé toda la noche", 0, chart.Worn, chart.WornAll}},
			{{"guía %d min", 60, chart.GuideMinutes, 0}, {"guia %d minutos", 60, chart.GuideMinutes, 0}, {"%d min de guía", 60, chart.GuideMinutes, 0}, {"sin guía", 0, chart.Guide, chart.No}, {"no usé la guía", 0, chart.Guide, chart.No}, {"usé la guía", 0, chart.Guide, chart.Yes}},
			{{"mordida bien", 0, chart.Bite, chart.BiteBoth}, {"mordida normal tras %d min", 300, chart.BiteMinutes, 0}, {"mordida un lado", 0, chart.Bite, chart.BiteOne}, {"la mordida volvió en %d min", 300, chart.BiteMinutes, 0}, {"mordida solo delante", 0, chart.Bite, chart.BiteFront}},
			{{"posición %d", 60, chart.SettingLeft, 0}, {"posicion: %d", 60, chart.SettingLeft, 0}},
			{{"sueño de día %d", 10, chart.Sleepiness, 0}, {"somnolencia %d", 10, chart.Sleepiness, 0}},
		}
	}
	return [][]said{
		{{"snore %d", 10, chart.Snoring, 0}, {"Snoring: %d", 10, chart.Snoring, 0}, {"snored %d", 10, chart.Snoring, 0}, {"snoreing %d", 10, chart.Snoring, 0}, {"no snoring", 0, chart.Snoring, 0}, {"didn't snore", 0, chart.Snoring, 0}},
		{{"pain %d", 10, chart.Pain, 0}, {"PAIN %d", 10, chart.Pain, 0}, {"sore %d", 10, chart.Pain, 0}, {"jaw pain %d", 10, chart.Pain, 0}, {"no pain", 0, chart.Pain, 0}, {"pain: none", 0, chart.Pain, 0}, {"not sore", 0, chart.Pain, 0}, {"pain free", 0, chart.Pain, 0}},
		{{"%d h", 24, chart.WornMinutes, -60}, {"%dh", 24, chart.WornMinutes, -60}, {"worn %d hours", 24, chart.WornMinutes, -60}, {"wore it %d hrs", 24, chart.WornMinutes, -60}, {"all night", 0, chart.Worn, chart.WornAll}, {"wore it all night", 0, chart.Worn, chart.WornAll}},
		{{"guide %d min", 60, chart.GuideMinutes, 0}, {"bite guide %d minutes", 60, chart.GuideMinutes, 0}, {"%d min guide", 60, chart.GuideMinutes, 0}, {"no guide", 0, chart.Guide, chart.No}, {"didn't use the guide", 0, chart.Guide, chart.No}, {"guide used", 0, chart.Guide, chart.Yes}},
		{{"bite ok", 0, chart.Bite, chart.BiteBoth}, {"bite back after %d min", 300, chart.BiteMinutes, 0}, {"bite one side", 0, chart.Bite, chart.BiteOne}, {"bite fine", 0, chart.Bite, chart.BiteBoth}, {"bite only front", 0, chart.Bite, chart.BiteFront}, {"bite not back", 0, chart.BiteMinutes, chart.BiteNot}},
		{{"setting %d", 60, chart.SettingLeft, 0}, {"setting: %d", 60, chart.SettingLeft, 0}},
		{{"sleepy %d", 10, chart.Sleepiness, 0}, {"sleepiness %d", 10, chart.Sleepiness, 0}},
	}
}

// Any day typed in one line, in any order, reads as its answers and nothing else;
// without marks between them as nothing else, though what could be of two answers may be asked.
func TestAnyDayReadsBack(t *testing.T) {
	w := load(t)
	for _, lang := range w.Languages() {
		all := ways(lang)
		rapid.Check(t, func(t *rapid.T) {
			order := rapid.Permutation(all).Draw(t, "order")
			sep := rapid.SampledFrom([]string{", ", "; ", "\n", ". ", ",", " "}).Draw(t, "sep")
			var parts []string
			var want []string
			for _, options := range order[:rapid.IntRange(1, len(order)).Draw(t, "parts")] {
				s := rapid.SampledFrom(options).Draw(t, "way")
				text, n := s.text, s.value
				if strings.Contains(text, "%d") {
					if sep == " " && strings.HasPrefix(text, "%d min") {
						continue // "pain 3 5 min guide": a number before its name needs a mark
					}
					n = rapid.IntRange(0, s.most).Draw(t, "n")
					text = fmt.Sprintf(text, n)
					if s.value < 0 {
						n *= -s.value
					}
				}
				if sep == " " && (s.field == chart.Worn || s.field == chart.WornMinutes && len(parts) > 0 ||
					text == "bite not back") {
					continue // "pain 3 7 h", "all night pain 3", "bite not back pain 3" have two readings
				}
				if sep == "," && strings.HasPrefix(text, fmt.Sprint(n)) || sep == "," && strings.HasPrefix(text, fmt.Sprint(n/60)) {
					continue // "pain 3,7h" may be 3.7
				}
				parts = append(parts, text)
				want = append(want, fmt.Sprintf("%s=%d", s.field.Row().Name, n))
			}
			text := strings.Join(parts, sep)
			r := w.Read(text)
			got := strings.Fields(says(reading.Reading{Tokens: r.Tokens}))
			slices.Sort(got)
			slices.Sort(want)
			if sep == " " && !slices.ContainsFunc(got, func(x string) bool { return !strings.HasSuffix(x, "=?") && x != "rest" && !slices.Contains(want, x) }) {
				return
			}
			if !slices.Equal(got, want) || r.Doubt != reading.NoDoubt || r.Rest && len(parts) > 0 || r.Features != 0 ||
				len(parts) > 0 && r.Lang != "" && r.Lang != lang {
				t.Fatalf("%q\n got %s, language %q\nwant %v", text, says(r), r.Lang, want)
			}
		})
	}
}

// TestYesterdayAndToday writes neither of two numbers of which it cannot be told which is of the last night.
func TestYesterdayAndToday(t *testing.T) {
	w := load(t)
	for _, text := range []string{"pain yesterday was 4, today 2", "ayer 6 de ronquido hoy 3", "pain 4 yesterday and 2 today"} {
		seen := map[chart.Field]chart.Answer{}
		for _, x := range w.Read(text).Tokens {
			if was, ok := seen[x.Field]; ok && x.Value.Known() && was.Known() && was != x.Value {
				t.Errorf("%q: %+v", text, x)
			}
			seen[x.Field] = x.Value
		}
	}
}
