package locales

import (
	"testing"

	"duskdawn/flows/reading"
)

// Dangers that sound alike are told apart: whose part it is, whether it is in the airway, which way a jaw is locked, and
// what swells. An emergency that was sure is asked about at least.
func TestKinds(t *testing.T) {
	w := load(t)
	of := reading.SetOf
	child, airway, missing := of(reading.DangerChildPart), of(reading.DangerPieceAirway), of(reading.DangerPieceMissing)
	open, locked := of(reading.DangerJawOpen), of(reading.DangerJawLocked)
	for _, c := range []struct {
		text       string
		sure, none reading.Dangers // heard surely; not heard at all
	}{
		{"I may have swallowed a piece of it", missing, child},
		{"I fell down the steps and my front teeth are loose", of(reading.DangerAccident), of(reading.DangerToothLoose)},
		{"me caí por la escalera y se me mueven los dientes de delante", of(reading.DangerAccident), of(reading.DangerToothLoose)},
		{"my front tooth is loose", of(reading.DangerToothLoose), of(reading.DangerAccident)},
		{"I swallowed part of the splint", missing, child},
		{"creo que me tragué un trozo de la férula", missing, child},
		{"creo que me he tragado un trozo", missing, child},
		{"I swallowed a screw and I'm coughing", airway, child},
		{"me tragué un tornillo y no paro de toser", airway, child},
		{"my son swallowed a piece", child, airway | missing},
		{"she swallowed the screw off it", child, airway | missing},
		{"the puppy ate the screw from my device", child, airway | missing},
		{"mi nieta se ha tragado el gancho", child, airway | missing},
		{"el perro se comió un tornillo del aparato", child, airway | missing},
		{"a piece of it broke off and I can't find it", missing, child},
		{"se rompió un trozo y no lo encuentro", missing, child}, // broken off and not found: perhaps breathed in, as in English
		{"My jaw is locked and I cannot open my mouth", locked, open},
		{"tengo la mandíbula bloqueada y no puedo abrir la boca", locked, open},
		{"no puedo cerrar la boca", open, 0},
		{"can't open or close my mouth", open, 0},
		{"los labios se me hincharon y me pican desde que me la puse", of(reading.DangerHives), 0},
		{"side of my face is swollen and I feel feverish", of(reading.DangerSwellFever), 0},
		{"lips huge and itchy after putting it in and I can't breathe well", of(reading.DangerSwellAirway), 0},
		{"labios hinchados y me pican, y la garganta se me cierra", of(reading.DangerSwellAirway), 0},
		{"my wife says I stop breathing more than before", of(reading.DangerPauses), 0},
	} {
		r := w.Read(c.text)
		if r.Sure&c.sure != c.sure || (r.Sure|r.Unsure)&c.none != 0 {
			t.Errorf("%q: sure %v, unsure %v", c.text, r.Sure.All(), r.Unsure.All())
		}
	}
	for _, text := range []string{"a piece of it broke off and I can't find it", "se rompió un trozo y no lo encuentro", "swallowed a bit of it",
		"me puse el aparato y se me pusieron los labios enormes y con picazón",
		"my mother cannot breathe well", "my dog is blocked up and cannot breathe through its nose, poor thing"} {
		if r := w.Read(text); (r.Sure | r.Unsure).Class() != 'E' {
			t.Errorf("%q: no emergency is left", text)
		}
	}
	if r := w.Read("my dog is blocked up and cannot breathe through its nose, poor thing"); r.Sure.Of('E') != 0 {
		t.Errorf("a dog's nose is surely %v", r.Sure.All())
	}
	if r := w.Read("nephew swallowed the hook"); !r.Features.Has(reading.FChild) {
		t.Errorf("a nephew's hook is no flag of the patient's: %b", r.Features)
	}
}

