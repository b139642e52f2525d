package locales

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// What patients ask most is known by many wordings in every language, and is no answer
// of the day.
func TestQuestionsForCards(t *testing.T) {
	w := load(t)
	for topic, texts := range map[reading.Topic][]string{
		reading.HowFaster: {"Can I turn it faster?", "may i go two steps tonight?", "Should I move it further to speed this up?",
			"¿Puedo girarlo más rápido?", "¿puedo dar dos vueltas hoy?"},
		reading.HowMissed: {"I missed a night, what now?", "what do I do if I skipped two nights?", "Forgot to wear it last night, is that ok?",
			"Se me pasó una noche, ¿qué hago?", "Dormí sin él anoche, ¿qué hago ahora?"},
		reading.HowLong: {"How long do I have to wear it each night?", "Do I have to wear this for the rest of my life?",
			"¿Cuántas horas tengo que usarlo?", "¿Tengo que llevarlo toda la vida?"},
		reading.HowMouth: {"My mouth is dry, what helps?", "Is it normal that I drool so much?", "Se me seca la boca, ¿qué hago?",
			"¿Es normal tener tanta saliva?"},
		reading.HowCold: {"Can I wear it with a cold?", "My nose is blocked, should I sleep with it?", "¿Puedo usarlo con gripe?",
			"Tengo la nariz tapada, ¿lo uso?"},
		reading.HowAlcohol: {"Can I drink wine with it?", "May I take a sleeping pill?", "¿Puedo beber alcohol?",
			"¿Puedo tomar una copa de vino?"},
		reading.HowDental: {"Can I have a filling done?", "I get a new crown next week, what should I do?",
			"¿Qué hago si me hacen una endodoncia?"},
		reading.HowTravel: {"Can I take it on a plane?", "What do I do when I travel?", "¿Qué hago si viajo?", "¿Puedo llevarlo en el avión?"},
		reading.HowTeeth: {"Will my teeth move?", "Could it change my bite permanently?", "¿Me va a mover los dientes?",
			"¿Puede cambiar mi mordida con el tiempo?"},
		reading.HowTest: {"Do I still need a sleep test?", "How do I know if it is working?", "How long until it works?",
			"¿Cómo sé si funciona?", "¿Necesito otra prueba de sueño?"},
	} {
		langs := map[bool]int{}
		for _, text := range texts {
			r := w.Read(text)
			if r.Topic != topic || len(r.Tokens) > 0 || r.Dangerous() {
				t.Errorf("%q: card %s, %v, features %x", text, r.Topic, r.Tokens, r.Features)
			}
			langs[strings.Contains(text, "¿")]++
		}
		if langs[true] == 0 || langs[false] == 0 {
			t.Errorf("%s is asked in one language alone", topic)
		}
	}
}

// A question that could be of a danger, a text that answers, tells or asks two things,
// or asks nothing at all gets no card: people, or the question about a danger, come first.
func TestQuestionsWithoutACard(t *testing.T) {
	w := load(t)
	for _, text := range []string{
		"My tongue swells when I have a cold, should I wear it?", "I can't breathe with a cold, should I wear it?",
		"I drank wine and vomited, can I wear it?", "My crown came off, what now?", "Is it normal for teeth to move?",
		"Can I drink wine when I travel?", "I turned it twice, can I wear it?", "le di dos vueltas, ¿la regreso una?", "I have a cold", "We drank wine",
		"pain 3, can I take it on a plane?", "Can I drink water with it?", "Is cold water ok to rinse it?", "Can I drive?",
		"I drool on one side of my face, is that normal?",
		"Se me hincha la lengua con la gripe, ¿lo uso?", "Bebí vino y vomité, ¿lo uso?", "¿Puedo beber vino en el viaje?", "Tengo gripe",
		strings.Repeat("and so it went on and on ", 4) + "until I asked, can I take it on a plane?",
	} {
		if r := w.Read(text); r.Topic.Asked() {
			t.Errorf("%q: card %s", text, r.Topic)
		}
	}
}

// A row with a card that there is not is refused.
func TestQuestionsOfNoCard(t *testing.T) {
	d := dictionary{}
	if err := d.questions(map[string][]string{"weather": {"rain"}}); err == nil {
		t.Error("taken")
	}
}

// What a common answer may not leave out: what to stop, what is never done, whom to ask.
func TestAnswersKeepTheirCautions(t *testing.T) {
	w := load(t)
	p := flows.Patient{Appliance: chart.Appliance{LipSeal: true, Guide: true}}
	for topic, want := range map[reading.Topic][2]string{
		reading.HowFaster:  {"Move it only when this chat gives you a new setting", "Muévalo solo si este chat le da una nueva posición"},
		reading.HowMissed:  {"Do not move it more to catch up", "No lo mueva de más"},
		reading.HowLong:    {"Do not stop on your own", "No lo deje por su cuenta"},
		reading.HowCold:    {"leave the lip-seal part off", "deje fuera la pieza de labios"},
		reading.HowAlcohol: {"Never use the lip-seal part after alcohol", "Nunca use la pieza de labios tras beber alcohol"},
		reading.HowDental:  {"only if it goes on with no force", "solo si entra sin fuerza"},
		reading.HowTravel:  {"call the local number where you are", "llame al número local de donde esté"},
		reading.HowTeeth:   {"Tell us at once if it is not back by midday", "Avise ya si no vuelve antes del mediodía"},
		reading.HowTest:    {"Do not drive when you are sleepy", "No conduzca con sueño"},
	} {
		for i, lang := range []string{"en", "es"} {
			if text := w.Text(lang, message.Message{Lines: p.HowTo(topic)}); !strings.Contains(text, want[i]) {
				t.Errorf("%s lacks %q:\n%s", topic, want[i], text)
			}
		}
	}
	bare := flows.Patient{}
	for _, topic := range []reading.Topic{reading.HowCold, reading.HowAlcohol} {
		if text := w.Text("en", message.Message{Lines: bare.HowTo(topic)}); strings.Contains(text, "lip-seal") {
			t.Errorf("%s speaks of a part that is not there:\n%s", topic, text)
		}
	}
}