// A score of severe pain in what begins like a question is asked about, never at once and never lost.
func TestASevereScoreInAQuestion(t *testing.T) {
	w := load(t)
	d := reading.DangerPainSevere
	for text, sure := range map[string]bool{"pain 9": true, "pain 9 since this morning and it throbs": true,
		"qué es un dolor 8": false, "pain 9, what should I do?": false} {
		if r := w.Read(text); r.Sure.Has(d) != sure || !(r.Sure | r.Unsure).Has(d) {
			t.Errorf("%q: sure %v, unsure %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
}

// What asks for the count, or for a part that the writer swallowed, is asked about amid any words.
func TestAskedAmidUnknownWords(t *testing.T) {
	w := load(t)
	for text, d := range map[string]reading.Danger{
		"I gave it a turn in the wrong direction":       reading.DangerTurnedWrong,
		"como me faltaban, di tres pasos de golpe":      reading.DangerTurnedWrong,
		"puede que me haya tragado la gomita, sin tos":  reading.DangerPieceMissing,
		"I nearly ran into a lorry, was falling asleep": reading.DangerDriveAsleep,
	} {
		if r := w.Read(text); !(r.Sure | r.Unsure).Has(d) {
			t.Errorf("%q: %v, %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
	if r := w.Read("turned it two times by accident"); r.Sure.Has(reading.DangerAccident) || !r.Sure.Has(reading.DangerTurnedWrong) {
		t.Errorf("by accident: %v", r.Sure.All())
	}
}

// Two emergencies in phrases of one text are as sure as one, though the net shares out between them what it hears.
func TestTwoEmergencies(t *testing.T) {
	w := load(t)
	for _, text := range []string{"chest pain, I cannot breathe", "cannot breathe, chest pain", "chest pain and I cannot breathe",
		"no puedo respirar, dolor de pecho"} {
		if r := w.Read(text); r.Sure.Class() != 'E' || r.Unsure.Class() == 'E' {
			t.Errorf("%s: sure %v, unsure %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
	for _, text := range []string{"no chest pain and no trouble breathing", "if I get chest pain and cannot breathe what do I do?"} {
		if r := w.Read(text); r.Sure.Class() == 'E' {
			t.Errorf("%s: sure %v", text, r.Sure.All())
		}
	}
}

// What is said of dying in a roundabout way is heard, amid whatever words.
func TestIndirectSelfHarm(t *testing.T) {
	w := load(t)
	for _, text := range []string{
		"they would manage better if I wasn't around", "everyone would cope better if I was gone", "my family would be fine without me, better",
		"I'm only a burden, they'd be happier if I weren't here", "nobody would miss me if I didn't wake up", "I'd rather go to sleep and never wake",
		"it would be easier for everyone if I wasn't here any more", "they're better off if I just disappear", "wish I could stop existing",
		"I've had enough of being alive", "I've written a letter so they understand when I'm gone",
		"estarían mejor si yo no estuviera", "todos vivirían más tranquilos si yo faltara", "mi familia se las arreglaría mejor sin mí",
		"soy una carga, serían más felices si no estoy", "nadie me echaría de menos", "a veces espero no despertar",
		"sería más fácil para todos que yo no estuviera aquí", "preferiría dormirme y no despertar nunca", "estoy harto de estar vivo",
		"ojalá dejara de existir", "ya les escribí una carta para cuando no esté",
	} {
		if r := w.Read(text); (r.Sure|r.Unsure)&reading.SetOf(reading.DangerSelfHarm) == 0 {
			t.Errorf("%q: sure %v, unsure %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
}

// TestBesideTheWriter asks about an emergency of somebody beside the writer, whatever the writer asks for, and about a severe score of
// somebody else, which stops nothing.
func TestBesideTheWriter(t *testing.T) {
	w := load(t)
	for text, want := range map[string]reading.Danger{
		"my wife is having a stroke": reading.DangerStroke, "my wife is having a stroke what do I do": reading.DangerStroke,
		"what do I do my husband is having chest pain": reading.DangerChest, "my wife has a stroke, help": reading.DangerStroke,
		"qué hago, a mi mujer le duele el pecho": reading.DangerChest,
		"a mi mujer le duele un 8, a mí un 1":    reading.DangerPainSevere,
	} {
		if r := w.Read(text); !(r.Sure | r.Unsure).Has(want) || want == reading.DangerPainSevere && r.Sure.Has(want) {
			t.Errorf("%q: surely %v, perhaps %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
}

// A medicine taken as people take it is no overdose, and people read it; more than a dose of it, or with drink, or by a child, is.
func TestADoseIsNoOverdose(t *testing.T) {
	w := load(t)
	overdose := reading.SetOf(reading.DangerOverdose)
	for _, text := range []string{
		"took ibuprofen at 8", "two paracetamol for the knee and off to bed", "ibuprofen 400 at half past ten", "my blood pressure tablet, as every evening",
		"tomé un ibuprofeno a las 8", "un paracetamol 500 para la espalda", "la pastilla de la tensión, como siempre", "me he tomado la pastilla de la tensión como todas las mañanas",
	} {
		if r := w.Read(text); (r.Sure|r.Unsure)&overdose != 0 {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{
		"took 8 ibuprofen", "took all my paracetamol", "took 100 paracetamol", "two paracetamol and a bottle of gin then two paracetamol more", "I swallowed a box of ibuprofen",
		"me tomé 12 paracetamoles", "me tomé toda la caja de ibuprofeno",
	} {
		if r := w.Read(text); (r.Sure|r.Unsure)&overdose == 0 {
			t.Errorf("%q is no overdose: %+v", text, r)
		}
	}
}

// A number that names a setting is no severe pain, where another is the pain's; it is asked about at most.
func TestAScrewIsNoPain(t *testing.T) {
	w := load(t)
	severe := reading.SetOf(reading.DangerPainSevere)
	for _, text := range []string{"screw 9 pain 2", "el tornillo en 8 dolor 2"} {
		if r := w.Read(text); r.Sure&severe != 0 {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for text, sure := range map[string]bool{"pain 9, screw 2": true, "snore 3 pain 8": true, "tornillo en 2 y dolor 8": false} { // what is asked back has been heard
		if r := w.Read(text); (r.Sure|r.Unsure)&severe == 0 || sure && r.Sure&severe == 0 {
			t.Errorf("%q is no severe pain: %+v", text, r)
		}
	}
}

// Who sleeps in front of the television does not sleep at the wheel; a jaw that hardly opens does not stand open; thanks in a few words are thanks.
func TestAtHomeLockedAndThanks(t *testing.T) {
	w := load(t)
	atWheel := reading.SetOf(reading.DangerDriveAsleep) | reading.SetOf(reading.DangerDriveNearly)
	for text, drives := range map[string]bool{
		"fell asleep on the sofa, sorry": false, "I nodded off in front of the telly": false, "me quedé dormida en el sofá viendo la tele": false,
		"fell asleep at the wheel": true, "fell asleep driving home to my sofa": true, "me dormí al volante": true,
	} {
		if r := w.Read(text); ((r.Sure|r.Unsure)&atWheel != 0) != drives {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for text, open := range map[string]bool{
		"woke up and my jaw is locked, can hardly open my mouth": false, "my jaw is locked, hardly opens": false, "my jaw is locked open, I can't close it": true,
	} {
		if r := w.Read(text); (r.Sure&reading.SetOf(reading.DangerJawOpen) != 0) != open || r.Sure&(reading.SetOf(reading.DangerJawOpen)|reading.SetOf(reading.DangerJawLocked)) == 0 {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for text, thanks := range map[string]bool{
		"thanks, you're a star": true, "thanks for reminding me": true, "gracias guapa!!": true, "thank you so much love": true,
		"thanks, it smells": false, "thanks, my lip is swollen": false, "thanks, can I turn it?": false, "thanks, pain 3": false,
	} {
		if r := w.Read(text); (r.Word == reading.WordThanks) != thanks {
			t.Errorf("%q: %+v", text, r)
		}
	}
}
